#pragma once

#include "twin/transport_table.h"

/// Refrigerant that dissolves in a compressor's oil. Bare SI; noexcept, allocation-free,
/// thread-safe.
namespace cw::twin {

/// Equilibrium mass of refrigerant over mass of the mixture, 0..0.5, in a polyol-ester oil.
///
/// Flory and Huggins [flory1953]: ln(p/p_sat) = ln f + (1 - f) + 0.2 (1 - f)^2 with f the volume
/// share, here taken as the mass share (both liquids have about the same density). The interaction
/// 0.2 is from memory of R-410A in polyol-ester oils; no fit of one oil stands behind it: take +-30
/// %. Above the critical temperature p_sat is continued as a straight line of ln p over 1/T.
/// Smooth; at p -> p_sat held at 0.5.
/// @param p      pressure over the oil [Pa]
/// @param T_oil  [K]
/// @param table  of the refrigerant; its dew line is the saturation pressure
double dissolved_fraction(double p, double T_oil, const TransportTable& table) noexcept;

}  // namespace cw::twin
