#pragma once

#include "twin/detail/network.h"

/// What the machine's own controls do: a decision every `period_s` from its sensors.
namespace cw::twin::detail {

/// Superheat at the gas port and subcooling at the liquid port, as enthalpy differences over the
/// saturated specific heat, so that both go on into the two-phase region.
double superheat_of(const Props& props, const CoilState& coil) noexcept;
double subcooling_of(const Props& props, const CoilShape& shape, const CoilState& coil) noexcept;

/// Keeps what the controls derive from the outdoor temperature.
void note_weather(const ModelData& model, double outdoor_T, StateData& state) noexcept;

/// Opening of an outdoor valve that passes what the compressor draws with 4 bar left for the indoor
/// valves: the feed-forward on which superheat trims.
double feed_forward(const ModelData& model, const StateData& state, std::size_t module) noexcept;
inline constexpr double most_trim = 1.5;  ///< the outdoor valve opens up to 2.5 times that
/// Trim that a superheat asks for, with its slope [1/K]: proportional, since an integral here and
/// one at the indoor valves would leave the pressure between them to chance.
struct Trim {
  double value, slope;
};
Trim trim_for(const Controls& controls, double superheat) noexcept;
inline constexpr double least_unit_opening = 0.04;

/// Thermostats, start and stop, speed, fans, valves, defrost, oil return.
void decide(const ModelData& model, const Orders& orders, const Weather& weather,
            const Faults& faults, StateData& state) noexcept;

/// Puts stuck valves where they are stuck.
void impose_stuck_valves(const Faults& faults, StateData& state) noexcept;

/// Sensor fault on one channel [its unit]; 0 where there is none.
double sensor_offset(const Faults& faults, std::string_view place, std::size_t number,
                     std::string_view quantity) noexcept;

}  // namespace cw::twin::detail
