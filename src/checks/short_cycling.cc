#include <algorithm>

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
