#include "ingest/delimited/cut_off.h"

#include <algorithm>
#include <optional>
#include <vector>

#include "base/text.h"
#include "ingest/delimited/cells.h"

namespace cw {
namespace {

/// How exactly the last cells of some lines are written.
struct CellSizes {
  std::size_t shortest = 0;       ///< characters without a sign
  std::size_t fewest_places = 0;  ///< behind the decimal sign
  std::size_t most_places = 0;
};

CellSizes sizes_of(const std::vector<std::string_view>& cells, char decimal) {
  CellSizes out{static_cast<std::size_t>(-1), static_cast<std::size_t>(-1), 0};
  for (std::string_view cell : cells) {
    if (cell.front() == '-' || cell.front() == '+') cell.remove_prefix(1);
    const std::size_t at = cell.find(decimal);
    const std::size_t places = at == std::string_view::npos ? 0 : cell.size() - at - 1;
    out.shortest = std::min(out.shortest, cell.size());
    out.fewest_places = std::min(out.fewest_places, places);
    out.most_places = std::max(out.most_places, places);
  }
  return out;
}

/// A number and what stands behind it: "28.5 \xC2\xB0" "C".
struct NumberCell {
  std::string number;
  std::string unit;
};

std::optional<NumberCell> number_cell(const std::string& cell, const Dialect& dialect) {
  const std::size_t digits = cell.find_last_of("0123456789.,");
  if (digits == std::string::npos) return std::nullopt;
  NumberCell out{cell.substr(0, digits + 1), std::string(trim(cell.substr(digits + 1)))};
  // "28." is cut at its decimal sign.
  const bool at_sign = out.number.size() > 1 && out.number.back() == dialect.decimal;
  const std::string_view whole = std::string_view(out.number).substr(0, digits + (at_sign ? 0 : 1));
  if (!is_number(whole, dialect)) return std::nullopt;
  return out;
}

/// Is the cell shorter than those above it in the same column?
bool is_shorter(const NumberCell& mine, const std::vector<NumberCell>& above, char decimal) {
  const std::string& unit = above.front().unit;
  const bool same_unit = std::all_of(above.begin(), above.end(),
                                     [&](const NumberCell& cell) { return cell.unit == unit; });
  if (same_unit && mine.unit != unit) return true;
  // With its whole unit behind it a number is whole.
  if (same_unit && !unit.empty()) return false;
  std::vector<std::string_view> numbers;
  for (const NumberCell& cell : above) numbers.push_back(cell.number);
  const CellSizes usual = sizes_of(numbers, decimal);
  const CellSizes last = sizes_of({mine.number}, decimal);
  const bool fixed = usual.fewest_places == usual.most_places && usual.most_places > 0;
  return fixed ? last.most_places < usual.fewest_places : last.shortest < usual.shortest;
}

}  // namespace

std::optional<CutOff> find_cut_off(std::string_view body, const Layout& layout, char end_of_line) {
  // A quote that closes the last cell closes it whole.
  if (body.empty() || body.back() == '\n' || body.back() == '\r' || body.back() == '"') {
    return std::nullopt;
  }
  constexpr std::size_t looked_at = 100;  // lines
  constexpr std::size_t enough = 5;
  std::vector<NumberCell> above;
  NumberCell mine;
  CutOff out;
  for (std::size_t end = body.size(), k = 0; k <= looked_at && end > 0; ++k) {
    const std::size_t before = body.rfind(end_of_line, end - 1);
    const std::size_t begin = before == std::string_view::npos ? 0 : before + 1;
    const std::vector<std::string> cells =
        cells_of(body.substr(begin, end - begin), layout.dialect.delimiter);
    if (k == 0) {
      if (cells.size() < 2 || cells.size() > layout.headers.size()) return std::nullopt;
      const auto number = number_cell(cells.back(), layout.dialect);
      if (!number) return std::nullopt;
      mine = *number;
      out.index = cells.size() - 1;
      out.cell = cells.back();
    } else if (out.index < cells.size()) {
      if (auto number = number_cell(cells[out.index], layout.dialect)) {
        above.push_back(std::move(*number));
      }
    }
    if (before == std::string_view::npos) break;
    end = before;
  }
  if (above.size() < enough || !is_shorter(mine, above, layout.dialect.decimal)) {
    return std::nullopt;
  }
  out.line = layout.data_line +
             static_cast<std::size_t>(std::count(body.begin(), body.end(), end_of_line));
  return out;
}

void note_cut_off(const CutOff& cut, const Layout& layout, const ReadContext& context) {
  context.log->add({Counter::cut_value, context.file, cut.line, layout.headers[cut.index], cut.cell,
                    "the file ends within this line, and the cells above are longer"});
}

}  // namespace cw
