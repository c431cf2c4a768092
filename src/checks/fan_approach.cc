#include <algorithm>
#include <cmath>

#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/together.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

constexpr const char* id = "fan-approach";

double limit_of(const CheckContext& context, const std::string& key) {
  return context.limits.value(std::string(id) + "." + key);
}

/// The command of the module's fan; null when the log has none.
const Channel* fan_of(const Recording& recording, const Place& module) {
  for (const char* name : {"fan_step", "fan_speed"}) {
    if (const Channel* fan = recording.find(module.text, name)) return fan;
  }
  return nullptr;
}

/// What the fan is told at its most: the command that 2 % of the readings reach. One spike is none.
double highest_command(const Channel& fan) {
  std::vector<double> values;
  for (const float v : fan.values) {
    if (!is_missing(v)) values.push_back(static_cast<double>(v));
  }
  return percentile_of(values, 0.98);
}

/// The coil's distance from the outdoor air in one regime while the fan is told to blow hard.
Finding judge_regime(const CheckContext& context, const Place& module, const Channel* fan,
                     Regime regime) {
  const Recording& recording = context.recording;
  const bool cools = regime == Regime::cooling;
  const Channel* saturation = recording.find_upward(
      module, cools ? "saturated_condensing_temperature" : "saturated_evaporating_temperature");
  const Channel* air = outdoor_temperature_of(recording, module);
  const bool whole = fan != nullptr && air != nullptr;
  std::vector<Mask> masks = network_masks(context, module, regime);
  if (whole) {
    const double hard = limit_of(context, "hard_from") * highest_command(*fan);
    Follower command(recording, fan);
    for (std::size_t i = 0; i < masks.size(); ++i) {
      const auto told = static_cast<double>(command.at(i));
      if (masks[i] == Mask::counts && !(hard > 0.0 && told >= hard)) masks[i] = Mask::ends;
    }
  }
  HeldJudge judge(context, id, module, whole ? saturation : nullptr, Side::above, std::move(masks));
  const std::string pressure = cools ? "discharge pressure" : "suction pressure";
  judge.subject = fan == nullptr          ? std::string("fan step or fan speed")
                  : air == nullptr        ? std::string("outdoor temperature")
                  : saturation == nullptr ? pressure
                                          : std::string("the coil's distance from outdoor air");
  judge.judge_value(std::string("approach_at_full_fan_in_") + (cools ? "cooling" : "heating"),
                    Dimension::temperature_difference,
                    uncertainty_of_difference(context, saturation, air),
                    [cools, t = Follower(recording, air)](std::size_t i, double v) mutable {
                      const double over = v - static_cast<double>(t.at(i));
                      return cools ? over : -over;
                    });
  const std::string mode = cools ? "cooling" : "heating";
  judge.rule(Verdict::watch, limit_of(context, mode + "_above"), limit_of(context, "watch_hold"));
  judge.condition = steady_text(context, module, regime) + " with the fan told to blow hard";
  judge.asks_for(module.text + ".fan_step (or fan_speed), " + (cools ? "discharge" : "suction") +
                 "_pressure and site.outdoor_temperature");
  return judge.finish();
}

}  // namespace

std::vector<Finding> fan_approach(const CheckContext& context) {
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Channel* fan = fan_of(context.recording, module);
    out.push_back(worst_of({judge_regime(context, module, fan, Regime::cooling),
                            judge_regime(context, module, fan, Regime::heating)},
                           ""));
  }
  return out;
}

}  // namespace cw::check
