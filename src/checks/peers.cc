#include <algorithm>
#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

/// A comparison needs no more moments than this, spread over the recording.
constexpr std::size_t enough = 4000;

std::size_t stride_of(const Recording& recording) {
  return std::max<std::size_t>(1, recording.size() / enough);
}

/// Deviations of one place from its peers at the moments at which both could be seen.
struct Deviations {
  Place place;
  const Channel* channel = nullptr;
  std::vector<double> values;
  Instant first;
  Instant last;
};

struct PeerUnit {
  const Channel* pipe = nullptr;
  std::vector<bool> settled;  ///< [n_time] calls, and has for the settling time
};

std::vector<bool> settled_calls(const CheckContext& context, const Place& unit, double settle) {
  std::vector<Mask> masks(context.recording.size(), Mask::counts);
  keep_calling(context, track_calls(context, unit), settle, masks);
  std::vector<bool> out(masks.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = masks[i] == Mask::counts;
  return out;
}

/// Median over the whole group of what each unit's pipe reads.
double middle_of(std::vector<double> values) { return percentile_of(values, 0.5); }

Finding start_finding(std::string id, const Deviations& d, double uncertainty, double limit) {
  Finding out;
  out.check = std::move(id);
  out.place = d.place;
  out.channel = d.channel->name();
  out.dimension = Dimension::temperature_difference;
  Measure m;
  m.name = d.channel->quantity->name + "_against_peers";
  m.dimension = Dimension::temperature_difference;
  m.uncertainty = uncertainty;
  std::vector<double> values = d.values;
  m.value = percentile_of(values, 0.5);
  m.low = percentile_of(values, 0.05);
  m.high = percentile_of(values, 0.95);
  m.expected_low = -limit;
  m.expected_high = limit;
  out.measures.push_back(m);
  return out;
}

}  // namespace

std::vector<Finding> indoor_peers(const CheckContext& context) {
  const std::string id = "indoor-peers";
  const Recording& recording = context.recording;
  const double settle = context.limits.value(id + ".settle");
  const double limit = context.limits.value(id + ".watch_by");
  const double spread = context.limits.value(id + ".spread_times");
  const auto fewest = static_cast<std::size_t>(context.limits.value(id + ".fewest_peers"));
  const std::string proof = "Record gas_pipe_temperature and call of at least " +
                            std::to_string(fewest + 1) +
                            " indoor units that call at the same time.";
  std::vector<PeerUnit> units;
  std::vector<Deviations> deviations;
  for (const Place& place : recording.places(PlaceKind::indoor)) {
    const Channel* pipe = recording.find(place.text, "gas_pipe_temperature");
    if (pipe == nullptr) continue;
    units.push_back({pipe, settled_calls(context, place, settle)});
    deviations.push_back({place, pipe, {}, {}, {}});
  }
  if (units.size() <= fewest) {
    return {unproven(id, whole_system(),
                     "The log has gas-side pipes of " + std::to_string(units.size()) +
                         " indoor units: too few to be each other's measure.",
                     proof)};
  }
  const std::vector<Mask> heat = indoor_coil_masks(context, Regime::heating);
  const std::vector<Mask> cool = indoor_coil_masks(context, Regime::cooling);
  std::vector<Follower> pipes;
  for (const PeerUnit& unit : units) pipes.emplace_back(recording, unit.pipe);
  for (std::size_t i = 0; i < recording.size(); i += stride_of(recording)) {
    if (heat[i] != Mask::counts && cool[i] != Mask::counts) continue;
    std::vector<std::size_t> who;
    std::vector<double> what;
    for (std::size_t k = 0; k < units.size(); ++k) {
      const float v = pipes[k].at(i);
      if (!units[k].settled[i] || is_missing(v)) continue;
      who.push_back(k);
      what.push_back(static_cast<double>(v));
    }
    if (who.size() <= fewest) continue;
    const double middle = middle_of(what);
    for (std::size_t n = 0; n < who.size(); ++n) {
      Deviations& d = deviations[who[n]];
      if (d.values.empty()) d.first = recording.time[i];
      d.last = recording.time[i];
      d.values.push_back(what[n] - middle);
    }
  }
  // How far units of this system differ from one another at all.
  std::vector<double> sizes;
  for (const Deviations& d : deviations) {
    if (!d.values.empty()) sizes.push_back(std::abs(middle_of(d.values)));
  }
  const double usual = 1.4826 * middle_of(sizes);  // of a normal distribution
  const double allowed = std::max(limit, spread * (std::isnan(usual) ? 0.0 : usual));
  std::vector<Finding> out;
  for (const Deviations& d : deviations) {
    const double seen = static_cast<double>(d.values.size()) *
                        static_cast<double>(stride_of(recording)) * d.channel->interval;
    if (seen < context.limits.value("observation.least")) {
      out.push_back(unproven(
          id, d.place,
          "The unit and enough peers called together for " + format_duration(seen) + " only.",
          proof));
      continue;
    }
    const double guard = uncertainty_of(context, *d.channel);
    Finding f = start_finding(id, d, guard, allowed);
    f.observed = f.measures[0].seconds = seen;
    const double by = f.measures[0].value;
    const std::string distance =
        format_si(std::abs(by), Dimension::temperature_difference, context.units) +
        (by < 0.0 ? " under" : " over");
    if (std::abs(by) <= allowed + guard) {
      f.verdict = Verdict::ok;
      f.because = "Its gas-side pipe stands " + distance + " the middle of the calling units.";
    } else {
      f.verdict = Verdict::watch;
      f.evidence.push_back(
          {Verdict::watch, {d.first, d.last, by, std::copysign(allowed, by), seen}, {}});
      f.because = "Its gas-side pipe stands " + distance +
                  " the middle of the calling units, where they differ by " +
                  format_si(usual, Dimension::temperature_difference, context.units) +
                  " as a rule.";
    }
    out.push_back(std::move(f));
  }
  return out;
}

