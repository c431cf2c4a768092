#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

/// Discharge and shell superheat ask the same question at two places of the compressor: is there
/// liquid in it? They differ in channel and figures only.
std::vector<Finding> superheat(const CheckContext& context, const std::string& id,
                               std::string_view quantity, const std::string& subject,
                               const std::vector<std::string_view>& inputs) {
  const LimitSheet& limits = context.limits;
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    for (const Place& place : judged_places(context.recording, module, quantity)) {
      HeldJudge judge(context, id, place, context.recording.find(place.text, quantity), Side::below,
                      compressor_masks(context, place, Regime::running));
      const double below = limits.value(id + ".watch_below");
      const bool recorded = context.recording.find(place.text, quantity) != nullptr;
      judge.subject = recorded ? subject : missing_input(context.recording, place, inputs);
      judge.rule(Verdict::fault, below, limits.value(id + ".fault_hold"));
      judge.rule(Verdict::watch, below, limits.value(id + ".watch_hold"));
      judge.condition = steady_text(context, place, Regime::running);
      judge.least_total = limits.value("observation.least");
      judge.least_run = limits.value(id + ".watch_hold");
      judge.proof = "Record " + place.text + "." + std::string(inputs[0]) + " and " +
                    std::string(inputs[1]) + " through at least " +
                    format_duration(judge.least_total) + " of " + judge.condition + ".";
      out.push_back(judge.finish());
    }
  }
  return out;
}

}  // namespace

std::vector<Finding> discharge_superheat(const CheckContext& context) {
  return superheat(context, "discharge-superheat", "discharge_superheat", "discharge superheat",
                   {"discharge_temperature", "discharge_pressure"});
}

std::vector<Finding> shell_superheat(const CheckContext& context) {
  return superheat(context, "shell-superheat", "shell_superheat", "shell superheat",
                   {"shell_temperature", "suction_pressure"});
}

}  // namespace cw::check
