#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "base/unit_text.h"
#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

constexpr const char* id = "short-cycling";

/// The starts of a module that the log shows: a rest with readings up to the start.
std::vector<Instant> starts_of(const Timeline& timeline) {
  std::vector<Instant> out;
  for (std::size_t k = 1; k < timeline.phases.size(); ++k) {
    const PhaseKind now = timeline.phases[k].kind;
    if (timeline.phases[k - 1].kind == PhaseKind::off && now != PhaseKind::off &&
        now != PhaseKind::unknown) {
      out.push_back(timeline.phases[k].start);
    }
  }
  return out;
}

/// Time in which the log shows whether the module runs [s].
double known_time(const Timeline& timeline) {
  double out = 0.0;
  for (const Phase& phase : timeline.phases) {
    if (phase.kind != PhaseKind::unknown) out += seconds_between(phase.start, phase.end);
  }
  return out;
}

/// What a compressor is stopped by when it stands there, and what can drive it there (common
/// practice, no source).
struct Protection {
  const char* quantity;
  const char* subject;
  const char* limit;  ///< of the limit sheet
  bool above;
  /// A protection acts where the machine goes farthest: so near to that the stops are [K]. Wider
  /// for what rises steeply between two readings. Own choice.
  double near_top_K;
  const char* measure;
  const char* may_be;
};
constexpr std::array protections = {
    Protection{"saturated_condensing_temperature", "the saturated condensing temperature",
               "short-cycling.high_condensing", true, 4.0, "stops_at_high_condensing",
               "the high-pressure protection may have acted. Too little air over the coil that "
               "condenses, too much refrigerant, air or nitrogen in it, or a closed valve can "
               "do that"},
    Protection{"discharge_temperature", "the discharge temperature", "short-cycling.hot_discharge",
               true, 15.0, "stops_at_hot_discharge",
               "the protection against hot discharge gas may have acted. Too little refrigerant, a "
               "valve too far closed, too little air over the coil that evaporates, or what "
               "drives the condensing pressure up can do that"},
    Protection{
        "saturated_evaporating_temperature", "the saturated evaporating temperature",
        "short-cycling.low_evaporating", false, 6.0, "stops_at_low_evaporating",
        "the low-pressure protection may have acted. Too little refrigerant, a valve too far "
        "closed or too little air over the coil that evaporates can do that"},
};

/// Samples between two times at which the whole machine has just stopped although units call. A
/// module that rests while another goes on has been staged off, not stopped by a protection.
std::vector<std::size_t> stops_while_calling(const CheckContext& context, const Timeline& timeline,
                                             const Window& between) {
  std::vector<std::size_t> out;
  if (!calls_are_logged(context)) return out;
  const std::vector<bool> called = anyone_calls(context);
  const auto ran = [](PhaseKind kind) {
    return kind != PhaseKind::off && kind != PhaseKind::unknown && kind != PhaseKind::defrost;
  };
  const std::vector<PhaseKind>& all = context.phases.system.kind_at;
  for (std::size_t i = 1; i < timeline.kind_at.size(); ++i) {
    const Instant time = context.recording.time[i];
    if (time.ms < between.start.ms || time.ms > between.end.ms) continue;
    if (all[i] == PhaseKind::off && ran(timeline.kind_at[i - 1]) && called[i]) out.push_back(i);
  }
  return out;
}

/// The readings of a protection's quantity at a module or its compressors, and how far towards the
/// protection they go.
class Reach {
 public:
  Reach(const CheckContext& context, const Place& module, const Protection& protection)
      : time_(context.recording.time), above_(protection.above) {
    for (const Place& place : judged_places(context.recording, module, protection.quantity)) {
      const Channel* channel = context.recording.find_upward(place, protection.quantity);
      if (channel != nullptr) channels_.push_back(channel);
    }
  }
  bool further(double a, double b) const { return above_ ? a > b : a < b; }
  /// The farthest of the samples before `end`, not more than `seconds` before it.
  std::optional<double> before(std::size_t end, double seconds) const {
    std::optional<double> out;
    for (std::size_t i = end; i-- > 0;) {
      if (seconds_between(time_[i], time_[end]) > seconds) break;
      for (const Channel* channel : channels_) {
        if (is_missing(channel->values[i])) continue;
        const auto value = static_cast<double>(channel->values[i]);
        if (!out || further(value, *out)) out = value;
      }
    }
    return out;
  }

 private:
  const std::vector<Instant>& time_;
  bool above_;
  std::vector<const Channel*> channels_;
};

