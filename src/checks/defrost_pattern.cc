#include <algorithm>
#include <cmath>

#include "checks/catalogue.h"
#include "checks/ceiling.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

Measure measure_of(std::string name, Dimension dimension, std::vector<double> values, double high) {
  Measure out;
  out.name = std::move(name);
  out.dimension = dimension;
  out.value = percentile_of(values, 0.5);
  out.low = percentile_of(values, 0.05);
  out.high = percentile_of(values, 0.95);
  out.expected_high = high;
  return out;
}

/// Time in the phases that a predicate takes [s].
template <class Takes>
double time_in(const Timeline& timeline, Takes takes) {
  double out = 0.0;
  for (const Phase& phase : timeline.phases) {
    if (takes(phase.kind)) out += seconds_between(phase.start, phase.end);
  }
  return out;
}

/// The time between the readings that show the module's defrosts [s].
double interval_of(const CheckContext& context, const Timeline& timeline) {
  for (const char* name : {"defrost", "mode", "coil_temperature"}) {
    const Channel* channel = context.recording.find_upward(timeline.place, name);
    if (channel != nullptr) return channel->interval;
  }
  return 0.0;
}

std::string percent(double share) {
  return std::to_string(static_cast<int>(std::lround(100.0 * share))) + " %";
}

constexpr const char* pattern_id = "defrost-pattern";

double pattern_limit(const CheckContext& context, const char* key) {
  return context.limits.value(std::string(pattern_id) + "." + key);
}

/// The defrosts of a module that are logged from beginning to end.
struct Pattern {
  std::vector<double> lengths;
  std::vector<double> intervals;
  std::vector<double> peaks;
  const Defrost* longest = nullptr;
  double thawing = 0.0;  ///< [s]
  double running = 0.0;  ///< [s]

  double share() const { return running > 0.0 ? thawing / running : 0.0; }
};

Pattern pattern_of(const CheckContext& context, const Timeline& timeline) {
  Pattern out;
  for (const Defrost& d : context.phases.defrosts) {
    if (d.place != timeline.place || !d.complete) continue;
    const double length = seconds_between(d.start, d.end);
    out.lengths.push_back(length);
    if (out.longest == nullptr || length > seconds_between(out.longest->start, out.longest->end)) {
      out.longest = &d;
    }
    if (d.since_last) out.intervals.push_back(*d.since_last);
    if (!std::isnan(d.coil_peak)) out.peaks.push_back(d.coil_peak);
  }
  out.thawing = time_in(timeline, [](PhaseKind k) { return k == PhaseKind::defrost; });
  out.running =
      time_in(timeline, [](PhaseKind k) { return k != PhaseKind::off && k != PhaseKind::unknown; });
  return out;
}

Finding describe(const CheckContext& context, const Timeline& timeline, const Pattern& pattern) {
  Finding out;
  out.check = pattern_id;
  out.place = timeline.place;
  out.dimension = Dimension::time;
  out.observed = pattern.running;
  out.measures = {
      measure_of("defrost_length", Dimension::time, pattern.lengths,
                 pattern_limit(context, "watch_length")),
      measure_of("defrost_interval", Dimension::time, pattern.intervals, Measure::none),
      measure_of("defrost_coil_peak", Dimension::temperature, pattern.peaks, Measure::none),
      measure_of("defrost_share_of_running", Dimension::ratio, {pattern.share()},
                 pattern_limit(context, "watch_share"))};
  out.measures[0].uncertainty = interval_of(context, timeline);
  std::vector<double> lengths = pattern.lengths;
  out.because = std::to_string(lengths.size()) + " defrosts of " +
                format_duration(percentile_of(lengths, 0.5)) + " as a rule";
  std::vector<double> intervals = pattern.intervals;
  if (!intervals.empty()) {
    out.because += ", " + format_duration(percentile_of(intervals, 0.5)) + " apart";
  }
  out.because += ", in " + percent(pattern.share()) + " of the running time.";
  return out;
}

