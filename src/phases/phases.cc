#include "phases/phases.h"

#include <algorithm>
#include <cmath>

#include "phases/detail/evidence.h"

namespace cw {

std::string_view name_of(PhaseKind kind) noexcept {
  switch (kind) {
    case PhaseKind::off:
      return "off";
    case PhaseKind::starting:
      return "starting";
    case PhaseKind::heating:
      return "heating";
    case PhaseKind::cooling:
      return "cooling";
    case PhaseKind::mixed:
      return "mixed";
    case PhaseKind::defrost:
      return "defrost";
    case PhaseKind::recovering:
      return "recovering";
    case PhaseKind::unknown:
      return "unknown";
  }
  return "unknown";
}

Work Timeline::work() const {
  const auto seen = [&](PhaseKind kind) {
    return std::find(kind_at.begin(), kind_at.end(), kind) != kind_at.end();
  };
  Work out{.heats = seen(PhaseKind::heating) || seen(PhaseKind::defrost),
           .cools = seen(PhaseKind::cooling),
           .mixes = seen(PhaseKind::mixed)};
  if (out.heats || out.cools || out.mixes) return out;
  return {.heats = heats, .cools = cools, .mixes = false};
}

const Timeline& Phases::timeline_of(const Place& place) const {
  const std::string module = place.module();
  for (const Timeline& timeline : modules) {
    if (timeline.place.text == module) return timeline;
  }
  return system;
}

namespace {

/// Is the direction open for more than half of the time in which the compressor runs?
bool direction_is_open(const Recording& recording, const detail::Evidence& evidence) {
  std::size_t running = 0;
  std::size_t open = 0;
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const detail::Raw raw = evidence.raw[i];
    if (raw == detail::Raw::off || raw == detail::Raw::unknown) continue;
    ++running;
    open += raw == detail::Raw::running ? 1U : 0U;
  }
  return open * 2 > running;
}

}  // namespace

Phases find_phases(const Recording& recording, const PhaseOptions& options) {
  Phases out;
  std::vector<Place> modules = recording.places(PlaceKind::outdoor);
  for (const Place& compressor : recording.places(PlaceKind::compressor)) {
    const Place module = *parse_place(compressor.module());
    if (std::find(modules.begin(), modules.end(), module) == modules.end())
      modules.push_back(module);
  }
  std::sort(modules.begin(), modules.end(), place_before);
  // A log of indoor units alone still has phases, as far as their coils show them.
  if (modules.empty()) modules.push_back(*parse_place("system"));
  for (const Place& module : modules) {
    const detail::Evidence evidence = detail::gather_evidence(recording, module, options);
    out.modules.push_back(detail::make_timeline(recording, module, evidence, options));
    if (evidence.run_source.empty()) {
      out.notes.push_back(
          module.label() + ": no channel shows whether a compressor runs (" +
          "compressor_frequency, compressor_on, compressor_load, power, current or " +
          "both pressures would).");
    } else if (evidence.inferred_mode) {
      out.notes.push_back(module.label() + ": heating or cooling is inferred from " +
                          evidence.heat_source + "; running from " + evidence.run_source + ".");
    }
    if (direction_is_open(recording, evidence)) {
      out.notes.push_back(
          module.label() +
          ": the compressor runs, but nothing shows whether it heats or cools. Record "
          "the mode, or outdoor temperature with coil_temperature, or pipe "
          "temperatures of indoor units; or state it" +
          told(options.reader, " with --mode.", ", where the page asks for it."));
    }
    if (evidence.defrost_source.empty()) {
      out.notes.push_back(module.label() +
                          ": a defrost could not be seen (no flag, no coil temperature).");
    }
    for (Defrost& defrost : detail::list_defrosts(recording, out.modules.back())) {
      out.defrosts.push_back(std::move(defrost));
    }
  }
  std::stable_sort(out.defrosts.begin(), out.defrosts.end(),
                   [](const Defrost& a, const Defrost& b) { return a.start < b.start; });
  out.system = detail::combine_timelines(recording, out.modules);
  return out;
}

