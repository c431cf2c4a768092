#pragma once

#include "ingest/clock/clock_plan.h"
#include "ingest/delimited/column_plan.h"
#include "ingest/delimited/layout.h"
#include "ingest/source_table.h"

namespace cw {

/// Reads the rows of a delimited text into columns, on as many threads as the context allows: each
/// takes a range of whole lines, and the ranges are put together in order.
/// Rows and cells that cannot be read go to the context's log.
SourceTable scan_rows(std::string_view text, const Layout& layout, const ClockPlan& clock,
                      const TablePlan& plan, const ReadContext& context);

}  // namespace cw
