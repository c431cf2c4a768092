#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {

std::vector<Finding> discharge_temperature(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    for (const Place& place : judged_places(context.recording, module, "discharge_temperature")) {
      HeldJudge judge(context, "discharge-temperature", place,
                      context.recording.find(place.text, "discharge_temperature"), Side::above,
                      compressor_masks(context, place, Regime::running));
      const double watch = limits.value("discharge-temperature.watch_above");
      judge.subject = "discharge temperature";
      judge.rule(Verdict::fault, limits.value("discharge-temperature.fault_at_once_above"),
                 limits.value("discharge-temperature.fault_at_once_hold"));
      judge.rule(Verdict::fault, watch, limits.value("discharge-temperature.fault_hold"));
      judge.rule(Verdict::watch, watch, limits.value("discharge-temperature.watch_hold"));
      judge.condition = steady_text(context, place, Regime::running);
      judge.least_total = limits.value("observation.least");
      judge.least_run = limits.value("discharge-temperature.watch_hold");
      judge.proof = "Record " + place.text + ".discharge_temperature through at least " +
                    format_duration(judge.least_total) + " of " + judge.condition + ".";
      out.push_back(judge.finish());
    }
  }
  return out;
}

}  // namespace cw::check
