#include "ingest/delimited/cell_units.h"

#include <algorithm>

#include "base/text.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/unit_columns.h"
#include "ingest/header.h"

namespace cw {
namespace {

using Cells = std::vector<std::string>;

/// The unit behind the number of a cell, "5.2 °C" or "47%"; empty where there is none.
std::string unit_in_cell(std::string_view cell, const Dialect& dialect) {
  cell = without_good_status(cell);
  std::size_t at = cell.size();
  while (at > 0 && (cell[at - 1] < '0' || cell[at - 1] > '9')) --at;
  if (at == 0 || at == cell.size() || !is_number(cell.substr(0, at), dialect)) return {};
  const std::string_view text = trim(cell.substr(at));
  return parse_unit(text) ? std::string(text) : std::string();
}

/// "950 mbar" below "1.02 bar": an instrument that changes its range by itself.
bool are_of_one_kind(const std::string& a, const std::string& b) {
  const Result<Unit> one = parse_unit(a);
  const Result<Unit> other = parse_unit(b);
  return one && other && one->dimension == other->dimension && one->reference == other->reference;
}

}  // namespace

void take_cell_units(Layout& layout) {
  const std::vector<UnitColumn> columns = find_unit_columns(layout);
  std::vector<std::string> found;
  bool changing = false;
  bool from_column = false;
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    if (i < layout.units.size() && !layout.units[i].empty()) continue;
    if (!split_header(layout.headers[i]).unit_text.empty()) continue;
    std::string unit;
    std::size_t times = 0;
    for (const Cells& row : layout.rows) {
      if (i >= row.size() || row[i].empty() || is_missing_mark(row[i])) continue;
      std::string mine = unit_in_cell(row[i], layout.dialect);
      if (mine.empty() || (times > 0 && mine != unit && !are_of_one_kind(mine, unit))) {
        times = 0;
        break;
      }
      changing = changing || (times > 0 && mine != unit);
      if (times++ == 0) unit = std::move(mine);
    }
    if (times < 2) {
      const auto beside = std::find_if(columns.begin(), columns.end(),
                                       [&](const UnitColumn& column) { return column.of == i; });
      unit = beside == columns.end() ? std::string() : beside->unit;
      from_column = from_column || !unit.empty();
    }
    if (unit.empty()) continue;
    layout.units.resize(layout.headers.size());
    layout.units[i] = unit;
    found.push_back(layout.headers[i]);
  }
  if (found.empty()) return;
  layout.findings.push_back({"units in the cells of " + std::to_string(found.size()) + " columns",
                             0.9,
                             from_column ? "columns of units stand behind their readings"
                             : changing  ? "units of one kind, turned into that of the first row"
                                         : "every cell looked at says the same unit"});
}

}  // namespace cw
