#pragma once

#include <string_view>
#include <vector>

#include "system/system.h"

/// Keys of the sheet's tables that the twin reads for itself (docs/user/sheet.md describes each; a
/// test compares the two). `parameters_of` in twin/twin.h reads them. Thread-safe; allocate.
namespace cw::twin {

/// Modules that defrost at once where the sheet says nothing.
int usual_defrosts(const System& system) noexcept;
std::vector<std::string_view> control_keys();  ///< of [control]
std::vector<std::string_view> twin_keys();     ///< of [twin]

}  // namespace cw::twin
