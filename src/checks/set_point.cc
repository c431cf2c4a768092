#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

/// Distance from the set point at each index; nan where either is missing. [n_time]
std::vector<double> distance_track(const CheckContext& context, const Place& unit) {
  const Recording& recording = context.recording;
  Follower set_point(recording, recording.find(unit.text, "set_point"));
  std::vector<double> out(recording.size(), std::nan(""));
  const Channel* room = controlled_temperature_of(recording, unit);
  for (std::size_t i = 0; room != nullptr && i < out.size(); ++i) {
    const float set = set_point.at(i);
    if (is_missing(set) || is_missing(room->values[i])) continue;
    out[i] = std::abs(static_cast<double>(set) - static_cast<double>(room->values[i]));
  }
  return out;
}

/// Time in steady heating with the unit switched on [s]: a room that holds without calling long has
/// shown what is asked.
double time_on(const CheckContext& context, const Place& unit) {
  const Recording& recording = context.recording;
  Follower on(recording, recording.find(unit.text, "unit_on"));
  double total = 0.0;
  for (std::size_t i = 1; i < recording.size(); ++i) {
    const bool off = on.at(i) < 0.5F;
    if (!off && heating_mask(context.phases.system.kind_at[i]) == Mask::counts &&
        heating_mask(context.phases.system.kind_at[i - 1]) == Mask::counts) {
      total += seconds_between(recording.time[i - 1], recording.time[i]);
    }
  }
  return total;
}

}  // namespace

std::vector<Finding> set_point(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    const std::vector<double> distance = distance_track(context, unit);
    const Channel* room = controlled_temperature_of(context.recording, unit);
    const bool has_set_point = context.recording.find(unit.text, "set_point") != nullptr;
    HeldJudge judge(context, "set-point", unit, has_set_point ? room : nullptr, Side::above,
                    [&](std::size_t i) {
                      const Mask mask = heating_mask(context.phases.system.kind_at[i]);
                      if (mask == Mask::ends) return mask;
                      return calls.state[i] == CallTrack::State::yes ? mask : Mask::ends;
                    });
    judge.subject = !has_set_point ? "set point"
                    : room == nullptr || room->quantity->name == "controlled_temperature"
                        ? "distance from set point"
                        : "distance from set point (by the " + room->quantity->label + ")";
    if (room == nullptr) judge.subject = "controlled temperature";
    judge.judge_value(Dimension::temperature_difference,
                      [&](std::size_t i, double) { return distance[i]; });
    judge.rule(Verdict::fault, limits.value("set-point.fault_off_by"),
               limits.value("set-point.fault_hold"));
    judge.rule(Verdict::watch, limits.value("set-point.watch_off_by"),
               limits.value("set-point.watch_hold"));
    judge.condition = "steady heating while the unit calls";
    judge.proof = "Record " + unit.text +
                  ".controlled_temperature, set_point and call through at least " +
                  format_duration(limits.value("set-point.watch_hold")) +
                  " of steady heating in which the unit calls.";
    Finding finding = judge.finish();
    const double on = time_on(context, unit);
    if (finding.verdict == Verdict::ok && on < limits.value("set-point.watch_hold")) {
      const std::string channel = finding.channel;
      finding = unproven("set-point", unit,
                         "Only " + format_duration(on) + " of steady heating with the unit on.",
                         judge.proof);
      finding.channel = channel;
      finding.dimension = Dimension::temperature_difference;
    }
    out.push_back(std::move(finding));
  }
  if (out.empty()) {
    out.push_back(
        unproven("set-point", *parse_place("system"), "No indoor unit in the log.",
                 "Record controlled_temperature, set_point and call of each indoor unit."));
  }
  return out;
}

}  // namespace cw::check
