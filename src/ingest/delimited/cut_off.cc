#include "ingest/delimited/cut_off.h"

#include <algorithm>
#include <optional>
#include <vector>

#include "base/text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

/// How exactly the last cells of some lines are written.
struct CellSizes {
  std::size_t shortest = 0;  ///< characters without a sign
  std::size_t longest = 0;
  std::size_t fewest_places = 0;  ///< behind the decimal sign
  std::size_t most_places = 0;
};

CellSizes sizes_of(const std::vector<std::string_view>& cells, char decimal) {
  CellSizes out{static_cast<std::size_t>(-1), 0, static_cast<std::size_t>(-1), 0};
  for (std::string_view cell : cells) {
    if (cell.front() == '-' || cell.front() == '+') cell.remove_prefix(1);
    const std::size_t at = cell.find(decimal);
    const std::size_t places = at == std::string_view::npos ? 0 : cell.size() - at - 1;
    out.shortest = std::min(out.shortest, cell.size());
    out.longest = std::max(out.longest, cell.size());
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

using Kind = CutOff::Kind;

/// What the cell is beside those above it in the same column: empty where it is whole.
std::optional<Kind> kind_of(const NumberCell& mine, const std::vector<NumberCell>& above,
                            char decimal) {
  const std::string& unit = above.front().unit;
  const bool same_unit = std::all_of(above.begin(), above.end(),
                                     [&](const NumberCell& cell) { return cell.unit == unit; });
  if (same_unit && mine.unit != unit) return Kind::lost;
  // With its whole unit behind it a number is whole.
  if (!mine.unit.empty()) return std::nullopt;
  std::vector<std::string_view> numbers;
  for (const NumberCell& cell : above) numbers.push_back(cell.number);
  const CellSizes usual = sizes_of(numbers, decimal);
  const CellSizes last = sizes_of({mine.number}, decimal);
  const bool fixed = usual.fewest_places == usual.most_places && usual.most_places > 0;
  if (fixed) {
    return last.most_places < usual.fewest_places ? std::optional(Kind::lost) : std::nullopt;
  }
  if (last.shortest < usual.shortest) return Kind::lost;
  return last.shortest < usual.longest ? std::optional(Kind::doubted) : std::nullopt;
}

/// Is it a time, shorter than each of those above it?
bool is_cut_time(const std::string& mine, const std::vector<std::string>& above) {
  StampFields f;
  return std::all_of(above.begin(), above.end(), [&](const std::string& cell) {
    return cell.size() > mine.size() && cell.find(':') != std::string::npos && parse_stamp(cell, f);
  });
}

/// Cells of the last line and of some above it.
struct LastLines {
  std::vector<std::string> last;
  std::vector<std::string> above;  ///< that stand in the column of the last cell
  std::size_t lines_above = 0;
  std::size_t fewest = 0;  ///< cells in one of them
};

LastLines last_lines(std::string_view body, const Layout& layout, char end_of_line) {
  constexpr std::size_t looked_at = 100;  // lines
  LastLines out;
  out.fewest = layout.headers.size();
  for (std::size_t end = body.size(), k = 0; k <= looked_at && end > 0; ++k) {
    const std::size_t before = body.rfind(end_of_line, end - 1);
    const std::size_t begin = before == std::string_view::npos ? 0 : before + 1;
    std::string_view line = body.substr(begin, end - begin);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    std::vector<std::string> cells = cells_of(line, layout.dialect.delimiter);
    if (k == 0) {
      out.last = std::move(cells);
    } else if (!is_blank_or_comment(line)) {
      ++out.lines_above;
      out.fewest = std::min(out.fewest, cells.size());
      const std::size_t index = out.last.size() - 1;
      if (index < cells.size() && !cells[index].empty()) out.above.push_back(cells[index]);
    }
    if (before == std::string_view::npos) break;
    end = before;
  }
  return out;
}

}  // namespace

std::optional<CutOff> find_cut_off(std::string_view body, const Layout& layout, char end_of_line) {
  // A quote that closes the last cell closes it whole.
  if (body.empty() || body.back() == '\n' || body.back() == '\r' || body.back() == '"') {
    return std::nullopt;
  }
  constexpr std::size_t enough = 5;
  const LastLines lines = last_lines(body, layout, end_of_line);
  const std::size_t cells = lines.last.size();
  if (cells < 2 || cells > layout.headers.size()) return std::nullopt;
  CutOff out;
  out.index = cells - 1;
  out.cell = lines.last.back();
  out.line = layout.data_line +
             static_cast<std::size_t>(std::count(body.begin(), body.end(), end_of_line));
  if (lines.lines_above > 1 && cells < lines.fewest) {
    out.reason = "the file ends within this line, which has fewer cells than those above";
    return out;
  }
  if (lines.above.size() < enough) return std::nullopt;
  out.reason = "the file ends within this line, and the cells above are longer";
  const auto number = number_cell(out.cell, layout.dialect);
  if (!number) {
    return is_cut_time(out.cell, lines.above) ? std::optional(out) : std::nullopt;
  }
  std::vector<NumberCell> above;
  for (const std::string& cell : lines.above) {
    if (auto one = number_cell(cell, layout.dialect)) above.push_back(std::move(*one));
  }
  if (above.size() < enough) return std::nullopt;
  const auto kind = kind_of(*number, above, layout.dialect.decimal);
  if (!kind) return std::nullopt;
  out.kind = *kind;
  return out;
}

void note_cut_off(const CutOff& cut, const Layout& layout, const ReadContext& context) {
  context.log->add({Counter::cut_value, context.file, cut.line, layout.headers[cut.index], cut.cell,
                    cut.reason});
}

std::string doubt_of_end(const CutOff& cut, const Layout& layout) {
  return "The file ends without a line end, in line " + std::to_string(cut.line) +
         ": its last value, \"" + cut.cell + "\" in \"" + layout.headers[cut.index] +
         "\", is read as whole; if the file was cut off there, it may be the beginning of a longer "
         "number.";
}

}  // namespace cw
