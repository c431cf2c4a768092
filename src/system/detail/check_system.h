#pragma once

#include "system/detail/table_reader.h"

namespace cw::detail {

/// Warnings about the system as a whole: connection ratio, lengths, lifts, gas speeds.
void check_system(const System& system, Notes& notes);

}  // namespace cw::detail
