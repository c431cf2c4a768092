#include <cmath>

#include "checks/catalogue.h"
#include "checks/channel_check.h"
#include "checks/uncertainty.h"

namespace cw::check {

std::vector<Finding> condensing_approach(const CheckContext& context) {
  const std::string id = "condensing-approach";
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Channel* sct = context.recording.find_upward(module, "saturated_condensing_temperature");
    const Channel* outdoor = outdoor_temperature_of(context.recording, module);
    HeldJudge judge(context, id, module, outdoor == nullptr ? nullptr : sct, Side::above,
                    network_masks(context, module, Regime::cooling));
    judge.subject = sct == nullptr       ? "discharge pressure"
                    : outdoor == nullptr ? "outdoor temperature"
                                         : "approach to outdoor temperature";
    Follower air(context.recording, outdoor);
    judge.judge_value(
        "condensing_approach", Dimension::temperature_difference,
        uncertainty_of_difference(context, sct, outdoor),
        [air](std::size_t i, double t) mutable { return t - static_cast<double>(air.at(i)); });
    judge.rules_of_sheet();
    judge.condition = steady_text(context, module, Regime::cooling);
    judge.asks_for(module.text + ".discharge_pressure and site.outdoor_temperature");
    out.push_back(judge.finish());
  }
  return out;
}

std::vector<Finding> condensing_pressure(const CheckContext& context) {
  return judge_modules(context, {"condensing-pressure",
                                 "saturated_condensing_temperature",
                                 {"discharge_pressure"},
                                 Regime::cooling});
}

std::vector<Finding> subcooling(const CheckContext& context) {
  return judge_modules(
      context,
      {"subcooling", "subcooling", {"liquid_temperature", "discharge_pressure"}, Regime::cooling});
}

std::vector<Finding> suction_superheat(const CheckContext& context) {
  return judge_modules(context, {"suction-superheat",
                                 "suction_superheat",
                                 {"suction_temperature", "suction_pressure"},
                                 Regime::cooling});
}

}  // namespace cw::check