/// Which protection most stops between two times look like; nothing where the log does not show it.
void tell_stops(const CheckContext& context, const Timeline& timeline, const Window& between,
                Finding& out) {
  constexpr std::size_t fewest = 3;
  constexpr double most = 0.7;  // of the stops; own choice
  // It may have acted between two readings, so that the last one alone says little.
  constexpr double just_before_s = 150.0;
  const std::vector<std::size_t> stops = stops_while_calling(context, timeline, between);
  if (stops.size() < fewest) return;
  for (const Protection& p : protections) {
    const Reach reach(context, timeline.place, p);
    const auto top =
        reach.before(stops.back(), seconds_between(between.start, between.end) + just_before_s);
    const double limit = context.limits.value(p.limit);
    std::size_t there = 0;
    double mildest = std::numeric_limits<double>::quiet_NaN();
    for (const std::size_t stop : stops) {
      const auto reached = reach.before(stop, just_before_s);
      if (!reached || reach.further(limit, *reached)) continue;
      if (std::abs(*reached - *top) > p.near_top_K) continue;
      ++there;
      mildest = p.above ? std::fmin(mildest, *reached) : std::fmax(mildest, *reached);
    }
    if (there < fewest || static_cast<double>(there) < most * static_cast<double>(stops.size())) {
      continue;
    }
    Measure measure;
    measure.name = p.measure;
    measure.dimension = Dimension::count;
    measure.value = measure.low = measure.high = static_cast<double>(there);
    measure.seconds = seconds_between(between.start, between.end);
    out.measures.push_back(measure);
    out.because += " Just before " + std::to_string(there) + " of " + std::to_string(stops.size()) +
                   " stops of the whole machine in that time, while units called, " + p.subject +
                   " stood at " + format_si(mildest, Dimension::temperature, context.units) +
                   (p.above ? " or above: " : " or below: ") + p.may_be +
                   "; what it was stands in the machine's own record of stops, if it keeps one.";
    return;
  }
}

Finding judge_module(const CheckContext& context, const Timeline& timeline) {
  const double span = context.limits.value("short-cycling.span");
  const double watch = context.limits.value("short-cycling.watch_starts");
  const double fault = context.limits.value("short-cycling.fault_starts");
  Finding out;
  out.check = id;
  out.place = timeline.place;
  out.dimension = Dimension::count;
  out.observed = known_time(timeline);
  const std::vector<Instant> starts = starts_of(timeline);
  std::size_t most = 0;
  std::size_t most_at = 0;
  for (std::size_t first = 0, last = 0; last < starts.size(); ++last) {
    while (seconds_between(starts[first], starts[last]) > span) ++first;
    if (last - first + 1 > most) {
      most = last - first + 1;
      most_at = first;
    }
  }
  Measure measure;
  measure.name = "most_starts_in_span";
  measure.dimension = Dimension::count;
  measure.value = measure.low = measure.high = static_cast<double>(most);
  measure.expected_high = watch;
  measure.seconds = out.observed;
  out.measures.push_back(measure);
  const auto count = static_cast<double>(most);
  if (count > watch) {
    out.verdict = count > fault ? Verdict::fault : Verdict::watch;
    const Instant from = starts[most_at];
    const Instant to = starts[most_at + most - 1];
    out.evidence.push_back({out.verdict, {from, to, count, watch, seconds_between(from, to)}, {}});
    out.because = "The compressor started " + std::to_string(most) + " times within " +
                  format_duration(span) + ", from " +
                  format_instant(from, context.recording.clock) + "; " +
                  std::to_string(starts.size()) + " starts in all.";
    constexpr std::int64_t margin_ms = 600'000;  // the stop after the last start
    tell_stops(
        context, timeline,
        {{from.ms - margin_ms}, {to.ms + margin_ms}, count, watch, seconds_between(from, to)}, out);
    return out;
  }
  if (out.observed < span) {
    return unproven(
        id, timeline.place,
        "The log shows for " + format_duration(out.observed) + " only whether a compressor runs.",
        "Record " + timeline.place.text + ".compressor_frequency for at least " +
            format_duration(span) + ".");
  }
  out.verdict = Verdict::ok;
  out.because = std::to_string(starts.size()) + (starts.size() == 1 ? " start" : " starts") +
                " in " + format_duration(out.observed) + ", at most " + std::to_string(most) +
                " within " + format_duration(span) + ".";
  return out;
}

}  // namespace

std::vector<Finding> short_cycling(const CheckContext& context) {
  std::vector<Finding> out;
  for (const Timeline& timeline : context.phases.modules) {
    out.push_back(judge_module(context, timeline));
  }
  return out;
}

}  // namespace cw::check
