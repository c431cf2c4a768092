#pragma once

#include <vector>

#include "system/system.h"
#include "twin/compressor.h"
#include "twin/detail/coil.h"
#include "twin/detail/props.h"
#include "twin/twin.h"

/// What a Model holds. SI.
namespace cw::twin::detail {

/// A vessel or a pipe run of one state.
struct LumpShape {
  double volume = 0.0;
  double metal = 0.0;       ///< heat capacity of its wall [J/K]
  double UA_inside = 0.0;   ///< refrigerant to wall [W/K]
  double UA_outside = 0.0;  ///< wall to the surroundings [W/K]
  double outdoors = 1.0;    ///< share of its surface that stands in outdoor air; rooms the rest
};

/// Accumulator: how much liquid leaves with the vapour.
struct AccumulatorShape {
  double usable = 0.0;  ///< liquid below the outlet [m3]
  double bleed = 0.0;   ///< liquid share through the oil hole with liquid at half height
};

struct ModuleShape {
  explicit ModuleShape(Compressor c) : compressor(std::move(c)) {}

  CoilShape coil;
  ExpansionValve valve;
  Compressor compressor;  ///< one of them
  int compressors = 1;
  double speed_lowest = 20.0, speed_highest = 115.0;
  AccumulatorShape accumulator;
  double loss_share = 0.0;       ///< of the power that heats the shell
  double shell_metal = 0.0;      ///< [J/K]
  double UA_shell_gas = 0.0;     ///< shell to suction gas at rated flow [W/K]
  double UA_shell_air = 0.0;     ///< [W/K]
  double oil = 0.0;              ///< [kg]
  double rated_flow = 0.0;       ///< [kg/s], all compressors at rated speed
  double fan_W = 0.0;            ///< at full speed
  ExpansionValve bypass;         ///< round the valve when the outdoor coil condenses
  double equalise = 0.0;         ///< flow coefficient of the path that opens at stop [m2]
  double liquid_height = 0.0;    ///< above the first module [m]
  double liquid_friction = 0.0;  ///< module's own pipe: loss = friction m |m| / rho [1/m4]
  double gas_friction = 0.0;
};

struct UnitShape {
  CoilShape coil;
  ExpansionValve valve;
  double height = 0.0;            ///< above the root [m]
  std::vector<std::size_t> path;  ///< segments from the root
  double heating_W = 0.0;
  double fan_W = 0.0;
  std::size_t room = 0;
  bool wall_sensor = false;
};

struct SegmentShape {
  double liquid_friction = 0.0, gas_friction = 0.0;  ///< loss = friction m |m| / rho [1/m4]
};

struct RoomShape {
  double air = 0.0, mass = 0.0;        ///< heat capacities [J/K]
  double UA_mass = 0.0, UA_out = 0.0;  ///< [W/K]
};

struct ModelData {
  ModelData(const System& s, const Parameters& p, Props properties)
      : system(s), parameters(p), props(std::move(properties)) {}

  System system;
  Parameters parameters;
  Props props;
  std::vector<ModuleShape> modules;
  std::vector<UnitShape> units;
  std::vector<SegmentShape> segments;
  std::vector<RoomShape> rooms;
  /// 0 liquid line, 1 gas line, [2 third line,] then discharge and accumulator of each module.
  std::vector<LumpShape> lumps;
  bool recovery = false;
  double third_line_drain = 0.0;  ///< flow coefficient of the drains in the branch boxes [m2]
  double air_pressure = 101325.0;
  double total_volume = 0.0;
  std::vector<Assumption> assumptions;

  std::size_t first_module_lump() const { return recovery ? 3 : 2; }
  std::size_t discharge_lump(std::size_t j) const { return first_module_lump() + 2 * j; }
  std::size_t accumulator_lump(std::size_t j) const { return first_module_lump() + 2 * j + 1; }
};
inline constexpr std::size_t liquid_lump = 0;
inline constexpr std::size_t gas_lump = 1;
inline constexpr std::size_t third_lump = 2;

inline constexpr std::size_t most_modules = 6;
inline constexpr std::size_t most_lumps = 3 + 2 * most_modules;
inline constexpr std::size_t most_groups = 2 + most_modules;
inline constexpr std::size_t most_unknowns = most_lumps + most_groups + 1;
inline constexpr std::size_t most_units = 64;

}  // namespace cw::twin::detail
