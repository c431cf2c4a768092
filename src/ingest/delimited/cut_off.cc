#include "ingest/delimited/cut_off.h"

#include <algorithm>
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

/// The last cell of a line; empty where it is none.
std::string_view last_cell(std::string_view line, const Dialect& dialect) {
  if (dialect.by_blanks()) line = trim(line);
  const std::size_t mark =
      dialect.by_blanks() ? line.find_last_of(" \t") : line.find_last_of(dialect.delimiter);
  return mark == std::string_view::npos ? std::string_view() : trim(line.substr(mark + 1));
}

}  // namespace

std::string_view cut_off_cell(std::string_view body, const Layout& layout, char end_of_line) {
  if (body.empty() || body.back() == '\n' || body.back() == '\r') return {};
  constexpr std::size_t looked_at = 100;  // lines
  constexpr std::size_t enough = 5;
  std::vector<std::string_view> above;
  std::string_view last;
  for (std::size_t end = body.size(), k = 0; k <= looked_at && end > 0; ++k) {
    const std::size_t before = body.rfind(end_of_line, end - 1);
    const std::size_t begin = before == std::string_view::npos ? 0 : before + 1;
    const std::string_view line = body.substr(begin, end - begin);
    const std::string_view cell = last_cell(line, layout.dialect);
    const bool row = !cell.empty() && is_number(cell, layout.dialect) &&
                     cells_of(line, layout.dialect.delimiter).size() == layout.headers.size();
    if (k == 0 && !row) return {};
    if (k == 0) {
      last = cell;
    } else if (row) {
      above.push_back(cell);
    }
    if (before == std::string_view::npos) break;
    end = before;
  }
  if (above.size() < enough) return {};
  const CellSizes usual = sizes_of(above, layout.dialect.decimal);
  const CellSizes mine = sizes_of({last}, layout.dialect.decimal);
  const bool fixed = usual.fewest_places == usual.most_places && usual.most_places > 0;
  const bool cut = fixed ? mine.most_places < usual.fewest_places : mine.shortest < usual.shortest;
  return cut ? last : std::string_view();
}

std::string_view without_cut_off(std::string_view body, const Layout& layout, char end_of_line,
                                 const ReadContext& context) {
  const std::string_view cut = cut_off_cell(body, layout, end_of_line);
  if (cut.empty()) return body;
  const auto lines = static_cast<std::size_t>(std::count(body.begin(), body.end(), end_of_line));
  context.log->add({Counter::cut_value, context.file, layout.data_line + lines,
                    layout.headers.back(), std::string(cut),
                    "the file ends within this line, and the cells above are longer"});
  return body.substr(0, static_cast<std::size_t>(cut.data() - body.data()));
}

}  // namespace cw
