#pragma once

#include <string>
#include <vector>

#include "ingest/delimited/delimited.h"

namespace cw {

/// How cells of one column become SI floats.
struct ColumnPlan {
  std::size_t index = 0;  ///< 0-based position in the row
  Place place;
  const Quantity* quantity = nullptr;
  double scale = 1.0;
  double offset = 0.0;  ///< SI, with the barometric pressure for gauge readings
  double lowest = 0.0;
  double highest = 0.0;
  std::vector<double> sentinels;
  std::vector<std::pair<std::string, double>> words;  ///< lower-case word -> SI value
  std::string header;
  std::string unit_text;
};

struct TablePlan {
  std::size_t time_index = 0;
  std::string time_header;
  std::vector<ColumnPlan> columns;  ///< by index
  std::vector<std::string> not_understood;
};

/// Decides what each column is, from the map and from headers in our own form; counts the rest.
/// @error unreadable  no time column or no channel, with what was and was not understood
Result<TablePlan> plan_table(const std::vector<std::string>& headers,
                             const std::vector<std::string>& first_row, const ReadContext& context);

}  // namespace cw