namespace detail {
namespace {

bool heats(PhaseKind kind) {
  return kind == PhaseKind::heating || kind == PhaseKind::mixed || kind == PhaseKind::recovering ||
         kind == PhaseKind::starting;
}

/// Median of a channel's readings in [from, to] while the module heats; nan without any. A coil at
/// rest says nothing about frost.
double median_between(const Recording& recording, const Timeline& timeline, const Channel* channel,
                      Instant from, Instant to) {
  if (channel == nullptr) return std::nan("");
  const auto& time = recording.time;
  std::vector<float> values;
  for (auto i = static_cast<std::size_t>(std::lower_bound(time.begin(), time.end(), from) -
                                         time.begin());
       i < time.size() && time[i] <= to; ++i) {
    if (!heats(timeline.kind_at[i])) continue;
    if (!is_missing(channel->values[i])) values.push_back(channel->values[i]);
  }
  if (values.empty()) return std::nan("");
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return static_cast<double>(*middle);
}

double peak_between(const Recording& recording, const Channel* channel, Instant from, Instant to) {
  double peak = std::nan("");
  if (channel == nullptr) return peak;
  const auto& time = recording.time;
  for (auto i = static_cast<std::size_t>(std::lower_bound(time.begin(), time.end(), from) -
                                         time.begin());
       i < time.size() && time[i] <= to; ++i) {
    const double v = static_cast<double>(channel->values[i]);
    if (!std::isnan(v) && !(peak >= v)) peak = v;
  }
  return peak;
}

Instant later(Instant t, double seconds) {
  return {t.ms + static_cast<std::int64_t>(seconds * 1e3)};
}

bool is_gap(const Phase& phase) {
  return phase.kind == PhaseKind::unknown && phase.why == "no readings";
}

/// Readings of a channel in [from, to].
std::size_t count_between(const Recording& recording, const Channel* channel, Instant from,
                          Instant to) {
  if (channel == nullptr) return 0;
  const auto& time = recording.time;
  std::size_t count = 0;
  for (auto i = static_cast<std::size_t>(std::lower_bound(time.begin(), time.end(), from) -
                                         time.begin());
       i < time.size() && time[i] <= to; ++i) {
    count += is_missing(channel->values[i]) ? 0U : 1U;
  }
  return count;
}

/// The defrost that ends with phase k and began at `start`.
Defrost describe(const Recording& recording, const Timeline& timeline, std::size_t k,
                 Instant start) {
  const Channel* coil = recording.find(timeline.place.text, "coil_temperature");
  const Channel* outdoor = outdoor_temperature_of(recording, timeline.place);
  const Phase& phase = timeline.phases[k];
  Defrost defrost;
  defrost.complete =
      k + 1 < timeline.phases.size() && timeline.phases[k + 1].kind != PhaseKind::unknown;
  defrost.place = timeline.place;
  defrost.start = start;
  defrost.end = phase.end;
  const Instant before = later(start, -300.0);
  defrost.coil_before = median_between(recording, timeline, coil, before, later(start, -1.0));
  // Two readings of a slow logger can both miss the peak.
  constexpr std::size_t enough = 3;
  if (count_between(recording, coil, start, later(phase.end, 60.0)) >= enough) {
    defrost.coil_peak = peak_between(recording, coil, start, later(phase.end, 60.0));
  } else {
    defrost.coil_peak = std::nan("");
  }
  defrost.coil_after =
      median_between(recording, timeline, coil, later(phase.end, 600.0), later(phase.end, 1200.0));
  defrost.outdoor_before = median_between(recording, timeline, outdoor, before, start);
  defrost.outdoor_after = median_between(recording, timeline, outdoor, later(phase.end, 600.0),
                                         later(phase.end, 1200.0));
  return defrost;
}

}  // namespace

std::vector<Defrost> list_defrosts(const Recording& recording, const Timeline& timeline) {
  std::vector<Defrost> out;
  for (std::size_t k = 0; k < timeline.phases.size(); ++k) {
    const Phase& phase = timeline.phases[k];
    if (phase.kind != PhaseKind::defrost) continue;
    const bool goes_on = k >= 2 && timeline.phases[k - 2].kind == PhaseKind::defrost &&
                         is_gap(timeline.phases[k - 1]) &&
                         seconds_between(timeline.phases[k - 1].start, phase.end) < 1200.0;
    if (goes_on && !out.empty()) {
      // A few lost rows do not make two defrosts of one.
      const Instant start = out.back().start;
      const std::optional<double> since = out.back().since_last;
      out.pop_back();
      out.push_back(describe(recording, timeline, k, start));
      out.back().since_last = since;
      continue;
    }
    Defrost defrost = describe(recording, timeline, k, phase.start);
    if (!out.empty()) defrost.since_last = seconds_between(out.back().end, phase.start);
    out.push_back(std::move(defrost));
  }
  return out;
}

}  // namespace detail
}  // namespace cw
