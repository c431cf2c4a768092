#include <algorithm>
#include <functional>

#include "base/units.h"
#include "phases/detail/evidence.h"

namespace cw {

const Channel* outdoor_temperature_of(const Recording& recording, const Place& module) {
  if (const Channel* own = recording.find(module.text, "outdoor_temperature")) return own;
  for (const char* place : {"site", "system"}) {
    if (const Channel* common = recording.find(place, "outdoor_temperature")) return common;
  }
  // Any module's sensor hangs in the same air.
  for (const Channel& channel : recording.channels) {
    if (channel.quantity->name == "outdoor_temperature") return &channel;
  }
  return nullptr;
}

namespace detail {
namespace {

constexpr float half_hertz = 0.5F;
constexpr float coil_cold_by = 1.0F;        // K under outdoor air: the coil takes heat in
constexpr float coil_warm_by = 3.0F;        // K over outdoor air: the coil gives heat off
constexpr float indoor_hot_by = 4.0F;       // K over the room
constexpr float indoor_cold_by = 5.0F;      // K under the room
constexpr float room_if_unknown = 295.15F;  // 22 degC
constexpr float mild = 291.15F;             // 18 degC: neither heating nor cooling is odd
constexpr float cool_air = 288.15F;         // 15 degC: a condenser in it would not reach 35 degC

/// Three-valued: some logs do not show it.
enum class Running { unknown, no, yes };

/// Decides from the best signal that the log has whether a compressor of the module runs.
class RunDetector {
 public:
  RunDetector(const Recording& recording, const Place& module) : recording_(recording) {
    const bool found =
        try_signal(module, "compressor_frequency", half_hertz, "compressor frequency") ||
        try_signal(module, "compressor_on", half_hertz, "compressor flag") ||
        try_signal(module, "compressor_load", 0.005F, "compressor load") ||
        try_electric(module, "power", 100.0F, "electric power") ||
        try_electric(module, "current", 0.5F, "current") ||
        try_signal(module, "pressure_ratio", 1.35F, "pressure ratio");
    if (!found) source_.clear();
  }

  Running at(std::size_t i) {
    bool any = false;
    bool seen = false;
    for (Follower& signal : signals_) {
      const float value = signal.at(i);
      seen |= !is_missing(value);
      any |= value > threshold_;
    }
    if (!seen) return Running::unknown;
    return any ? Running::yes : Running::no;
  }

  const std::string& source() const { return source_; }
  double interval() const { return interval_; }

 private:
  bool try_signal(const Place& module, std::string_view quantity, float threshold,
                  std::string source) {
    for (const Channel& channel : recording_.channels) {
      if (channel.quantity->name != quantity || channel.place.module() != module.text) continue;
      add(channel);
    }
    if (signals_.empty()) {
      if (const Channel* common = recording_.find("system", quantity)) add(*common);
    }
    if (signals_.empty()) return false;
    threshold_ = threshold;
    source_ = std::move(source);
    return true;
  }

  void add(const Channel& channel) {
    signals_.emplace_back(recording_, &channel);
    interval_ = std::max(interval_, channel.interval);
  }

  /// Fans, heaters and electronics draw power at rest: running starts at an eighth of what the
  /// signal reaches in the recording, and never under `least`.
  bool try_electric(const Place& module, std::string_view quantity, float least,
                    std::string source) {
    if (!try_signal(module, quantity, least, std::move(source))) return false;
    std::vector<float> values;
    for (const Channel& channel : recording_.channels) {
      if (channel.quantity->name != quantity) continue;
      if (channel.place.module() != module.text && channel.place.text != "system") continue;
      for (const float v : channel.values) {
        if (!is_missing(v)) values.push_back(v);
      }
    }
    if (!values.empty()) {
      const auto high = values.begin() + static_cast<std::ptrdiff_t>(values.size() * 95 / 100);
      std::nth_element(values.begin(), high, values.end());
      threshold_ = std::max(least, *high / 8.0F);
    }
    return true;
  }

