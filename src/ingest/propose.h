#pragma once

#include <vector>

#include "ingest/counters.h"
#include "ingest/file_survey.h"
#include "ingest/source_table.h"

namespace cw {

/// Adds what the numbers of a file suggest: values that mean "no reading", stuck sensors, units
/// that cannot be right, gauge pressures, tenths, cells that are blank where nothing changed.
void propose_values(const std::vector<SourceTable>& tables, const ImportLog& log,
                    FileSurvey& survey);

/// Adds which channel a column may be, from the plain English of its header and its unit, and where
/// the header says nothing, from how it behaves. Knows no maker's labels.
void propose_channels(const std::vector<SourceTable>& tables, FileSurvey& survey);

}  // namespace cw
