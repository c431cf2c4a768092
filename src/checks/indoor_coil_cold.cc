#include "checks/catalogue.h"
#include "checks/channel_check.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

/// The coldest place of a coil in cooling that the log shows.
const Channel* cold_end_of(const Recording& recording, const Place& unit) {
  for (const char* name : {"liquid_pipe_temperature", "coil_temperature", "coil_middle_temperature",
                           "gas_pipe_temperature"}) {
    if (const Channel* channel = recording.find(unit.text, name)) return channel;
  }
  return nullptr;
}

}  // namespace

std::vector<Finding> indoor_coil_cold(const CheckContext& context) {
  const std::string id = "indoor-coil-cold";
  const std::string channels = "liquid_pipe_temperature and call";
  return judge_calling_units(
      context, id, Regime::cooling, context.limits.value(id + ".settle"), channels,
      [&](const Place& unit, const CallTrack& calls, std::vector<Mask> masks) {
        HeldJudge judge(context, id, unit, cold_end_of(context.recording, unit), Side::above,
                        std::move(masks));
        if (judge.subject.empty()) judge.subject = "pipe temperature";
        judge.rules_of_sheet();
        judge.condition = calling_text(context, calls, Regime::cooling);
        judge.asks_for(unit.text + "." + channels);
        return judge.finish();
      });
}

std::vector<Finding> indoor_superheat(const CheckContext& context) {
  const std::string id = "indoor-superheat";
  const std::string channels = "gas_pipe_temperature, liquid_pipe_temperature and call";
  const Recording& recording = context.recording;
  return judge_calling_units(
      context, id, Regime::cooling, context.limits.value(id + ".settle"), channels,
      [&](const Place& unit, const CallTrack& calls, std::vector<Mask> masks) {
        const Channel* gas = recording.find(unit.text, "gas_pipe_temperature");
        const Channel* cold = recording.find(unit.text, "liquid_pipe_temperature");
        if (cold == nullptr) {
          for (const Place& module : modules_of(context)) {
            cold = recording.find_upward(module, "saturated_evaporating_temperature");
            if (cold != nullptr) break;
          }
        }
        HeldJudge judge(context, id, unit, cold == nullptr ? nullptr : gas, Side::above,
                        std::move(masks));
        judge.subject = gas == nullptr    ? "gas-side pipe temperature"
                        : cold == nullptr ? "liquid-side pipe temperature"
                                          : "superheat over the " + cold->quantity->label;
        judge.judge_value("indoor_superheat", Dimension::temperature_difference,
                          uncertainty_of_difference(context, gas, cold),
                          [low = Follower(recording, cold)](std::size_t i, double t) mutable {
                            return t - static_cast<double>(low.at(i));
                          });
        judge.rules_of_sheet();
        judge.condition = calling_text(context, calls, Regime::cooling);
        judge.asks_for(unit.text + "." + channels);
        return judge.finish();
      });
}

}  // namespace cw::check