std::vector<Finding> unequal_modules(const CheckContext& context) {
  const std::string id = "unequal-modules";
  const Recording& recording = context.recording;
  const double limit = context.limits.value(id + ".watch_by");
  const double alike = context.limits.value(id + ".frequency_within");
  const std::string proof =
      "Record discharge_superheat (or discharge pressure and temperature) and "
      "compressor_frequency of at least two modules that run together.";
  std::vector<Deviations> modules;
  std::vector<Follower> heats;
  std::vector<Follower> speeds;
  std::vector<std::vector<Mask>> masks;
  for (const Place& module : modules_of(context)) {
    const Channel* superheat = recording.find(module.text, "discharge_superheat");
    if (superheat == nullptr) continue;
    modules.push_back({module, superheat, {}, {}, {}});
    heats.emplace_back(recording, superheat);
    speeds.emplace_back(recording, recording.find(module.text, "compressor_frequency"));
    masks.push_back(network_masks(context, module, Regime::running));
  }
  if (modules.size() < 2) {
    return {unproven(id, whole_system(),
                     "The log shows the discharge superheat of fewer than two modules.", proof)};
  }
  for (std::size_t i = 0; i < recording.size(); i += stride_of(recording)) {
    std::vector<std::size_t> who;
    std::vector<double> what;
    float slowest = missing;
    float fastest = missing;
    for (std::size_t k = 0; k < modules.size(); ++k) {
      const float v = heats[k].at(i);
      const float f = speeds[k].at(i);
      if (masks[k][i] != Mask::counts || is_missing(v)) continue;
      who.push_back(k);
      what.push_back(static_cast<double>(v));
      if (!is_missing(f) && !(slowest <= f)) slowest = f;
      if (!is_missing(f) && !(fastest >= f)) fastest = f;
    }
    if (who.size() < 2) continue;
    if (static_cast<double>(fastest - slowest) > alike * static_cast<double>(fastest)) continue;
    for (std::size_t n = 0; n < who.size(); ++n) {
      double others = 0.0;
      for (const double v : what) others += v;
      others = (others - what[n]) / static_cast<double>(what.size() - 1);
      Deviations& d = modules[who[n]];
      if (d.values.empty()) d.first = recording.time[i];
      d.last = recording.time[i];
      d.values.push_back(what[n] - others);
    }
  }
  std::vector<Finding> out;
  for (const Deviations& d : modules) {
    const double seen = static_cast<double>(d.values.size()) *
                        static_cast<double>(stride_of(recording)) * d.channel->interval;
    if (seen < context.limits.value("observation.least")) {
      out.push_back(unproven(
          id, d.place, "Modules ran together at like speed for " + format_duration(seen) + " only.",
          proof));
      continue;
    }
    const double guard = std::sqrt(2.0) * uncertainty_of(context, *d.channel);
    Finding f = start_finding(id, d, guard, limit);
    f.observed = f.measures[0].seconds = seen;
    const double by = f.measures[0].value;
    const std::string words =
        "Its discharge superheat stands " +
        format_si(std::abs(by), Dimension::temperature_difference, context.units) +
        (by < 0.0 ? " under" : " over") + " that of the other modules at like speed.";
    f.because = words;
    f.verdict = std::abs(by) > limit + guard ? Verdict::watch : Verdict::ok;
    if (f.verdict == Verdict::watch) {
      f.evidence.push_back(
          {Verdict::watch, {d.first, d.last, by, std::copysign(limit, by), seen}, {}});
    }
    out.push_back(std::move(f));
  }
  return out;
}

}  // namespace cw::check
