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

}  // namespace

std::vector<Finding> defrost_pattern(const CheckContext& context) {
  const std::string id = "defrost-pattern";
  const double longest_allowed = context.limits.value(id + ".watch_length");
  const double share_allowed = context.limits.value(id + ".watch_share");
  std::vector<Finding> out;
  for (const Timeline& timeline : context.phases.modules) {
    std::vector<double> lengths;
    std::vector<double> intervals;
    std::vector<double> peaks;
    const Defrost* longest = nullptr;
    for (const Defrost& d : context.phases.defrosts) {
      if (d.place != timeline.place || !d.complete) continue;
      lengths.push_back(seconds_between(d.start, d.end));
      if (longest == nullptr || lengths.back() > seconds_between(longest->start, longest->end)) {
        longest = &d;
      }
      if (d.since_last) intervals.push_back(*d.since_last);
      if (!std::isnan(d.coil_peak)) peaks.push_back(d.coil_peak);
    }
    const double thawing = time_in(timeline, [](PhaseKind k) { return k == PhaseKind::defrost; });
    const double running = time_in(
        timeline, [](PhaseKind k) { return k != PhaseKind::off && k != PhaseKind::unknown; });
    if (lengths.size() < 2) {
      out.push_back(unproven(id, timeline.place,
                             "The log shows fewer than two defrosts from beginning to end.",
                             "Record the defrost flag or the outdoor coil's temperature through "
                             "some hours of frosting weather."));
      continue;
    }
    const double share = running > 0.0 ? thawing / running : 0.0;
    Finding f;
    f.check = id;
    f.place = timeline.place;
    f.dimension = Dimension::time;
    f.observed = running;
    f.measures = {measure_of("defrost_length", Dimension::time, lengths, longest_allowed),
                  measure_of("defrost_interval", Dimension::time, intervals, Measure::none),
                  measure_of("defrost_coil_peak", Dimension::temperature, peaks, Measure::none),
                  measure_of("defrost_share_of_running", Dimension::ratio, {share}, share_allowed)};
    std::vector<double> copy = lengths;
    const double length = percentile_of(copy, 0.5);
    f.because =
        std::to_string(lengths.size()) + " defrosts of " + format_duration(length) + " as a rule";
    if (!intervals.empty()) {
      f.because += ", " + format_duration(percentile_of(intervals, 0.5)) + " apart";
    }
    f.because += ", in " + percent(share) + " of the running time.";
    f.verdict = Verdict::ok;
    const double worst = seconds_between(longest->start, longest->end);
    // Start and end are each known to a step of the log; what was worked out from the coil begins
    // late.
    const double step = interval_of(context, timeline);
    const double longer =
        step + (timeline.inferred_defrost ? context.limits.value(id + ".inferred_late") : 0.0);
    f.measures[0].uncertainty = step;
    const bool surely = worst - step > longest_allowed;
    if (!surely && worst + longer > longest_allowed) {
      f.verdict = Verdict::unproven;
      f.because +=
          " The longest took " + format_duration(worst) + " between readings every " +
          format_duration(step) +
          (timeline.inferred_defrost ? ", worked out from the coil, which shows it late" : "") +
          ": too coarse to tell it from " + format_duration(longest_allowed) + ".";
      f.proof = "Record " + timeline.place.text +
                ".defrost (or coil_temperature) at least every 30 s through two defrosts.";
    } else if (surely) {
      f.verdict = Verdict::watch;
      f.evidence.push_back(
          {Verdict::watch, {longest->start, longest->end, worst, longest_allowed, worst}, {}});
      f.because += " That of " + format_instant(longest->start, context.recording.clock) +
                   " took " + format_duration(worst) + ".";
    } else if (share > share_allowed) {
      f.verdict = Verdict::watch;
      f.evidence.push_back({Verdict::watch,
                            {timeline.phases.front().start, timeline.phases.back().end, share,
                             share_allowed, thawing},
                            Dimension::ratio});
    }
    out.push_back(std::move(f));
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
