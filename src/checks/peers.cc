#include <algorithm>
#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/deviations.h"
#include "checks/held_judge.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

std::vector<bool> settled_calls(const CheckContext& context, const Place& unit, double settle) {
  std::vector<Mask> masks(context.recording.size(), Mask::counts);
  keep_calling(context, track_calls(context, unit), settle, masks);
  std::vector<bool> out(masks.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = masks[i] == Mask::counts;
  return out;
}

/// "3.0 K under" or "3.0 K over".
std::string distance_text(const CheckContext& context, const Finding& finding) {
  const double by = finding.measures.front().value;
  return format_si(std::abs(by), finding.dimension, context.units) +
         (by < 0.0 ? " under" : " over");
}

/// Each unit's gas-side pipe against the middle of all that call, whenever more than `fewest` do.
std::vector<Deviations> compare_units(const CheckContext& context, double settle,
                                      std::size_t fewest) {
  const Recording& recording = context.recording;
  std::vector<Deviations> out;
  std::vector<Follower> pipes;
  std::vector<std::vector<bool>> settled;
  for (const Place& place : recording.places(PlaceKind::indoor)) {
    const Channel* pipe = recording.find(place.text, "gas_pipe_temperature");
    if (pipe == nullptr) continue;
    out.emplace_back(place, pipe);
    pipes.emplace_back(recording, pipe);
    settled.push_back(settled_calls(context, place, settle));
  }
  if (out.size() <= fewest) return out;
  const std::vector<Mask> heat = indoor_coil_masks(context, Regime::heating);
  const std::vector<Mask> cool = indoor_coil_masks(context, Regime::cooling);
  for (std::size_t i = 0; i < recording.size(); i += comparison_stride(recording)) {
    if (heat[i] != Mask::counts && cool[i] != Mask::counts) continue;
    Moment now;
    for (std::size_t k = 0; k < out.size(); ++k) {
      const float v = pipes[k].at(i);
      if (settled[k][i] && !is_missing(v)) now.add(k, static_cast<double>(v));
    }
    if (now.who.size() <= fewest) continue;
    const double middle = now.middle();
    for (std::size_t n = 0; n < now.who.size(); ++n) {
      out[now.who[n]].add(recording.time[i], now.what[n] - middle);
    }
  }
  return out;
}

/// Each module's discharge superheat against the mean of the others at like speed.
std::vector<Deviations> compare_modules(const CheckContext& context, double alike) {
  const Recording& recording = context.recording;
  std::vector<Deviations> out;
  std::vector<Follower> heats;
  std::vector<Follower> speeds;
  std::vector<std::vector<Mask>> masks;
  for (const Place& module : modules_of(context)) {
    const Channel* superheat = recording.find(module.text, "discharge_superheat");
    if (superheat == nullptr) continue;
    out.emplace_back(module, superheat);
    heats.emplace_back(recording, superheat);
    speeds.emplace_back(recording, recording.find(module.text, "compressor_frequency"));
    masks.push_back(network_masks(context, module, Regime::running));
  }
  if (out.size() < 2) return out;
  for (std::size_t i = 0; i < recording.size(); i += comparison_stride(recording)) {
    Moment now;
    float slowest = missing;
    float fastest = missing;
    for (std::size_t k = 0; k < out.size(); ++k) {
      const float v = heats[k].at(i);
      const float f = speeds[k].at(i);
      if (masks[k][i] != Mask::counts || is_missing(v)) continue;
      now.add(k, static_cast<double>(v));
      if (!is_missing(f) && !(slowest <= f)) slowest = f;
      if (!is_missing(f) && !(fastest >= f)) fastest = f;
    }
    if (now.who.size() < 2) continue;
    if (static_cast<double>(fastest - slowest) > alike * static_cast<double>(fastest)) continue;
    for (std::size_t n = 0; n < now.who.size(); ++n) {
      out[now.who[n]].add(recording.time[i], now.what[n] - now.others(n));
    }
  }
  return out;
}

}  // namespace

std::vector<Finding> indoor_peers(const CheckContext& context) {
  const std::string id = "indoor-peers";
  const double limit = context.limits.value(id + ".watch_by");
  const double spread = context.limits.value(id + ".spread_times");
  const auto fewest = static_cast<std::size_t>(context.limits.value(id + ".fewest_peers"));
  const std::string proof = "Record gas_pipe_temperature and call of at least " +
                            std::to_string(fewest + 1) +
                            " indoor units that call at the same time.";
  const std::vector<Deviations> units =
      compare_units(context, context.limits.value(id + ".settle"), fewest);
  if (units.size() <= fewest) {
    return {unproven(id, whole_system(),
                     "The log has gas-side pipes of " + std::to_string(units.size()) +
                         " indoor units: too few to be each other's measure.",
                     proof)};
  }
  // How far units of this system differ from one another at all.
  std::vector<double> sizes;
  for (const Deviations& d : units) {
    if (!d.empty()) sizes.push_back(std::abs(d.median()));
  }
  const double usual = 1.4826 * percentile_of(sizes, 0.5);  // of a normal distribution
  const double allowed = std::max(limit, spread * (std::isnan(usual) ? 0.0 : usual));
  std::vector<Finding> out;
  for (const Deviations& d : units) {
    const double seen = d.seconds(context.recording);
    if (seen < context.limits.value("observation.least")) {
      out.push_back(unproven(
          id, d.place(),
          "The unit and enough peers called together for " + format_duration(seen) + " only.",
          proof));
      continue;
    }
    const double guard = uncertainty_of(context, d.channel());
    Finding f = d.finding(context, id, guard, allowed);
    f.because = "Its gas-side pipe stands " + distance_text(context, f) +
                " the middle of the calling units";
    if (std::abs(f.measures[0].value) > allowed + guard) {
      d.to_watch(f, allowed);
      f.because += ", where they differ by " +
                   format_si(usual, Dimension::temperature_difference, context.units) +
                   " as a rule";
    }
    f.because += ".";
    out.push_back(std::move(f));
  }
  return out;
}

std::vector<Finding> unequal_modules(const CheckContext& context) {
  const std::string id = "unequal-modules";
  const double limit = context.limits.value(id + ".watch_by");
  const std::string proof =
      "Record discharge_superheat (or discharge pressure and temperature) and "
      "compressor_frequency of at least two modules that run together.";
  const std::vector<Deviations> modules =
      compare_modules(context, context.limits.value(id + ".frequency_within"));
  if (modules.size() < 2) {
    return {unproven(id, whole_system(),
                     "The log shows the discharge superheat of fewer than two modules.", proof)};
  }
  std::vector<Finding> out;
  for (const Deviations& d : modules) {
    const double seen = d.seconds(context.recording);
    if (seen < context.limits.value("observation.least")) {
      out.push_back(unproven(
          id, d.place(),
          "Modules ran together at like speed for " + format_duration(seen) + " only.", proof));
      continue;
    }
    const double guard = std::sqrt(2.0) * uncertainty_of(context, d.channel());
    Finding f = d.finding(context, id, guard, limit);
    f.because = "Its discharge superheat stands " + distance_text(context, f) +
                " that of the other modules at like speed.";
    if (std::abs(f.measures[0].value) > limit + guard) d.to_watch(f, limit);
    out.push_back(std::move(f));
  }
  return out;
}

}  // namespace cw::check
