#pragma once

#include <vector>

#include "system/system.h"
#include "twin/parameters.h"

/// Limits of pressure where the sheet is silent: those of R-410A at the same saturation
/// temperature.
namespace cw::twin {

/// Fills the limits of `controls` that are 0. For R-410A 3.7 and 4.2 MPa, 0.22 and 0.11 MPa; for
/// others the high ones stand at the same dew points, so does the lower limit, but never nearer to
/// the air's pressure than 1.3 bar. Where the suction falls to 1.1 bar every machine stops: below
/// it a leak lets air in.
/// `controls` remembers which were filled. Thread-safe.
void settle_pressure_limits(const fluid::Refrigerant& refrigerant, Controls& controls);

/// What settle_pressure_limits took, for every output.
std::vector<Assumption> assumed_pressure_limits(const Controls& controls);

}  // namespace cw::twin
