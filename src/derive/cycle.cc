#include "derive/cycle.h"

#include <algorithm>
#include <cmath>

#include "fluid/state.h"

namespace cw {
namespace {

using fluid::InputPair;

/// Puts the corners of one module's cycle together.
class CycleMaker {
 public:
  CycleMaker(const Recording& recording, const fluid::Refrigerant& refrigerant, Instant at)
      : recording_(recording), refrigerant_(refrigerant), at_(at) {}

  Cycle of(const Place& module) {
    out_ = Cycle{};
    out_.place = module;
    out_.discharge_pressure = reading(module, "discharge_pressure");
    out_.suction_pressure = reading(module, "suction_pressure");
    out_.condensing = reading(module, "saturated_condensing_temperature");
    out_.evaporating = reading(module, "saturated_evaporating_temperature");
    out_.discharge_superheat = reading(module, "discharge_superheat");
    out_.suction_superheat = reading(module, "suction_superheat");
    out_.subcooling = reading(module, "subcooling");
    if (out_.suction_pressure) suction(module, *out_.suction_pressure);
    if (out_.discharge_pressure) high_side(module, *out_.discharge_pressure);
    if (out_.suction_pressure) low_side(*out_.suction_pressure);
    if (!out_.discharge_pressure) note("The discharge pressure is not known here.");
    if (!out_.suction_pressure) note("The suction pressure is not known here.");
    return std::move(out_);
  }

 private:
  /// Of the module, of one of its compressors (the first that has it), or of the whole system.
  std::optional<double> reading(const Place& module, std::string_view quantity) const {
    float value = reading_at(recording_, recording_.find_upward(module, quantity), at_);
    for (const Channel& channel : recording_.channels) {
      if (!is_missing(value)) break;
      const bool below =
          channel.place.kind == PlaceKind::compressor && channel.place.module() == module.text;
      if (below && channel.quantity->name == quantity)
        value = reading_at(recording_, &channel, at_);
    }
    if (is_missing(value)) return std::nullopt;
    return static_cast<double>(value);
  }

  void note(std::string text) { out_.notes.push_back(std::move(text)); }

  /// @returns its enthalpy, where the state exists
  std::optional<double> add(std::string_view key, std::string_view label,
                            const Result<fluid::FluidState>& state, bool assumed) {
    if (!state) {
      note(std::string(label) + ": " + state.error().message + ".");
      return std::nullopt;
    }
    const bool on_line = state->phase == fluid::Phase::two_phase;
    const std::string_view phase = on_line && state->q && *state->q >= 1.0   ? "vapour"
                                   : on_line && state->q && *state->q <= 0.0 ? "liquid"
                                   : on_line                                 ? "two-phase"
                                   : state->phase == fluid::Phase::liquid    ? "liquid"
                                                                             : "vapour";
    out_.points.push_back({key, label, phase, state->p, state->h, state->T, assumed});
    return state->h;
  }

  /// Gas of a measured temperature. Wet gas has no temperature of its own: the sensor then says
  /// nothing about how wet, and the dew line stands for it.
  void gas(std::string_view key, std::string_view label, const Place& module,
           std::string_view quantity, double p) {
    const auto T = reading(module, quantity);
    const auto dew = fluid::state_from(refrigerant_, InputPair::p_q, p, 1.0);
    if (T && dew && *T > dew->T) {
      add(key, label, fluid::state_from(refrigerant_, InputPair::T_p, *T, p), false);
      return;
    }
    add(key, label, dew, true);
    note(std::string(label) + (T ? " reads no superheat: it may be wet, and is drawn as saturated "
                                   "gas."
                                 : " temperature is not known: drawn as saturated gas."));
  }

  void suction(const Place& module, double p) {
    gas("suction", "suction gas", module, "suction_temperature", p);
  }

  void high_side(const Place& module, double p) {
    gas("discharge", "discharge gas", module, "discharge_temperature", p);
    add("condenser_dew", "condensation begins",
        fluid::state_from(refrigerant_, InputPair::p_q, p, 1.0), false);
    const auto bubble = fluid::state_from(refrigerant_, InputPair::p_q, p, 0.0);
    add("condenser_bubble", "condensation ends", bubble, false);
    const auto T = reading(module, "liquid_temperature");
    liquid_assumed_ = !(T && bubble && *T < bubble->T);
    if (!liquid_assumed_) {
      liquid_h_ =
          add("liquid", "liquid", fluid::state_from(refrigerant_, InputPair::T_p, *T, p), false);
      return;
    }
    liquid_h_ = add("liquid", "liquid", bubble, true);
    note(T ? "The liquid reads no subcooling: it may carry bubbles, and is drawn as saturated "
             "liquid."
           : "The liquid's temperature is not known: drawn as saturated liquid, without "
             "subcooling.");
  }

  /// Through the valve the enthalpy stays.
  void low_side(double p) {
    if (liquid_h_) {
      add("evaporator_inlet", "behind the expansion valve",
          fluid::state_from(refrigerant_, InputPair::p_h, p, *liquid_h_), liquid_assumed_);
    }
    add("evaporator_dew", "evaporation ends",
        fluid::state_from(refrigerant_, InputPair::p_q, p, 1.0), false);
  }

  const Recording& recording_;
  const fluid::Refrigerant& refrigerant_;
  const Instant at_;
  Cycle out_;
  std::optional<double> liquid_h_;
  bool liquid_assumed_ = true;
};

}  // namespace

float reading_at(const Recording& recording, const Channel* channel, Instant at) {
  if (channel == nullptr) return missing;
  const auto after = std::upper_bound(recording.time.begin(), recording.time.end(), at);
  const auto limit_ms = static_cast<std::int64_t>(longest_step(*channel) * 1e3);
  for (auto i = static_cast<std::size_t>(after - recording.time.begin()); i-- > 0;) {
    if (at.ms - recording.time[i].ms > limit_ms) break;
    if (!is_missing(channel->values[i])) return channel->values[i];
  }
  return missing;
}

std::vector<Cycle> cycles_at(const Recording& recording, const fluid::Refrigerant& refrigerant,
                             Instant at) {
  std::vector<Place> modules;
  for (const Channel& channel : recording.channels) {
    if (channel.place.kind != PlaceKind::outdoor && channel.place.kind != PlaceKind::compressor) {
      continue;
    }
    const std::optional<Place> module = parse_place(channel.place.module());
    if (module && std::find(modules.begin(), modules.end(), *module) == modules.end()) {
      modules.push_back(*module);
    }
  }
  std::sort(modules.begin(), modules.end(), place_before);
  std::vector<Cycle> out;
  CycleMaker maker(recording, refrigerant, at);
  for (const Place& module : modules) out.push_back(maker.of(module));
  return out;
}

}  // namespace cw
