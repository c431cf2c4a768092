#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/instant.h"
#include "base/result.h"
#include "ingest/clock/clock_plan.h"
#include "ingest/delimited/dialect.h"

namespace cw {

/// Something that a person may switch on in a map; never applied unasked.
struct Proposal {
  std::string kind;    ///< "channel", "sentinel", "unit", "gauge", "tenths", "stuck", "clock", ...
  std::string column;  ///< header; empty for the whole file
  std::string what;    ///< "126 means no reading"
  double confidence = 0.0;
  std::string evidence;  ///< "stands 112 times, next reading below is 41.3"
  std::string toml;      ///< the line that switches it on; empty where a map cannot
};

/// One column of a file as it stands.
struct ColumnSurvey {
  std::size_t index = 0;  ///< position in the row
  std::string header;
  std::string unit_text;
  std::string role;     ///< "time", "channel", "number", "words", "constant", "empty"
  std::string channel;  ///< "outdoor.1.discharge_temperature" where it is read as one
  std::size_t numbers = 0;
  std::size_t texts = 0;
  std::vector<std::pair<std::string, std::size_t>> words;
  double lowest = 0.0, median = 0.0, highest = 0.0;  ///< of the numbers, in the file's unit
  std::size_t distinct = 0;                          ///< up to 1000
};

/// Longest time without a row.
struct GapSurvey {
  std::size_t count = 0;  ///< steps longer than gap_factor times the usual one
  double longest = 0.0;   ///< [s]
  Instant longest_from;
  double total = 0.0;  ///< [s]
};

/// What the importer saw in one file.
struct FileSurvey {
  std::string file;
  std::string format;                 ///< "delimited text", "workbook, sheet \"Data\""
  std::vector<Observation> findings;  ///< encoding, delimiter, numbers, header, ... in this order
  std::vector<std::string> titles;
  std::string shape = "wide";  ///< "wide", "long", "matrix"
  ClockPlan clock;
  /// The clock could not be decided: the times below are row numbers, and are not to be shown.
  std::optional<Error> clock_error;
  Clock shown;  ///< for writing the times below
  std::size_t rows = 0;
  Instant first, last;
  double interval = 0.0;  ///< usual step between rows [s]
  GapSurvey gaps;
  std::vector<ColumnSurvey> columns;
  std::vector<Proposal> proposals;
};

}  // namespace cw
