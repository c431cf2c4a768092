#include "ingest/delimited/side_by_side.h"

#include <algorithm>
#include <optional>
#include <set>

#include "base/text.h"
#include "ingest/cell_text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/layout.h"
#include "ingest/delimited/lines.h"
#include "ingest/header.h"

namespace cw {
namespace {

/// What the columns of the sample show of clocks and gaps.
struct Looks {
  std::vector<bool> empty;
  std::vector<bool> stamps;  ///< dates with times, nearly all different
};

Looks look_at(const Layout& layout) {
  const std::size_t count = layout.headers.size();
  std::vector<std::size_t> filled(count, 0);
  std::vector<std::set<std::string>> stamped(count);
  for (const std::vector<std::string>& row : layout.rows) {
    for (std::size_t i = 0; i < row.size() && i < count; ++i) {
      if (row[i].empty()) continue;
      ++filled[i];
      StampFields f;
      if (row[i].size() > 8 && parse_stamp(row[i], f) && f.parts > 0 && f.has_time) {
        stamped[i].insert(row[i]);
      }
    }
  }
  Looks out;
  for (std::size_t i = 0; i < count; ++i) {
    const bool nameless =
        layout.headers[i].empty() || layout.headers[i] == "column " + std::to_string(i + 1);
    out.empty.push_back(nameless && filled[i] == 0);
    out.stamps.push_back(filled[i] > 0 && stamped[i].size() * 10 >= filled[i] * 7);
  }
  return out;
}

struct Range {
  std::size_t from = 0;
  std::size_t to = 0;  ///< one behind the last column
};

/// "Time", "time 2" and "Time.1" are one name.
std::string without_number(std::string_view header) {
  std::string out = to_lower(header);
  while (!out.empty() &&
         ((out.back() >= '0' && out.back() <= '9') || out.back() == ' ' || out.back() == '.' ||
          out.back() == '_' || out.back() == '(' || out.back() == ')' || out.back() == '#')) {
    out.pop_back();
  }
  return out;
}

/// The column of the range that is a clock: dates with times, or a header that names one; after the
/// first table only a header as that one's, for "run time" names none.
std::optional<std::size_t> clock_in(const Layout& layout, const Looks& looks, const Range& range,
                                    const std::string& first) {
  for (std::size_t i = range.from; i < range.to; ++i) {
    if (looks.stamps[i]) return i;
    if (!layout.has_header) continue;
    const std::string& header = layout.headers[i];
    if (first.empty() ? names_time(header) : without_number(header) == first) return i;
  }
  return std::nullopt;
}

/// Ranges between empty columns, each with a clock and something beside it.
std::vector<Range> between_gaps(const Layout& layout, const Looks& looks) {
  std::vector<Range> out;
  std::string first;
  for (std::size_t i = 0; i < looks.empty.size();) {
    if (looks.empty[i]) {
      ++i;
      continue;
    }
    Range range{i, i};
    while (range.to < looks.empty.size() && !looks.empty[range.to]) ++range.to;
    i = range.to;
    const auto clock = clock_in(layout, looks, range, first);
    if (out.empty() && !clock) return {};
    if (out.empty()) first = without_number(layout.headers[*clock]);
    if (out.empty() || (clock && range.to - range.from > 1)) {
      out.push_back(range);
    } else {
      out.back().to = range.to;
    }
  }
  return out;
}

/// Each signal behind its own clock, without a gap: "Time, Outside, Time, Room".
std::vector<Range> between_clocks(const Layout& layout, const Looks& looks) {
  std::vector<Range> out;
  if (!layout.has_header || looks.stamps.empty() || !looks.stamps.front()) return out;
  const std::string name = without_number(layout.headers.front());
  for (std::size_t i = 0; i < looks.stamps.size(); ++i) {
    if (looks.stamps[i] && without_number(layout.headers[i]) == name) {
      if (!out.empty()) out.back().to = i;
      out.push_back({i, looks.stamps.size()});
    }
  }
  const bool alone = std::any_of(out.begin(), out.end(),
                                 [](const Range& range) { return range.to - range.from < 2; });
  return alone ? std::vector<Range>{} : out;
}

void put_row(const std::vector<std::string>& cells, const Range& range, CellText& out) {
  const auto at = [&](std::size_t i) {
    return i < cells.size() ? std::string_view(cells[i]) : std::string_view();
  };
  bool any = false;
  for (std::size_t i = range.from; i < range.to; ++i) any = any || !trim(at(i)).empty();
  if (any) {
    for (std::size_t i = range.from; i < range.to; ++i) out.cell(at(i));
  }
  out.end_row();
}

std::vector<std::string> cut(std::string_view text, char delimiter,
                             const std::vector<Range>& ranges) {
  std::vector<CellText> tables(ranges.size());
  LineCutter lines(text, LineCutter::end_of_line_in(text.substr(0, 1U << 20U)));
  std::string_view line;
  std::string scratch;
  std::vector<std::string> cells;
  while (lines.next(line)) {
    const std::size_t first = lines.number();
    bool open = true;
    for (int more = 0; open && more < 8; ++more) {
      if (more > 0 && !lines.extend(line)) break;
      cells.clear();
      open = false;
      CellCutter cutter(line, delimiter, scratch);
      std::string_view cell;
      while (cutter.next(cell)) {
        cells.emplace_back(cell);
        open = open || cutter.open_quote();
      }
    }
    const bool stated = first == 1 && equal_ignoring_case(line.substr(0, 4), "sep=");
    if (stated || is_blank_or_comment(line)) cells.clear();
    for (std::size_t i = 0; i < ranges.size(); ++i) {
      put_row(cells, ranges[i], tables[i]);
      // Line numbers stay those of the file where a cell goes over line ends.
      for (std::size_t n = first; n < lines.number(); ++n) tables[i].end_row();
    }
  }
  std::vector<std::string> out;
  for (CellText& table : tables) out.push_back(table.take());
  return out;
}

}  // namespace

std::vector<std::string> tables_beside(std::string_view text) {
  const Result<Layout> layout = find_layout(text, nullptr);
  if (!layout || layout->dialect.by_blanks() || layout->rows.size() < 2) return {};
  const Looks looks = look_at(*layout);
  std::vector<Range> ranges = between_gaps(*layout, looks);
  if (ranges.size() < 2) ranges = between_clocks(*layout, looks);
  if (ranges.size() < 2) return {};
  return cut(text, layout->dialect.delimiter, ranges);
}

}  // namespace cw