  const Recording& recording_;
  std::vector<Follower> signals_;
  float threshold_ = 0.0F;
  double interval_ = 0.0;
  std::string source_;
};

/// Counts indoor coils hotter and colder than their rooms.
class IndoorCoils {
 public:
  explicit IndoorCoils(const Recording& recording) {
    for (const Place& place : recording.places(PlaceKind::indoor)) {
      const Channel* coil = nullptr;
      for (const char* name : {"gas_pipe_temperature", "coil_temperature",
                               "coil_middle_temperature", "supply_air_temperature"}) {
        if (coil == nullptr) coil = recording.find(place.text, name);
      }
      if (coil == nullptr) continue;
      const Channel* room = controlled_temperature_of(recording, place);
      if (room == nullptr) room = recording.find(place.text, "set_point");
      units_.push_back({Follower(recording, coil), Follower(recording, room)});
    }
  }

  bool empty() const { return units_.empty(); }

  struct Count {
    int hot = 0;
    int cold = 0;
  };

  Count at(std::size_t i) {
    Count count;
    for (Unit& unit : units_) {
      const float coil = unit.coil.at(i);
      float room = unit.room.at(i);
      if (is_missing(room)) room = room_if_unknown;
      count.hot += coil > room + indoor_hot_by ? 1 : 0;
      count.cold += coil < room - indoor_cold_by ? 1 : 0;
    }
    return count;
  }

 private:
  struct Unit {
    Follower coil;
    Follower room;
  };
  std::vector<Unit> units_;
};

/// The words of a mode channel that decide something.
Raw raw_of_mode(float stored) {
  const Quantity* mode = find_quantity("mode");
  const auto index = static_cast<std::size_t>(stored);
  if (mode == nullptr || index >= mode->words.size()) return Raw::running;
  const std::string& word = mode->words[index];
  if (word == "heating") return Raw::heat;
  if (word == "cooling") return Raw::cool;
  if (word == "mixed") return Raw::mixed;
  if (word == "defrost") return Raw::defrost;
  if (word == "off" || word == "standby" || word == "fan") return Raw::off;
  return Raw::running;
}

bool ever_says_defrost(const Channel* mode) {
  if (mode == nullptr) return false;
  return std::any_of(mode->values.begin(), mode->values.end(),
                     [](float v) { return !is_missing(v) && raw_of_mode(v) == Raw::defrost; });
}

const Channel* find_flag(const Recording& recording, const Place& module,
                         std::string_view quantity) {
  for (const std::string_view place :
       {std::string_view(module.text), std::string_view("system"), std::string_view("site")}) {
    if (const Channel* channel = recording.find(place, quantity)) return channel;
  }
  return nullptr;
}

/// Tells heating from the other direction, sample by sample.
class Direction {
 public:
  Direction(const Recording& recording, const Place& module)
      : coil_(recording, recording.find(module.text, "coil_temperature")),
        outdoor_(recording, outdoor_temperature_of(recording, module)),
        condensing_(recording, recording.find_upward(module, "saturated_condensing_temperature")),
        evaporating_(recording, recording.find_upward(module, "saturated_evaporating_temperature")),
        indoor_(recording) {}

  bool has_coils() const { return (coil_ && outdoor_) || !indoor_.empty(); }

  std::string source() const {
    if (coil_ && outdoor_) {
      return indoor_.empty() ? "outdoor coil against outdoor air"
                             : "outdoor coil against outdoor air, indoor coils against rooms";
    }
    return indoor_.empty() ? "saturation temperatures against outdoor air"
                           : "indoor coils against rooms";
  }

