#include <algorithm>
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

/// Time with readings in heating or cooling with the unit switched on [s]: a room that holds
/// without calling long has shown what is asked.
double time_on(const CheckContext& context, const Place& unit, const std::vector<double>& distance,
               double step_limit) {
  const Recording& recording = context.recording;
  Follower on(recording, recording.find(unit.text, "unit_on"));
  const std::vector<Mask> masks = room_masks(context, false);
  double total = 0.0;
  std::optional<Instant> last;  // the last reading, where it counts
  for (std::size_t i = 0; i < recording.size(); ++i) {
    if (on.at(i) < 0.5F || masks[i] != Mask::counts) {
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

/// What the room feels while its unit calls. A stopped machine counts where the unit's own flags
/// say that it is on or calls: a set-back at night must not look like a trip. [n_time]
std::vector<Mask> calling_masks(const CheckContext& context, const Place& unit,
                                const CallTrack& calls) {
  const bool flagged = context.recording.find(unit.text, "call") != nullptr ||
                       context.recording.find(unit.text, "unit_on") != nullptr;
  std::vector<Mask> out = room_masks(context, flagged);
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (calls.state[i] != CallTrack::State::yes) out[i] = Mask::ends;
  }
  return out;
}

/// What the machine did to the rooms.
std::string work_text(const CheckContext& context) {
  const std::string steady = steady_text(context, context.phases.system.place, Regime::running);
  return steady == "steady cooling"   ? "cooling"
         : steady == "steady heating" ? "heating"
                                      : "heating and cooling";
}

/// Adds on which side of its set point the room was, at the beginning of the longest window.
void say_direction(const CheckContext& context, const Place& unit, Finding& finding) {
  if (finding.evidence.empty()) return;
  const auto longest = std::max_element(
      finding.evidence.begin(), finding.evidence.end(),
      [](const Evidence& a, const Evidence& b) { return a.window.held < b.window.held; });
  const auto& time = context.recording.time;
  const auto at = static_cast<std::size_t>(
      std::lower_bound(time.begin(), time.end(), longest->window.start) - time.begin());
  Follower set_point(context.recording, context.recording.find(unit.text, "set_point"));
  Follower room(context.recording, controlled_temperature_of(context.recording, unit));
  finding.because +=
      room.at(at) < set_point.at(at) ? " The room is too cold." : " The room is too warm.";
}

}  // namespace

std::vector<Finding> set_point(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  const std::string work = work_text(context);
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    const std::vector<double> distance = distance_track(context, unit);
    const Channel* room = controlled_temperature_of(context.recording, unit);
    const bool has_set_point = context.recording.find(unit.text, "set_point") != nullptr;
    HeldJudge judge(context, "set-point", unit, has_set_point ? room : nullptr, Side::above,
                    calling_masks(context, unit, calls));
    judge.subject = !has_set_point ? "set point"
                    : room == nullptr || room->quantity->name == "controlled_temperature"
                        ? "distance from set point"
                        : "distance from set point (by the " + room->quantity->label + ")";
    if (room == nullptr) judge.subject = "controlled temperature";
    judge.judge_value(Dimension::temperature_difference,
                      [&](std::size_t i, double) { return distance[i]; });
    // What the machine controls is what its own sensor says: the sensor's error is not in the
    // distance. Another sensor stands in for it with its own.
    if (room != nullptr && room->quantity->name == "controlled_temperature") judge.guard = 0.0;
    judge.rule(Verdict::fault, limits.value("set-point.fault_off_by"),
               limits.value("set-point.fault_hold"));
    judge.rule(Verdict::watch, limits.value("set-point.watch_off_by"),
               limits.value("set-point.watch_hold"));
    judge.condition = work + " while the unit calls";
    judge.proof = "Record " + unit.text +
                  ".controlled_temperature, set_point and call through at least " +
                  format_duration(limits.value("set-point.watch_hold")) + " of " + work +
                  " in which the unit calls.";
    Finding finding = judge.finish();
    say_direction(context, unit, finding);
    if (finding.verdict == Verdict::ok && !context.instant) {
      const double hold = limits.value("set-point.watch_hold");
      const double on = time_on(context, unit, distance, longest_step(*room));
      std::string why;
      if (on < hold) {
        why = "Only " + format_duration(on) + " of " + work + " with the unit on.";
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
