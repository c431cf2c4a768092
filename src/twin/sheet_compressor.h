#pragma once

#include "base/result.h"
#include "system/system.h"
#include "twin/compressor.h"
#include "twin/parameters.h"

namespace cw::twin {

/// One compressor of an outdoor module as its sheet has it: the map that it names (a file relative
/// to the sheet), else the efficiency form with the sheet's displacement and the usual
/// efficiencies, rated at 55 % of the highest speed. Of `parameters` the leak and the volume ratio
/// count, which only the efficiency form has. Thread-safe; allocates.
/// @error as read_compressor_map, make_map_compressor and make_efficiency_compressor
Result<Compressor> compressor_of(const System& system, const OutdoorModule& module,
                                 const Parameters& parameters = {});

/// Does the sheet leave the size of the compressor open, so that it was taken from the rating? What
/// is worked out with it then only gives the rating back.
bool compressor_is_assumed(const System& system, const OutdoorModule& module);

}  // namespace cw::twin
