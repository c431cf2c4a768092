#pragma once

#include <string_view>
#include <vector>

#include "system/system.h"
#include "twin/parameters.h"

/// Keys of the sheet's tables that the twin reads for itself (docs/user/sheet.md describes each; a
/// test compares the two). `parameters_of` in twin/twin.h reads them. Thread-safe; allocate.
namespace cw::twin {

/// Modules that defrost at once where the sheet says nothing: one where three lines let the others
/// go on heating; with two the gas line leads either to all discharges or to all suctions.
void settle_defrosts(const System& system, Controls& controls) noexcept;
std::vector<std::string_view> control_keys();  ///< of [control]
std::vector<std::string_view> twin_keys();     ///< of [twin]

}  // namespace cw::twin
