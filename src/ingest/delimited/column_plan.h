#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ingest/delimited/delimited.h"
#include "ingest/delimited/layout.h"

namespace cw {

/// How cells of one column become SI floats.
struct ColumnPlan {
  std::size_t index = 0;  ///< 0-based position in the row
  Place place;
  const Quantity* quantity = nullptr;  ///< null: the column is read as it stands (survey)
  double scale = 1.0;
  double offset = 0.0;  ///< SI, with the barometric pressure for gauge readings
  double lowest = 0.0;
  double highest = 0.0;
  std::vector<double> sentinels;
  std::vector<std::pair<std::string, double>> words;  ///< lower-case word -> SI value
  std::string header;
  std::string unit_text;
  Unit unit;  ///< of the cells, as it measures the quantity; where `quantity` is null it says
              ///< nothing
  std::optional<double> gauge_with;  ///< air pressure in `offset` [Pa], for a gauge pressure
};

/// Which column of a delimited text is which channel.
struct TablePlan {
  std::vector<ColumnPlan> columns;  ///< by index
  std::vector<std::string> not_understood;
  std::size_t left_out = 0;  ///< because the map says so
};

/// Decides what each column is, from the map and from headers in our own form; counts the rest.
/// @param clock  positions of the columns that make the time
/// @error unreadable  no channel, with what was and was not understood (not in a survey, and not
///                    where the map leaves out all that there is)
Result<TablePlan> plan_table(const Layout& layout, const std::vector<std::size_t>& clock,
                             const ReadContext& context);

/// What was and was not understood, for a message.
std::string understood_text(const TablePlan& table);

/// Does the header name a channel, by its own form or by the map?
bool is_channel_header(const std::string& header, const ChannelMap* map);

}  // namespace cw
