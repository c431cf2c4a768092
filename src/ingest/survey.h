#pragma once

#include <vector>

#include "ingest/channel_map.h"
#include "ingest/counters.h"
#include "ingest/file_survey.h"
#include "ingest/source_table.h"

namespace cw {

/// Fills in what is seen in the rows: first and last time, gaps, each column's range and words, and
/// the proposals. Tables are ordered in time.
void finish_survey(FileSurvey& survey, const std::vector<SourceTable>& tables,
                   const ChannelMap* map, const ImportLog& log);

}  // namespace cw
