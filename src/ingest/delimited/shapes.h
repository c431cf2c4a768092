#pragma once

#include "ingest/delimited/column_plan.h"

namespace cw {

/// Where the names and values of a long table stand (name, value and time in each row).
struct LongShape {
  std::vector<std::size_t> names;
  std::size_t value = 0;
  std::optional<std::size_t> quality;  ///< a column that says whether the reading is good
  std::vector<std::string> good;       ///< its texts that say so, lower case
  std::optional<std::size_t> unit;     ///< a column called "Unit"; read_long sees what it holds
  bool own_form = false;               ///< the names are channel headers: certain, applied
  std::size_t signals = 0;             ///< distinct names in the sample
};

/// A long table, if the map says so, if a column's cells are channel headers, or (proposed only) if
/// texts of a few kinds take turns at repeated stamps.
std::optional<LongShape> find_long(const Layout& layout, const ClockPlan& clock,
                                   const ChannelMap* map);

/// Reads a long table: one table a signal, since each has stamps of its own.
Result<std::vector<SourceTable>> read_long(std::string_view text, const Layout& layout,
                                           const ClockPlan& clock, const LongShape& shape,
                                           const ReadContext& context);

/// Positions of the columns whose headers are times of day, at least twelve of them; a row is a
/// day.
std::vector<std::size_t> find_matrix(const Layout& layout);

/// Reads a day-by-interval matrix as one column over time.
Result<std::vector<SourceTable>> read_matrix(std::string_view text, const Layout& layout,
                                             const ClockPlan& clock,
                                             const std::vector<std::size_t>& columns,
                                             const ReadContext& context);

/// Blank means unchanged: carries the last reading of each column forward over blanks, for at most
/// `hold` seconds.
void fill_unchanged(SourceTable& table, double hold);

/// The cells of a row that make its time; empty where the row is too short.
std::vector<std::string> clock_cells(std::span<const std::string> row, const ClockPlan& clock);

/// Calls back with the first `cells` cells of each row, tidied at the ends, until told to stop.
void walk_rows(std::string_view text, const Layout& layout, std::size_t cells,
               const std::function<bool(std::span<const std::string>, std::size_t line)>& visit);

}  // namespace cw