  Raw at(std::size_t i, Running running, bool& both) {
    const float outdoor = outdoor_.at(i);
    const float over_outdoor = coil_.at(i) - outdoor;  // missing when either is
    const IndoorCoils::Count indoor = indoor_.at(i);
    both = indoor.hot > 0 && indoor.cold > 0;
    const bool indoor_cold = indoor.cold > 0 && indoor.cold >= indoor.hot;
    if (running != Running::yes) {
      // Refrigerant still moves the other way for a moment while the valve has turned.
      const bool reversed = running == Running::no && indoor_cold && over_outdoor > coil_cold_by;
      return reversed ? Raw::reverse : Raw::off;
    }
    if (over_outdoor < -coil_cold_by) return Raw::heat;
    if (over_outdoor > coil_warm_by) {
      if (indoor_.empty() || indoor_cold) return Raw::reverse;
      // Fans stop and valves nearly close in a defrost: indoor coils may stay hot or go neutral.
      return Raw::warm_coil;
    }
    if (indoor_cold) return Raw::reverse;
    if (indoor.hot > 0) return Raw::heat;
    return from_pressures(i, outdoor);
  }

 private:
  Raw from_pressures(std::size_t i, float outdoor) {
    const float sct = condensing_.at(i);
    const float set = evaporating_.at(i);
    constexpr float warm_enough = 308.15F;  // 35 degC condensing
    constexpr float deep = 270.15F;  // -3 degC evaporating: no cooling goes there in steady work
    if (sct > warm_enough && set < deep) return Raw::heat;
    if (sct > warm_enough && outdoor < cool_air) return Raw::heat;
    if (set < outdoor - coil_cold_by && outdoor < mild) return Raw::heat;
    if (sct > outdoor && outdoor >= mild) return Raw::reverse;
    return Raw::running;
  }

  Follower coil_;
  Follower outdoor_;
  Follower condensing_;
  Follower evaporating_;
  IndoorCoils indoor_;
};

/// The mode words of indoor units, where the outdoor side has none.
class IndoorModes {
 public:
  explicit IndoorModes(const Recording& recording) {
    for (const Place& place : recording.places(PlaceKind::indoor)) {
      const Channel* mode = recording.find(place.text, "mode");
      if (mode != nullptr) units_.emplace_back(recording, mode);
    }
  }

  bool empty() const { return units_.empty(); }

  Raw at(std::size_t i) {
    bool heat = false;
    bool cool = false;
    for (Follower& unit : units_) {
      const float mode = unit.at(i);
      if (is_missing(mode)) continue;
      heat |= raw_of_mode(mode) == Raw::heat;
      cool |= raw_of_mode(mode) == Raw::cool;
    }
    if (heat && cool) return Raw::mixed;
    return heat ? Raw::heat : cool ? Raw::cool : Raw::running;
  }

 private:
  std::vector<Follower> units_;
};

/// What flags say, where there are any; Raw::running where they leave it open.
struct Flags {
  IndoorModes indoor;
  Follower mode;
  Follower defrost;
  Follower valve;

