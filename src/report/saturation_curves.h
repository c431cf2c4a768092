#pragma once

#include <vector>

#include "fluid/refrigerant.h"
#include "ingest/standing.h"

namespace cw {

/// Saturation for the importer, which knows no fluids: of one refrigerant, or of all in the
/// catalogue that have one at room temperature.
std::vector<SaturationCurve> saturation_of(const fluid::Refrigerant& refrigerant);
std::vector<SaturationCurve> saturation_of_all();

}  // namespace cw