/// Start and end are each known to a step of the log; what was worked out from the coil begins
/// late.
void judge(const CheckContext& context, const Timeline& timeline, const Pattern& pattern,
           Finding& out) {
  const double allowed = pattern_limit(context, "watch_length");
  const double step = interval_of(context, timeline);
  const Defrost& longest = *pattern.longest;
  const double worst = seconds_between(longest.start, longest.end);
  const double longer =
      step + (timeline.inferred_defrost ? pattern_limit(context, "inferred_late") : 0.0);
  out.verdict = Verdict::ok;
  if (worst - step > allowed) {
    out.verdict = Verdict::watch;
    out.evidence.push_back(
        {Verdict::watch, {longest.start, longest.end, worst, allowed, worst}, {}});
    out.because += " That of " + format_instant(longest.start, context.recording.clock) + " took " +
                   format_duration(worst) + ".";
  } else if (pattern.share() > pattern_limit(context, "watch_share")) {
    out.verdict = Verdict::watch;
    out.evidence.push_back(
        {Verdict::watch,
         {timeline.phases.front().start, timeline.phases.back().end, pattern.share(),
          pattern_limit(context, "watch_share"), pattern.thawing},
         Dimension::ratio});
  } else if (worst + longer > allowed) {
    out.verdict = Verdict::unproven;
    out.because +=
        " The longest took " + format_duration(worst) + " between readings every " +
        format_duration(step) +
        (timeline.inferred_defrost ? ", worked out from the coil, which shows it late" : "") +
        ": too coarse to tell it from " + format_duration(allowed) + ".";
    out.proof = "Record " + timeline.place.text +
                ".defrost (or coil_temperature) at least every 30 s through two defrosts.";
  }
}

}  // namespace

std::vector<Finding> defrost_pattern(const CheckContext& context) {
  std::vector<Finding> out;
  for (const Timeline& timeline : context.phases.modules) {
    const Pattern pattern = pattern_of(context, timeline);
    if (pattern.lengths.size() < 2) {
      out.push_back(unproven(pattern_id, timeline.place,
                             "The log shows fewer than two defrosts from beginning to end.",
                             "Record the defrost flag or the outdoor coil's temperature through "
                             "some hours of frosting weather."));
      continue;
    }
    Finding finding = describe(context, timeline, pattern);
    judge(context, timeline, pattern, finding);
    out.push_back(std::move(finding));
  }
  return out;
}

std::vector<Finding> compressor_ceiling(const CheckContext& context) {
  const std::string id = "compressor-ceiling";
  const Recording& recording = context.recording;
  const double warm = context.limits.value(id + ".warm_above");
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const CeilingTrack ceiling = track_ceiling(context, module);
    const std::vector<Mask> masks = network_masks(context, module, Regime::running);
    Follower outdoor(recording, outdoor_temperature_of(recording, module));
    double counted = 0.0;
    double full = 0.0;
    double warm_run = 0.0;
    double longest = 0.0;
    Instant run_end;
    std::vector<double> air;
    for (std::size_t i = 1; i < recording.size(); ++i) {
      const float t = outdoor.at(i);
      const double step = seconds_between(recording.time[i - 1], recording.time[i]);
      if (masks[i] == Mask::ends || step > 1800.0) warm_run = 0.0;
      if (masks[i] != Mask::counts || masks[i - 1] != Mask::counts || step > 1800.0) continue;
      counted += step;
      if (!ceiling.at[i]) {
        warm_run = 0.0;
        continue;
      }
      full += step;
      if (!is_missing(t)) air.push_back(static_cast<double>(t));
      warm_run = static_cast<double>(t) > warm ? warm_run + step : 0.0;
      if (warm_run > longest) {
        longest = warm_run;
        run_end = recording.time[i];
      }
    }
    if (!ceiling.known || counted < context.limits.value("observation.least")) {
      out.push_back(unproven(
          id, module,
          ceiling.known ? "The log shows " + format_duration(counted) + " of steady work only."
                        : "The log does not show the compressor's ceiling.",
          "Record " + module.text +
              ".compressor_frequency with compressor_frequency_limit (or "
              "compressor_load) and outdoor_temperature."));
      continue;
    }
    Finding f;
    f.check = id;
    f.place = module;
    f.dimension = Dimension::time;
    f.observed = counted;
    f.measures = {
        measure_of("share_at_ceiling", Dimension::ratio, {full / counted}, Measure::none),
        measure_of("outdoor_temperature_at_ceiling", Dimension::temperature, air, Measure::none)};
    f.because = "The compressor worked at its ceiling for " + format_duration(full) + " of " +
                format_duration(counted) + " (" + percent(full / counted) + ")";
    if (!air.empty()) {
      f.because += ", with " +
                   format_si(percentile_of(air, 0.5), Dimension::temperature, context.units) +
                   " outdoors as a rule";
    }
    f.because += ".";
    f.verdict = Verdict::ok;
    if (longest >= context.limits.value(id + ".watch_hold")) {
      f.verdict = Verdict::watch;
      const Instant start{run_end.ms - static_cast<std::int64_t>(longest * 1e3)};
      f.evidence.push_back(
          {Verdict::watch,
           {start, run_end, longest, context.limits.value(id + ".watch_hold"), longest},
           {}});
      f.because += " For " + format_duration(longest) + " up to " +
                   format_instant(run_end, recording.clock) + " although it was warmer than " +
                   format_si(warm, Dimension::temperature, context.units) + ".";
    }
    out.push_back(std::move(f));
  }
  return out;
}

}  // namespace cw::check
