#include "ingest/delimited/unit_row.h"

#include <algorithm>
#include <set>

#include "base/text.h"
#include "base/unit_text.h"
#include "ingest/delimited/cells.h"

namespace cw {
namespace {

using Cells = std::vector<std::string>;

/// Where the cells of a line stand in it: begin and end.
std::vector<std::pair<std::size_t, std::size_t>> places_of(std::string_view line, char delimiter) {
  std::vector<std::pair<std::size_t, std::size_t>> out;
  std::string scratch;
  CellCutter cutter(line, delimiter, scratch);
  std::string_view cell;
  while (cutter.next(cell)) {
    if (cell.data() < line.data() || cell.data() > line.data() + line.size()) return {};  // quoted
    const auto begin = static_cast<std::size_t>(cell.data() - line.data());
    out.emplace_back(begin, begin + cell.size());
  }
  return out;
}

}  // namespace

bool is_unit_row(const std::vector<std::string>& cells, const Dialect& dialect) {
  std::size_t filled = 0;
  std::size_t units = 0;
  for (const std::string& cell : cells) {
    if (cell.empty() || cell == "-") continue;
    if (is_number(cell, dialect)) return false;
    ++filled;
    const std::string low = to_lower(cell);
    units += parse_unit(cell).has_value() || low == "deg" || low.find("yy") != low.npos ? 1U : 0U;
  }
  // Beside units stand words such as "TS" and "RN" of columns that have none.
  return (units > 0 && units * 10 >= filled * 6) || (units >= 2 && units * 2 >= filled);
}

std::vector<std::string> below_names(const SampleRow& units, const SampleRow& names,
                                     std::size_t count, char delimiter) {
  const auto at = places_of(units.line, delimiter);
  const auto above = places_of(names.line, delimiter);
  if (units.cells.size() >= count || above.size() != count || at.size() != units.cells.size()) {
    return units.cells;
  }
  Cells out(count);
  const auto apart = [](const auto& a, const auto& b) {
    const auto distance = [](std::size_t x, std::size_t y) { return x > y ? x - y : y - x; };
    return std::min(distance(a.first, b.first), distance(a.second, b.second));
  };
  for (std::size_t i = 0; i < at.size(); ++i) {
    const auto nearest = std::min_element(
        above.begin(), above.end(),
        [&](const auto& a, const auto& b) { return apart(a, at[i]) < apart(b, at[i]); });
    out[static_cast<std::size_t>(nearest - above.begin())] = units.cells[i];
  }
  return out;
}

bool is_address_row(const std::vector<std::string>& cells, const std::vector<std::string>& above,
                    const Dialect& dialect) {
  const auto numbers = std::count_if(cells.begin(), cells.end(), [&](const std::string& cell) {
    return is_number(cell, dialect);
  });
  return cells.size() > 2 && static_cast<std::size_t>(numbers) + 1 >= cells.size() &&
         std::set<std::string>(above.begin(), above.end()).size() == above.size();
}

}  // namespace cw