  Raw at(std::size_t i, const std::optional<PhaseKind>& stated, Running running) {
    if (defrost.at(i) > half_hertz) return Raw::defrost;
    const float mode_now = mode.at(i);
    if (!is_missing(mode_now)) {
      const Raw raw = raw_of_mode(mode_now);
      if (raw != Raw::running) return raw;
    }
    const float valve_now = valve.at(i);
    // A valve's position and a mode that a person states do not show that a compressor runs.
    if (running == Running::unknown) return Raw::running;
    if (is_missing(mode_now) && is_missing(valve_now) && !indoor.empty()) {
      const Raw raw = indoor.at(i);
      if (raw != Raw::running) return raw;
    }
    if (!is_missing(valve_now)) return valve_now > half_hertz ? Raw::heat : Raw::reverse;
    if (stated == PhaseKind::heating) return Raw::heat;
    if (stated == PhaseKind::cooling) return Raw::cool;
    return Raw::running;
  }
};

/// One sample: flags first, physics where they leave a question open.
Raw judge_sample(Raw flagged, Raw physical, Running running, bool defrost_known) {
  if (flagged == Raw::defrost) return Raw::defrost;
  if (running == Running::no) {
    const bool trust_physics = !defrost_known && physical == Raw::reverse;
    return trust_physics ? Raw::reverse : Raw::off;
  }
  if (running == Running::unknown) return flagged == Raw::running ? Raw::unknown : flagged;
  if (flagged == Raw::running || flagged == Raw::off) return physical;
  // The mode says heating; without a defrost flag the coils may know better for a few minutes.
  if (flagged == Raw::heat && !defrost_known && physical == Raw::reverse) return Raw::reverse;
  return flagged;
}

bool has_direction(Raw raw) { return raw == Raw::heat || raw == Raw::cool || raw == Raw::mixed; }

/// A run that the flags call a start at first, and by its side later, is on that side from its
/// first reading: coils that are still on their way show the contrary. [n_time] both
void turn_starts(const std::vector<Raw>& flagged, std::vector<Raw>& raw) {
  const auto runs = [](Raw now) {
    return now != Raw::off && now != Raw::defrost && now != Raw::unknown;
  };
  for (std::size_t first = 0; first < raw.size(); ++first) {
    std::size_t last = first;
    while (last < raw.size() && runs(raw[last]) && flagged[last] == Raw::running) ++last;
    if (last < raw.size() && runs(raw[last]) && has_direction(flagged[last])) {
      std::fill(raw.begin() + static_cast<std::ptrdiff_t>(first),
                raw.begin() + static_cast<std::ptrdiff_t>(last), flagged[last]);
    }
    while (last < raw.size() && runs(raw[last])) ++last;
    first = last;
  }
}

}  // namespace

Evidence gather_evidence(const Recording& recording, const Place& module,
                         const PhaseOptions& options) {
  Evidence out;
  RunDetector run(recording, module);
  const Channel* mode = find_flag(recording, module, "mode");
  const Channel* defrost = find_flag(recording, module, "defrost");
  const Channel* valve = find_flag(recording, module, "reversing_valve");
  Flags flags{IndoorModes(recording), Follower(recording, mode), Follower(recording, defrost),
              Follower(recording, valve)};
  Direction direction(recording, module);
  const bool defrost_known = defrost != nullptr || ever_says_defrost(mode);
  const bool indoor_modes = !flags.indoor.empty();
  const bool mode_known =
      mode != nullptr || valve != nullptr || indoor_modes || options.stated_mode.has_value();

  out.run_source = run.source();
  if (out.run_source.empty() && mode != nullptr) out.run_source = "mode";
  out.inferred_mode = !mode_known;
  out.inferred_defrost = !defrost_known;
  out.heat_source = mode != nullptr       ? "mode"
                    : valve != nullptr    ? "reversing valve"
                    : indoor_modes        ? "modes of the indoor units"
                    : options.stated_mode ? "the mode that was stated"
                                          : direction.source();
  out.defrost_source = defrost_known           ? "defrost flag"
                       : direction.has_coils() ? direction.source()
                                               : "";
  out.step_limit = gap_factor * (run.interval() > 0.0 ? run.interval()
                                 : mode != nullptr    ? mode->interval
                                                      : 60.0);
  out.raw.resize(recording.size());
  out.both.resize(recording.size());
  out.stopped.resize(recording.size());
  std::vector<Raw> all_flagged(recording.size());
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const Running running = run.at(i);
    bool both = false;
    const Raw physical = direction.at(i, running, both);
    const Raw flagged = all_flagged[i] = flags.at(i, options.stated_mode, running);
    out.raw[i] = judge_sample(flagged, physical, running, defrost_known);
    out.stopped[i] = running == Running::no;
    out.both[i] = both;
  }
  turn_starts(all_flagged, out.raw);
  return out;
}

}  // namespace detail
}  // namespace cw
