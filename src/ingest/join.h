#pragma once

#include <vector>

#include "base/result.h"
#include "ingest/counters.h"
#include "ingest/source_table.h"
#include "series/recording.h"

namespace cw {

/// Puts the rows of one file into strictly increasing time. A file written newest first is turned
/// round. Of the rest, the longest increasing run of stamps stays: one wild stamp costs one row,
/// not all the rows behind it. Rows that go are counted (duplicate_time_stamp,
/// backward_time_stamp).
void order_rows(SourceTable& table, ImportLog& log);

/// Joins ordered tables into one recording: the union of their time stamps, one channel per name.
/// @error inconsistent  some files state their offset from UTC and others do not
Result<Recording> join_tables(std::vector<SourceTable> tables, ImportLog& log);

}  // namespace cw
