#pragma once

#include <set>
#include <string>
#include <vector>

#include "ingest/counters.h"
#include "ingest/file_survey.h"
#include "ingest/source_table.h"

namespace cw {

/// Adds what the numbers of a file suggest: values that mean "no reading", stuck sensors, units
/// that cannot be right, gauge pressures, tenths, cells that are blank where nothing changed.
void propose_values(const std::vector<SourceTable>& tables, const ImportLog& log,
                    FileSurvey& survey);

/// The unit in which numbers of this size are pressures of a refrigerant circuit; empty where none
/// or several may be meant.
std::string likely_pressure_unit(double middle, double high);

/// Adds one proposal of a channel; the unit is the file's where it fits, else the usual one, which
/// a comment says.
void propose_channel(const std::string& place, const Quantity& quantity, const ColumnSurvey& column,
                     double confidence, std::string evidence, FileSurvey& survey);

/// Adds what columns may be by how they move, where headers say nothing: the pressures that part
/// and meet with the compressor, its frequency, the hottest and the coldest line, outdoor air, set
/// points, flags. Never sure.
/// @param understood  headers that have a proposal already
void propose_by_behaviour(const std::vector<SourceTable>& tables,
                          const std::set<std::string>& understood, FileSurvey& survey);

/// Adds which channel a column may be, from the plain English of its header and its unit, and where
/// the header says nothing, from how it behaves. Knows no maker's labels.
void propose_channels(const std::vector<SourceTable>& tables, FileSurvey& survey);

}  // namespace cw
