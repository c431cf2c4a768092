#include <cmath>

#include "checks/catalogue.h"
#include "checks/channel_check.h"
#include "checks/uncertainty.h"
#include "fluid/saturation.h"

namespace cw::check {
namespace {

/// The condensing temperature that all units share: of the first module that has one.
const Channel* shared_condensing(const CheckContext& context) {
  for (const Place& module : modules_of(context)) {
    const Channel* c = context.recording.find_upward(module, "saturated_condensing_temperature");
    if (c != nullptr) return c;
  }
  return nullptr;
}

/// How far the bubble point lies under the dew point at a channel's typical temperature [K].
double glide_at(const CheckContext& context, const Channel* sct) {
  if (sct == nullptr || context.refrigerant == nullptr) return 0.0;
  const double t = typical(*sct);
  if (std::isnan(t)) return 0.0;
  const auto p = fluid::dew_pressure(*context.refrigerant, Kelvin{t});
  if (!p) return 0.0;
  const double bubble = fluid::bubble_temperature_or_nan(*context.refrigerant, p->value);
  return std::isnan(bubble) ? 0.0 : t - bubble;
}

/// The condensing temperature less `offset` and less a pipe of each calling unit.
std::vector<Finding> under_condensing(const CheckContext& context, const std::string& id,
                                      const char* pipe_name, const std::string& words,
                                      const std::string& measure, double offset) {
  const Channel* sct = shared_condensing(context);
  const std::string channels = std::string(pipe_name) + ", call and discharge pressure";
  return judge_calling_units(
      context, id, Regime::heating, context.limits.value(id + ".settle"), channels,
      [&](const Place& unit, const CallTrack& calls, std::vector<Mask> masks) {
        const Channel* pipe = context.recording.find(unit.text, pipe_name);
        HeldJudge judge(context, id, unit, sct == nullptr ? nullptr : pipe, Side::above,
                        std::move(masks));
        judge.subject = pipe == nullptr  ? find_quantity(pipe_name)->label
                        : sct == nullptr ? std::string("discharge pressure")
                                         : words;
        judge.judge_value(
            measure, Dimension::temperature_difference,
            uncertainty_of_difference(context, pipe, sct),
            [offset, t = Follower(context.recording, sct)](std::size_t i, double v) mutable {
              return static_cast<double>(t.at(i)) - offset - v;
            });
        judge.rules_of_sheet();
        judge.condition = calling_text(context, calls, Regime::heating);
        judge.asks_for(unit.text + "." + channels);
        return judge.finish();
      });
}

}  // namespace

std::vector<Finding> indoor_subcooling(const CheckContext& context) {
  return under_condensing(context, "indoor-subcooling", "liquid_pipe_temperature",
                          "subcooling of the calling unit", "indoor_subcooling",
                          glide_at(context, shared_condensing(context)));
}

std::vector<Finding> gas_line_drop(const CheckContext& context) {
  return under_condensing(context, "gas-line-drop", "gas_pipe_temperature",
                          "gas-side pipe under the condensing temperature of the outdoor side",
                          "gas_pipe_under_condensing", 0.0);
}

}  // namespace cw::check
