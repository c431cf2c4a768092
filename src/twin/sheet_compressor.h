#pragma once

#include "base/result.h"
#include "system/system.h"
#include "twin/compressor.h"

namespace cw::twin {

/// One compressor of an outdoor module as its sheet has it: the map that it names (a file relative
/// to the sheet), else the efficiency form with the sheet's displacement and the usual
/// efficiencies, rated at 55 % of the highest speed. Thread-safe; allocates.
/// @error as read_compressor_map, make_map_compressor and make_efficiency_compressor
Result<Compressor> compressor_of(const System& system, const OutdoorModule& module);

}  // namespace cw::twin
