#pragma once

#include "ingest/delimited/layout.h"

namespace cw {

/// Columns whose every cell says the same unit, or beside which a column "Unit" says it, have that
/// unit.
void take_cell_units(Layout& layout);

}  // namespace cw
