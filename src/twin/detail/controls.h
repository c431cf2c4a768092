#pragma once

#include <algorithm>
#include <optional>

#include "twin/detail/network.h"

/// What the machine's own controls do: a decision every `period_s` from its sensors.
namespace cw::twin::detail {

/// What the pressure and discharge sensors say, sensor faults included: the highest discharge, the
/// lowest suction pressure, the hottest discharge of all modules.
struct Sight {
  double condensing = 0.0, evaporating = 0.0;           ///< dew points at the two pressures [K]
  double hottest = 0.0;                                 ///< [K]
  double p_high = 0.0, p_low = 0.0;                     ///< [Pa]
  std::size_t high_at = 0, low_at = 0, hottest_at = 0;  ///< modules

  /// How far the compressor is from its target, positive where it should go faster [K].
  double speed_error(const Controls& c, bool cooling) const noexcept {
    return cooling ? evaporating - c.evaporating_target_K : c.condensing_target_K - condensing;
  }
  /// How far the outdoor fan is from its target, positive where it should go faster [K].
  double fan_error(const Controls& c, bool cooling) const noexcept {
    return cooling ? condensing - c.cooling_condensing_K : c.heating_evaporating_K - evaporating;
  }
  /// Most that discharge temperature and high pressure let the speed rise in one decision, as a
  /// share of the highest; negative where they ask for less. By the low pressure, which start-up
  /// and defrost may pass: room_below.
  double room_by_discharge(const Controls& c) const noexcept {
    return 0.004 * (c.discharge_limit_K - hottest);
  }
  double room_by_pressure(const Controls& c) const noexcept {
    return 0.2e-6 * (c.high_pressure_limit_Pa - p_high);
  }
  double room_above(const Controls& c) const noexcept {
    return std::min(room_by_discharge(c), room_by_pressure(c));
  }
  /// The same in a start, a defrost or an oil return, which may pass the limit but keep off the
  /// trip: air would be drawn in below it.
  double room_above_vacuum(const Controls& c) const noexcept {
    return 1e-6 * (p_low - c.low_pressure_trip_Pa);
  }
  double room_below(const Controls& c) const noexcept {
    return 0.5e-6 * (p_low - c.low_pressure_limit_Pa);
  }
};
inline constexpr double speed_gain = 0.003;  ///< share of the highest speed per kelvin and decision
/// Share of the highest speed for each kelvin that the error changes by. The pressure follows the
/// speed within a minute or two by some 0.02 a kelvin; the integral alone would swing around its
/// target every eight minutes for as long as units begin and stop calling.
inline constexpr double speed_damping = 0.015;
/// Who asks for the lowest speed, and what would satisfy it.
SpeedHold speed_hold(const ModelData& model, const StateData& state, const Faults& faults,
                     const Sight& sight, bool cooling) noexcept;
/// Each module has its own range; the share of its highest speed is the same for all, within it.
inline double speed_of(const ModuleShape& module, double share) noexcept {
  return std::clamp(share * module.speed_highest, module.speed_lowest, module.speed_highest);
}
/// Least share at which any module still follows.
double lowest_share(const ModelData& model) noexcept;

Sight look(const ModelData& model, const StateData& state, const Faults& faults) noexcept;

/// Superheat in cooling, subcooling in heating over its target, as the unit's sensors tell it [K];
/// positive opens the valve.
double unit_error(const ModelData& model, const StateData& state, const Faults& faults,
                  std::size_t unit) noexcept;
/// Superheat of an outdoor coil as its sensor tells it [K].
double seen_superheat(const ModelData& model, const StateData& state, const Faults& faults,
                      std::size_t module) noexcept;

/// Fan of a calling unit, 0..1. In heating it waits until the coil is warm.
double unit_fan(const UnitShape& shape, const UnitState& unit) noexcept;

/// Orders that do not fit the sheet; empty when they do.
std::optional<Error> wrong_orders(const ModelData& model, const Orders& orders);

/// Superheat at the gas port and subcooling at the liquid port, as enthalpy differences over the
/// saturated specific heat, so that both go on into the two-phase region.
double superheat_of(const Props& props, const CoilState& coil) noexcept;
double subcooling_of(const Props& props, const CoilShape& shape, const CoilState& coil) noexcept;

/// Keeps what the controls derive from the outdoor temperature.
void note_weather(const ModelData& model, double outdoor_T, StateData& state) noexcept;

/// Opening of an outdoor valve that passes what the compressor draws with 4 bar left for the indoor
/// valves: the feed-forward on which superheat trims.
double feed_forward(const ModelData& model, const StateData& state, const Faults& faults,
                    std::size_t module) noexcept;
inline constexpr double most_trim = 1.5;  ///< the outdoor valve opens up to 2.5 times that
/// Trim that a superheat asks for, with its slope [1/K]: proportional, since an integral here and
/// one at the indoor valves would leave the pressure between them to chance.
struct Trim {
  double value, slope;
};
Trim trim_for(const Controls& controls, double superheat) noexcept;
inline constexpr double least_unit_opening = 0.04;
inline constexpr double least_fan = 0.12;  ///< of an outdoor fan that runs

/// Thermostats, start and stop, speed, fans, valves, defrost, oil return.
void decide(const ModelData& model, const Orders& orders, const Weather& weather,
            const Faults& faults, StateData& state) noexcept;

/// The same for a machine that is watched on its way to rest: speed, fans and valves only.
void decide_held(const ModelData& model, const Orders& orders, const Weather& weather,
                 const Faults& faults, StateData& state) noexcept;

/// Puts stuck valves where they are stuck.
void impose_stuck_valves(const Faults& faults, StateData& state) noexcept;

/// Sensor fault on one channel [its unit]; 0 where there is none.
double sensor_offset(const Faults& faults, std::string_view place, std::size_t number,
                     std::string_view quantity) noexcept;

}  // namespace cw::twin::detail
