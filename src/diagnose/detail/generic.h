#pragma once

#include <optional>
#include <string>

#include "checks/judgement.h"
#include "system/system.h"

namespace cw::diagnose::detail {

/// A machine with the recording's modules and units and usual sizes, to compare with where there is
/// no system sheet.
/// @error not_found  the recording names no outdoor module or no indoor unit
Result<System> generic_system(const Judgement& judgement);

}  // namespace cw::diagnose::detail
