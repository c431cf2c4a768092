#include "diagnose/moments.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "checks/calls.h"

namespace cw::diagnose {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
/// Colder than this, frost grows on a working coil [K].
constexpr double frost_below_K = 279.15;
/// Of two stretches the one that moves by so much more is left out [about K]; own choice.
constexpr double most_drift = 1.5;

struct Stretch {
  std::size_t first = 0, last = 0;  ///< samples, both in it
  double since_clean_s = 1e5;
  double drift = 0.0;     ///< how much it moves
  double restless = 0.0;  ///< how good a witness it is: movement, frost, length; lower is better
};

bool steady(PhaseKind kind) { return kind == PhaseKind::heating || kind == PhaseKind::cooling; }

/// A channel's readings between two samples.
std::vector<double> readings_in(const Channel& channel, std::size_t first, std::size_t last) {
  std::vector<double> out;
  for (std::size_t i = first; i <= last; ++i) {
    if (!is_missing(channel.values[i])) out.push_back(static_cast<double>(channel.values[i]));
  }
  return out;
}

double median(std::vector<double> values) {
  if (values.empty()) return none;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

double median_of(const Channel* channel, const Stretch& s) {
  return channel == nullptr ? none : median(readings_in(*channel, s.first, s.last));
}

class Finder {
 public:
  Finder(const Judgement& judgement, const System& system, const std::vector<Feature>& features,
         const MomentOptions& options)
      : judgement_(judgement),
        recording_(judgement.recording),
        system_(system),
        features_(features),
        options_(options),
        context_(context_of(judgement, UnitSystem::si)) {
    for (const IndoorUnit& unit : system.indoor()) {
      calls_.push_back(track_calls(context_, *parse_place(unit.id)));
    }
  }

  std::vector<Moment> run(std::string& why) {
    if (recording_.size() < 2) {
      why = "The recording has fewer than two readings.";
      return {};
    }
    std::vector<Stretch> all = stretches();
    if (all.empty()) {
      hurried_ = true;
      options_.settle_s = options_.hurried_settle_s;
      options_.shortest_s = options_.hurried_shortest_s;
      all = stretches();
    }
    if (all.empty()) {
      why = "Nowhere do compressors and calls stay as they are for " +
            format_duration(options_.shortest_s + options_.settle_s) +
            " outside start-up, defrost and recovery.";
      return {};
    }
    std::vector<Moment> out;
    for (const Stretch& s : chosen(std::move(all))) {
      if (auto moment = moment_of(s)) out.push_back(std::move(*moment));
    }
    if (out.empty()) why = "No outdoor temperature, or no unit that calls, in any steady stretch.";
    return out;
  }

 private:
  bool same_calls(std::size_t a, std::size_t b) const {
    return std::all_of(calls_.begin(), calls_.end(),
                       [&](const CallTrack& c) { return c.state[a] == c.state[b]; });
  }
  double seconds(std::size_t a, std::size_t b) const {
    return seconds_between(recording_.time[a], recording_.time[b]);
  }
  std::vector<Stretch> stretches() const;
  void cut(std::size_t first, std::size_t last, double since_clean,
           std::vector<Stretch>& out) const;
  double drift_of(const Stretch& s) const;
  double restlessness(const Stretch& s) const;
  std::vector<Stretch> chosen(std::vector<Stretch> all) const;
  std::optional<Moment> moment_of(const Stretch& s) const;
  void look(const Stretch& s, Moment& out) const;
  double room_of(std::size_t unit, const Stretch& s) const;

  const Judgement& judgement_;
  const Recording& recording_;
  const System& system_;
  const std::vector<Feature>& features_;
  MomentOptions options_;
  bool hurried_ = false;
  CheckContext context_;
  std::vector<CallTrack> calls_;
};

void Finder::cut(std::size_t first, std::size_t last, double since_clean,
                 std::vector<Stretch>& out) const {
  std::size_t from = first;
  while (from < last) {
    std::size_t to = from;
    while (to < last && seconds(from, to) < options_.longest_s) ++to;
    if (seconds(from, to) < options_.shortest_s) break;
    Stretch s{from, to, since_clean + seconds(first, from), 0.0, 0.0};
    s.drift = drift_of(s);
    s.restless = restlessness(s);
    out.push_back(s);
    from = to;
  }
}

std::vector<Stretch> Finder::stretches() const {
  std::vector<Stretch> out;
  const std::vector<PhaseKind>& kind = judgement_.phases.system.kind_at;
  double interval = 1e9;
  for (const Channel& c : recording_.channels) {
    if (c.interval > 0.0) interval = std::min(interval, c.interval);
  }
  std::optional<std::size_t> clean;  // last sample that was start-up or recovery
  for (std::size_t i = 0; i < kind.size();) {
    if (!steady(kind[i])) {
      if (kind[i] == PhaseKind::starting || kind[i] == PhaseKind::recovering) clean = i;
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end + 1 < kind.size() && kind[end + 1] == kind[i] && same_calls(i, end + 1) &&
           seconds(end, end + 1) < 4.0 * interval + 60.0) {
      ++end;
    }
    // After the 10 min of start-up or recovery that the phases leave out the rest settles soon; a
    // change of calls has no such grace.
    const bool after_start = clean && i > 0 && *clean + 1 == i;
    const double settle = after_start || i == 0 ? 0.4 * options_.settle_s : options_.settle_s;
    std::size_t first = i;
    while (first < end && seconds(i, first) < settle) ++first;
    // A recording that begins in the midst of it: half an hour before that is as good a guess as
    // any.
    cut(first, end, clean ? seconds(*clean, first) + 600.0 : seconds(0, first) + 1800.0, out);
    i = end + 1;
  }
  return out;
}

/// How far the readings move between the halves of a stretch, in about kelvins.
double Finder::drift_of(const Stretch& s) const {
  double worst = 0.0;
  for (const OutdoorModule& m : system_.outdoor()) {
    for (const auto& [quantity, scale] :
         {std::pair{"saturated_condensing_temperature", 1.0},
          std::pair{"saturated_evaporating_temperature", 1.0},
          std::pair{"discharge_temperature", 3.0}, std::pair{"compressor_frequency", 5.0}}) {
      const Channel* channel = recording_.find(m.id, quantity);
      if (channel == nullptr) continue;
      const std::size_t half = (s.first + s.last) / 2;
      const double a = median(readings_in(*channel, s.first, half));
      const double b = median(readings_in(*channel, half, s.last));
      if (std::isfinite(a) && std::isfinite(b)) worst = std::max(worst, std::abs(a - b) / scale);
    }
  }
  return worst;
}

double Finder::restlessness(const Stretch& s) const {
  double worst = s.drift;
  const double cold = median_of(recording_.find("site", "outdoor_temperature"), s);
  const bool heating = judgement_.phases.system.kind_at[s.first] == PhaseKind::heating;
  // Frost that has grown is no fault: the cleanest coil is the best witness.
  if (heating && cold < frost_below_K) worst += std::min(s.since_clean_s, 7200.0) / 1800.0;
  const double length = seconds(s.first, s.last);
  return worst + 0.5 * (1.0 - length / options_.longest_s);
}

/// One of each part of the recording, the calmest.
std::vector<Stretch> Finder::chosen(std::vector<Stretch> all) const {
  std::vector<Stretch> out;
  const double whole = seconds(all.front().first, all.back().last);
  const double part = whole / static_cast<double>(options_.most);
  for (std::size_t k = 0; k < options_.most; ++k) {
    const Stretch* best = nullptr;
    for (const Stretch& s : all) {
      const double at = seconds(all.front().first, s.first);
      const auto in =
          std::min(static_cast<std::size_t>(at / std::max(part, 1.0)), options_.most - 1);
      if (in == k && (best == nullptr || s.restless < best->restless)) best = &s;
    }
    if (best != nullptr) out.push_back(*best);
  }
  double calmest = 1e9;
  double least = 1e9;
  for (const Stretch& s : out) {
    calmest = std::min(calmest, s.restless);
    least = std::min(least, s.drift);
  }
  // One that still moves, after a defrost for example, is no second witness beside a calm one.
  std::erase_if(out, [&](const Stretch& s) {
    return s.restless > calmest + 3.0 || s.drift > least + most_drift;
  });
  return out;
}

double Finder::room_of(std::size_t unit, const Stretch& s) const {
  const auto place = parse_place(system_.indoor()[unit].id);
  return median_of(controlled_temperature_of(recording_, *place), s);
}

std::optional<Moment> Finder::moment_of(const Stretch& s) const {
  Moment out;
  out.start = recording_.time[s.first];
  out.end = recording_.time[s.last];
  out.kind = judgement_.phases.system.kind_at[s.first];
  out.hurried = hurried_;
  out.since_clean_s = s.since_clean_s;
  out.part_of_log = seconds(0, (s.first + s.last) / 2) / seconds(0, recording_.size() - 1);
  const bool cooling = out.kind == PhaseKind::cooling;
  const auto place = parse_place(system_.outdoor().front().id);
  out.weather.temperature_K = median_of(outdoor_temperature_of(recording_, *place), s);
  if (!std::isfinite(out.weather.temperature_K)) return std::nullopt;
  const double humidity = median_of(recording_.find("site", "outdoor_humidity"), s);
  out.weather.relative_humidity = std::isfinite(humidity) ? std::clamp(humidity, 0.05, 1.0)
                                  : cooling               ? 0.5
                                                          : 0.8;
  out.orders.plant = cooling ? twin::Plant::cooling : twin::Plant::heating;
  double weight = 0.0;
  double sum = 0.0;
  for (std::size_t i = 0; i < system_.indoor().size(); ++i) {
    twin::UnitOrder order;
    const bool calls = calls_[i].state[s.last] == CallTrack::State::yes;
    order.on = calls;
    order.call = calls;
    order.cooling = cooling;
    order.set_point_K = cooling ? 290.15 : 303.15;
    out.orders.units.push_back(order);
    const double room = room_of(i, s);
    if (!calls || !std::isfinite(room)) continue;
    const double rated = system_.indoor()[i].cooling_W;
    weight += rated;
    sum += rated * room;
  }
  if (calling_units(out) == 0) return std::nullopt;
  out.room_K = weight > 0.0 ? sum / weight : cooling ? 297.15 : 294.15;
  look(s, out);
  return out;
}

void Finder::look(const Stretch& s, Moment& out) const {
  for (const Feature& f : features_) {
    out.seen.push_back(none);
    out.noise.push_back(0.0);
    out.drift.push_back(0.0);
    if (f.trait->place != TraitPlace::module) {
      const bool calls = *out.orders.units[f.index].call;
      if (calls != (f.trait->place == TraitPlace::calling_unit)) continue;
    }
    const Channel* channel = f.trait->place == TraitPlace::module
                                 ? recording_.find_upward(*parse_place(f.place), f.trait->quantity)
                                 : recording_.find(f.place, f.trait->quantity);
    if (channel == nullptr) continue;
    const std::vector<double> values = readings_in(*channel, s.first, s.last);
    if (values.size() < 3) continue;
    double value = median(values);
    if (f.trait->place != TraitPlace::module && f.trait->dimension == Dimension::temperature) {
      // The twin has one room for all: what the unit's own room differs is taken off.
      const double room = room_of(f.index, s);
      if (std::isfinite(room) && f.trait->name != "gas_pipe") {
        value -= (f.trait->name == "supply"        ? 0.7
                  : f.trait->name == "liquid_pipe" ? 0.3
                                                   : 1.0) *
                 (room - out.room_K);
      }
    }
    out.seen.back() = f.scaled(value);
    const std::size_t half = values.size() / 2;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(half);
    out.drift.back() =
        f.scaled(median({middle, values.end()})) - f.scaled(median({values.begin(), middle}));
    out.noise.back() = 0.5 * std::abs(out.drift.back());
  }
}

}  // namespace

std::size_t calling_units(const Moment& moment) {
  const std::vector<twin::UnitOrder>& units = moment.orders.units;
  return static_cast<std::size_t>(std::count_if(
      units.begin(), units.end(), [](const twin::UnitOrder& unit) { return *unit.call; }));
}

bool found_in(const Finding& finding, Instant start, Instant end) {
  if (finding.verdict != Verdict::watch && finding.verdict != Verdict::fault) return false;
  return std::any_of(finding.evidence.begin(), finding.evidence.end(), [&](const Evidence& e) {
    return e.window.start.ms < end.ms && start.ms < e.window.end.ms;
  });
}

std::vector<Moment> find_moments(const Judgement& judgement, const System& system,
                                 const std::vector<Feature>& features, const MomentOptions& options,
                                 std::string& why) {
  return Finder(judgement, system, features, options).run(why);
}

}  // namespace cw::diagnose
