#include "ingest/delimited/number_doubts.h"

#include <algorithm>
#include <string>
#include <vector>

#include "ingest/delimited/cells.h"

namespace cw {

using Cells = std::vector<std::string>;

void take_minus_behind(Layout& layout) {
  Dialect with = layout.dialect;
  with.minus_behind = true;
  std::size_t behind = 0;
  for (const Cells& row : layout.rows) {
    for (const std::string& cell : row) {
      if (cell.size() < 2) continue;
      const bool number = is_number(cell, layout.dialect);
      if (number && cell.front() == '-') return;
      if (cell.back() == '+' && is_number(cell.substr(0, cell.size() - 1), layout.dialect)) return;
      if (!number && is_number(cell, with)) ++behind;
    }
  }
  if (behind < 2) return;
  layout.dialect.minus_behind = true;
  layout.assumptions.push_back(
      "Numbers as \"3,2-\" have their minus behind them and are read as negative; no number of the "
      "rows looked at has one in front.");
}

std::optional<Error> commas_of_two_kinds(const Layout& layout, const ChannelMap* map) {
  const bool stated = map != nullptr && (map->dialect.delimiter || map->dialect.decimal);
  if (layout.dialect.delimiter != ',' || stated || !layout.has_header) return std::nullopt;
  // Cells without a name at the end of the header are columns, too.
  const std::size_t named =
      layout.header_text.empty() ? layout.headers.size() : cells_of(layout.header_text, ',').size();
  std::size_t longest = 0;
  std::size_t longer = 0;
  for (const Cells& row : layout.rows) {
    std::size_t filled = row.size();
    while (filled > 0 && row[filled - 1].empty()) --filled;
    longest = std::max(longest, filled);
    longer += filled > named ? 1U : 0U;
    for (std::size_t i = 1; i < row.size(); ++i) {
      // A time or a text beside the stamp says nothing; a decimal point says that commas are none.
      if (row[i].find('.') != std::string::npos && is_number(row[i], layout.dialect)) {
        return std::nullopt;
      }
    }
  }
  if (named < 2 || layout.rows.size() < 3 || longer * 10 < layout.rows.size() * 9) {
    return std::nullopt;
  }
  return Error{ErrorCode::inconsistent,
               "the rows have up to " + std::to_string(longest) + " cells where the header has " +
                   std::to_string(named) +
                   ", and no number has a decimal point: commas seem to stand between cells and "
                   "within numbers, which nothing tells apart",
               "",
               "Export it with semicolons or tabs between the cells, or with decimal points. If "
               "all commas stand between cells, say so in a map, [file] delimiter = \",\""};
}

}  // namespace cw
