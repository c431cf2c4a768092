#include <cmath>
#include <optional>

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

/// Time with readings in steady heating with the unit switched on [s]: a room that holds without
/// calling long has shown what is asked.
double time_on(const CheckContext& context, const Place& unit, const std::vector<double>& distance,
               double step_limit) {
  const Recording& recording = context.recording;
  Follower on(recording, recording.find(unit.text, "unit_on"));
  double total = 0.0;
  std::optional<Instant> last;  // the last reading, where it counts
  for (std::size_t i = 0; i < recording.size(); ++i) {
    if (on.at(i) < 0.5F || heating_mask(context.phases.system.kind_at[i]) != Mask::counts) {
      last = std::nullopt;
      continue;
    }
    if (std::isnan(distance[i])) continue;
    const Instant now = recording.time[i];
    if (last && seconds_between(*last, now) <= step_limit) total += seconds_between(*last, now);
    last = now;
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
    if (finding.verdict == Verdict::ok) {
      const double hold = limits.value("set-point.watch_hold");
      const double on = time_on(context, unit, distance, longest_step(*room));
      std::string why;
      if (on < hold) {
        why = "Only " + format_duration(on) + " of steady heating with the unit on.";
      } else if (judge.beyond_share() > 0.5 && judge.longest_run() < hold) {
        // Nothing was held for the hold time, because nothing was seen that long.
        why = "The unit called for at most " + format_duration(judge.longest_run()) +
              " at a time and was off by more than " +
              format_si(limits.value("set-point.watch_off_by"), Dimension::temperature_difference,
                        context.units) +
              " for most of it.";
      }
      if (!why.empty()) {
        Finding open = unproven("set-point", unit, why, judge.proof);
        open.channel = finding.channel;
        open.dimension = finding.dimension;
        open.observed = finding.observed;
        finding = std::move(open);
      }
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
