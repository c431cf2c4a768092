#pragma once

#include <vector>

#include "system/system.h"

/// What the network takes where neither sheet nor rating says anything. All own estimates, the same
/// for every machine; `kW` is rated cooling.
namespace cw::twin::detail::estimate {

inline constexpr double outdoor_bore = 0.0075, indoor_bore = 0.0065;  ///< of coil tubes [m]
inline constexpr double outdoor_flux = 190.0, indoor_flux = 130.0;    ///< at rating [kg/(m2 s)]
inline constexpr double film_enhancement = 1.6;                       ///< grooved over smooth tubes
inline constexpr double outdoor_metal = 850.0, indoor_metal = 750.0;  ///< [J/K] a kW
inline constexpr double outdoor_gas_loss = 25e3, indoor_gas_loss = 10e3;  ///< at rated flow [Pa]
/// Wall against air at rating, which sizes the air sides: 35 degC outdoors, 20 degC in rooms [K].
inline constexpr double outdoor_wall_K = 12.5, indoor_wall_K = 24.0;
inline constexpr double compression_heat = 0.28;  ///< of rated cooling, what the condenser adds
inline constexpr double outdoor_opening = 0.45;   ///< of the outdoor valve at rating
inline constexpr double indoor_opening = 0.55;    ///< of an indoor valve at rated heating
inline constexpr double rated_cop = 3.3;
inline constexpr double loss_share = 0.12;       ///< of the compressor's power, into the shell
inline constexpr double shell_superheat = 22.0;  ///< shell over suction gas at rating [K]
inline constexpr double shell_air_share = 0.06;  ///< conductance to air over that to the gas
inline constexpr double shell_metal = 600.0;     ///< [J/K] a kW
inline constexpr double oil = 0.09;              ///< [kg] a kW
inline constexpr double outdoor_fan = 0.02, indoor_fan = 0.012;  ///< power, of rated cooling
inline constexpr double discharge_volume = 0.08e-3;  ///< line, separator, shell side [m3] a kW
inline constexpr double oil_hole = 0.008;      ///< liquid share through it, half full accumulator
inline constexpr double drain = 0.01;          ///< third line to suction, of rated flow as hot gas
inline constexpr double pipe_loss = 0.27;      ///< through 13 mm of foam [W/(m K)]
inline constexpr double pipes_outdoors = 0.3;  ///< share of the pipes in outdoor air
inline constexpr double room_air = 4.0;        ///< heat capacity with what stands in it, over air's
inline constexpr double room_mass = 90e3;   ///< floor and walls that take part in a day [J/(K m2)]
inline constexpr double room_film = 12.0;   ///< air to floor and walls [W/(m2 K)]
inline constexpr double design_load = 0.6;  ///< of rated heating, at -15 degC outside

/// The same for a person to read; every output of the twin lists them.
std::vector<Assumption> list();

}  // namespace cw::twin::detail::estimate
