#include <algorithm>
#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/ceiling.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

/// The target at each index: the sheet's, or the machine's own where the log has it and nobody has
/// overridden the sheet. [n_time]
std::vector<double> target_track(const CheckContext& context, const Place& module) {
  const Limit& stated = context.limits.limit("condensing-target.target");
  std::vector<double> out(context.recording.size(), stated.value);
  const Channel* logged = context.recording.find_upward(module, "condensing_target");
  if (logged == nullptr || stated.overridden) return out;
  Follower target(context.recording, logged);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const float t = target.at(i);
    if (!is_missing(t)) out[i] = static_cast<double>(t);
  }
  return out;
}

}  // namespace

std::vector<Finding> condensing_target(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  const std::vector<bool> called = anyone_calls(context);
  const bool calls_logged = calls_are_logged(context);
  const double below_by = limits.value("condensing-target.watch_below_by");
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const std::vector<double> target = target_track(context, module);
    const CeilingTrack ceiling = track_ceiling(context, module);
    const Channel* sct = context.recording.find_upward(module, "saturated_condensing_temperature");
    std::vector<Mask> masks = network_masks(context, module);
    for (std::size_t i = 0; i < masks.size(); ++i) {
      if (masks[i] == Mask::counts && !called[i]) masks[i] = Mask::ends;
    }
    HeldJudge judge(context, "condensing-target", module, sct, Side::below, std::move(masks));
    const auto lower_edge = [&](std::size_t i) { return target[i] - below_by; };
    judge.subject = sct == nullptr ? "discharge pressure" : "saturated condensing temperature";
    judge.rule(Verdict::fault, lower_edge, limits.value("condensing-target.fault_hold"));
    judge.rule(
        Verdict::fault, lower_edge, limits.value("condensing-target.fault_hold_at_ceiling"),
        [&](std::size_t i) { return ceiling.at[i]; }, ceiling.text);
    judge.rule(Verdict::watch, lower_edge, limits.value("condensing-target.watch_hold"));
    judge.least_total = limits.value("observation.least");
    judge.least_run = limits.value("condensing-target.watch_hold");
    judge.condition = calls_logged
                          ? "steady heating while units call"
                          : "steady heating (calls are not in the log; the compressor runs)";
    judge.proof = "Record " + module.text + ".discharge_pressure through at least " +
                  format_duration(judge.least_total) +
                  " of steady heating with indoor units calling.";
    out.push_back(judge.finish());
  }
  return out;
}

}  // namespace cw::check
