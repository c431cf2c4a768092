#pragma once

#include <optional>
#include <string_view>

namespace cw {

/// What a number measures. A closed list: a unit belongs to exactly one of these, but a plain
/// temperature unit may also measure a difference (see Unit::as).
enum class Dimension {
  temperature,             ///< K
  temperature_difference,  ///< K
  pressure,                ///< Pa, absolute
  pressure_difference,     ///< Pa
  frequency,               ///< Hz (rotation: revolutions per second)
  ratio,                   ///< 1 (a fraction; 100 % is 1)
  count,                   ///< 1 (valve pulses, fan steps)
  flag,                    ///< 0 or 1
  state,                   ///< a word from a closed list, stored as its number
  power,                   ///< W
  energy,                  ///< J
  current,                 ///< A
  voltage,                 ///< V
  mass,                    ///< kg
  mass_flow,               ///< kg/s
  volume,                  ///< m3
  volume_flow,             ///< m3/s
  length,                  ///< m
  area,                    ///< m2
  time,                    ///< s
  density,                 ///< kg/m3
  specific_volume,         ///< m3/kg
  specific_energy,         ///< J/kg
  specific_entropy,        ///< J/(kg K)
  speed,                   ///< m/s
  linear_density,          ///< kg/m
  leak_flow,               ///< Pa m3/s
};

/// The SI unit of a dimension in ASCII, as JSON carries it ("K", "Pa", "kg/m3"); "1" for pure
/// numbers.
std::string_view si_symbol(Dimension dimension) noexcept;

/// The dimension's name as data files spell it ("temperature_difference").
std::string_view name_of(Dimension dimension) noexcept;

/// The inverse of name_of; empty for an unknown name.
std::optional<Dimension> dimension_named(std::string_view name) noexcept;

}  // namespace cw
