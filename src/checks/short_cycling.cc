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
  const char* measure;
  const char* looks_like;
};
constexpr std::array protections = {
    Protection{"saturated_condensing_temperature", "the saturated condensing temperature",
               "short-cycling.high_condensing", true, "stops_at_high_condensing",
               "the high-pressure protection. Too little air over the coil that condenses, too "
               "much refrigerant, air or nitrogen in it, or a way that is shut can do that"},
    Protection{"discharge_temperature", "the discharge temperature", "short-cycling.hot_discharge",
               true, "stops_at_hot_discharge",
               "the protection against hot discharge gas. Too little refrigerant, a valve too far "
               "closed, too little air over the coil that evaporates, or what drives the "
               "condensing pressure up can do that"},
    Protection{"saturated_evaporating_temperature", "the saturated evaporating temperature",
               "short-cycling.low_evaporating", false, "stops_at_low_evaporating",
               "the low-pressure protection. Too little refrigerant, a valve too far closed or too "
               "little air over the coil that evaporates can do that"},
};

/// Samples at which the module has just stopped although units call.
std::vector<std::size_t> stops_while_calling(const CheckContext& context,
                                             const Timeline& timeline) {
  std::vector<std::size_t> out;
  if (!calls_are_logged(context)) return out;
  const std::vector<bool> called = anyone_calls(context);
  const auto ran = [](PhaseKind kind) {
    return kind == PhaseKind::starting || kind == PhaseKind::heating ||
           kind == PhaseKind::cooling || kind == PhaseKind::mixed;
  };
  for (std::size_t i = 1; i < timeline.kind_at.size(); ++i) {
    const bool stops = timeline.kind_at[i] == PhaseKind::off && ran(timeline.kind_at[i - 1]);
    if (stops && called[i] && called[i - 1]) out.push_back(i);
  }
  return out;
}

/// The reading farthest towards the protection just before a stop: it may have acted between two
/// readings, so that the last one alone says little.
std::optional<double> reached_before(const CheckContext& context, const Channel& channel,
                                     std::size_t stop, bool above) {
  constexpr double just_before_s = 150.0;
  std::optional<double> out;
  for (std::size_t i = stop; i-- > 0;) {
    const std::vector<Instant>& time = context.recording.time;
    if (seconds_between(time[i], time[stop]) > just_before_s) break;
    if (is_missing(channel.values[i])) continue;
    const auto value = static_cast<double>(channel.values[i]);
    if (!out || (above ? value > *out : value < *out)) out = value;
  }
  return out;
}

/// Which protection most stops look like; nothing where the log does not show it.
void tell_stops(const CheckContext& context, const Timeline& timeline, Finding& out) {
  constexpr std::size_t fewest = 3;
  constexpr double most = 0.7;  // of the stops; own choice
  const std::vector<std::size_t> stops = stops_while_calling(context, timeline);
  for (const Protection& p : protections) {
    const Channel* channel = context.recording.find_upward(timeline.place, p.quantity);
    if (channel == nullptr) continue;
    const double limit = context.limits.value(p.limit);
    std::size_t seen = 0;
    std::size_t there = 0;
    double mildest = std::numeric_limits<double>::quiet_NaN();
    for (const std::size_t stop : stops) {
      const auto reached = reached_before(context, *channel, stop, p.above);
      if (!reached) continue;
      ++seen;
      if (p.above ? *reached < limit : *reached > limit) continue;
      ++there;
      mildest = p.above ? std::fmin(mildest, *reached) : std::fmax(mildest, *reached);
    }
    if (there < fewest || static_cast<double>(there) < most * static_cast<double>(seen)) continue;
    Measure measure;
    measure.name = p.measure;
    measure.dimension = Dimension::count;
    measure.value = measure.low = measure.high = static_cast<double>(there);
    measure.seconds = out.observed;
    out.measures.push_back(measure);
    out.because += " Just before " + std::to_string(there) + " of " + std::to_string(seen) +
                   " stops while units call, " + p.subject + " stood at " +
                   format_si(mildest, Dimension::temperature, context.units) +
                   (p.above ? " or above" : " or below") + ": that looks like " + p.looks_like +
                   ".";
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
    tell_stops(context, timeline, out);
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
