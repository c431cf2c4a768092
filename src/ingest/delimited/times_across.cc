#include "ingest/delimited/times_across.h"

#include <algorithm>
#include <set>

#include "base/text.h"
#include "base/unit_text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/dialect.h"
#include "ingest/delimited/layout.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

using Cells = std::vector<std::string>;

struct Row {
  Cells cells;
  std::uint32_t line = 0;
};

struct Across {
  std::size_t header = 0;            ///< the row with the times
  std::optional<std::size_t> dates;  ///< a row with their dates, above or below
  std::size_t first = 0;             ///< the first column of times
};

bool is_stamp(const std::string& cell) {
  StampFields f;
  return cell.size() >= 4 && cell.front() >= '0' && cell.front() <= '9' && parse_stamp(cell, f) &&
         f.has_time;
}

bool is_date(const std::string& cell) {
  StampFields f;
  return cell.size() >= 6 && parse_stamp(cell, f) && f.parts == 3 && !f.has_time;
}

/// The column from which on nearly all cells are times; empty where there is none.
std::optional<std::size_t> first_time(const Cells& cells) {
  constexpr std::size_t most_labels = 4;
  constexpr std::size_t fewest_times = 3;
  const auto first =
      static_cast<std::size_t>(std::find_if(cells.begin(), cells.end(), is_stamp) - cells.begin());
  if (first == 0 || first > most_labels || first == cells.size()) return std::nullopt;
  std::size_t filled = 0;
  std::size_t stamps = 0;
  for (std::size_t i = first; i < cells.size(); ++i) {
    filled += cells[i].empty() ? 0U : 1U;
    stamps += is_stamp(cells[i]) ? 1U : 0U;
  }
  if (stamps < fewest_times || stamps * 10 < filled * 7) return std::nullopt;
  return first;
}

/// Signals below the times: names in front and numbers behind, no name twice.
bool are_signals(const std::vector<Row>& rows, const Across& table, char decimal) {
  std::size_t all = 0;
  std::size_t good = 0;
  std::set<std::string> names;
  for (std::size_t r = table.header + 1; r < rows.size(); ++r) {
    const Cells& cells = rows[r].cells;
    if (r == table.dates || cells.size() <= table.first) continue;
    ++all;
    std::size_t filled = 0;
    std::size_t numbers = 0;
    for (std::size_t i = table.first; i < cells.size(); ++i) {
      if (cells[i].empty() || is_missing_mark(cells[i])) continue;
      ++filled;
      numbers += is_number(cells[i], {'\0', decimal, '\0'}) ? 1U : 0U;
    }
    const std::string& name = cells.front();
    StampFields f;
    const bool named = !name.empty() && !parse_stamp(name, f) &&
                       !is_number(name, {'\0', '.', '\0'}) && !is_number(name, {'\0', ',', '\0'});
    std::string whole;
    for (std::size_t i = 0; i < table.first; ++i) whole += cells[i] + '\x1f';
    good += named && numbers * 2 > filled && names.insert(whole).second ? 1U : 0U;
  }
  return all > 0 && good * 10 >= all * 8;
}

std::optional<Across> find_across(const std::vector<Row>& rows, char decimal) {
  for (std::size_t r = 0; r < rows.size() && r < 12; ++r) {
    const auto first = first_time(rows[r].cells);
    if (!first) continue;
    Across out{r, std::nullopt, *first};
    StampFields f;
    parse_stamp(rows[r].cells[*first], f);
    for (const std::size_t beside : {r - 1, r + 1}) {
      if (f.parts > 0 || beside >= rows.size() || rows[beside].cells.size() <= *first) continue;
      if (is_date(rows[beside].cells[*first])) out.dates = beside;
    }
    if (are_signals(rows, out, decimal)) return out;
    return std::nullopt;
  }
  return std::nullopt;
}

std::vector<Row> rows_of(std::string_view text, char delimiter, std::size_t most) {
  std::vector<Row> out;
  LineCutter lines(text, LineCutter::end_of_line_in(text.substr(0, 1U << 20U)));
  std::string_view line;
  while (out.size() < most && lines.next(line)) {
    if (is_blank_or_comment(line)) continue;
    out.push_back({tidy_cells(line, delimiter), static_cast<std::uint32_t>(lines.number())});
  }
  return out;
}

/// The name of a signal from the cells in front of its numbers, a unit in brackets.
std::string name_of_signal(const Cells& cells, std::size_t labels) {
  std::string name;
  std::string unit;
  for (std::size_t i = 0; i < labels && i < cells.size(); ++i) {
    if (cells[i].empty()) continue;
    if (i > 0 && unit.empty() && parse_unit(cells[i])) {
      unit = cells[i];
    } else {
      name += (name.empty() ? "" : " ") + cells[i];
    }
  }
  return unit.empty() ? name : name + " [" + unit + "]";
}

/// Of all cells that a table turned over would have a good part stands in the file: in one with a
/// thousand times and a thousand lines of one reading nearly all would be empty.
bool is_nearly_empty(const std::vector<Row>& rows, const Across& table, std::size_t all) {
  constexpr std::size_t small = 200000;  // cells; costs little in any case
  std::size_t there = 0;
  for (std::size_t r = table.header + 1; r < rows.size(); ++r) {
    there += rows[r].cells.size() - std::min(rows[r].cells.size(), table.first);
  }
  return all > small && there * 20 < all;
}

/// @param source  size of the text [bytes]
Result<ConvertedText> turn(const std::vector<Row>& rows, const Across& table, std::size_t source) {
  ConvertedText made;
  CellText out;
  const auto put_line = [&](std::uint32_t line) {
    out.end_row();
    made.line.push_back(line);
  };
  for (std::size_t r = 0; r < table.header; ++r) {
    if (r == table.dates) continue;
    std::string title;
    for (const std::string& cell : rows[r].cells) {
      if (!cell.empty()) title += (title.empty() ? "" : " ") + cell;
    }
    out.cell(title);
    put_line(rows[r].line);
  }
  std::vector<const Row*> signals;
  std::size_t width = rows[table.header].cells.size();
  out.cell("time");
  for (std::size_t r = table.header + 1; r < rows.size(); ++r) {
    if (r == table.dates) continue;
    signals.push_back(&rows[r]);
    width = std::max(width, rows[r].cells.size());
    const std::string name = name_of_signal(rows[r].cells, table.first);
    made.column_line.emplace(name, rows[r].line);
    out.cell(name);
  }
  put_line(rows[table.header].line);
  // Rows may end before their last time: each of them becomes a full column all the same.
  const std::size_t all = (width - table.first) * signals.size();
  if (all > most_text(source) || is_nearly_empty(rows, table, all)) return too_wide();
  const auto cell_of = [&](const Row& row, std::size_t c) {
    return c < row.cells.size() ? row.cells[c] : std::string();
  };
  std::string date;
  for (std::size_t c = table.first; c < width; ++c) {
    std::string stamp = cell_of(rows[table.header], c);
    const bool any = std::any_of(signals.begin(), signals.end(),
                                 [&](const Row* row) { return !cell_of(*row, c).empty(); });
    if (stamp.empty() && !any) continue;
    if (table.dates) {
      // A date that is merged over several columns stands in the first of them.
      if (const std::string mine = cell_of(rows[*table.dates], c); !mine.empty()) date = mine;
      stamp = date + " " + stamp;
    }
    out.cell(stamp);
    for (const Row* row : signals) out.cell(cell_of(*row, c));
    put_line(rows[table.header].line);
  }
  made.text = out.take();
  made.finding = "times across the top, turned over";
  return made;
}

/// A quick look that spares nearly all files the rest: a line near the top with three times of day.
bool has_line_of_times(std::string_view text) {
  LineCutter lines(text.substr(0, 1U << 20U));
  std::string_view line;
  const auto digit = [&](std::size_t i) {
    return i < line.size() && line[i] >= '0' && line[i] <= '9';
  };
  for (int seen = 0; seen < 14 && lines.next(line); ++seen) {
    int times = 0;
    for (std::size_t at = line.find(':'); at != std::string_view::npos && times < 3;) {
      const bool time = at > 0 && digit(at - 1) && digit(at + 1);
      times += time ? 1 : 0;
      at = line.find(':', at + (time ? 6 : 1));  // seconds belong to the same
    }
    if (times >= 3) return true;
  }
  return false;
}

}  // namespace

std::optional<Result<ConvertedText>> turned_over(std::string_view text) {
  constexpr std::size_t largest = 64U << 20U;
  constexpr std::size_t looked_at = 60;  // lines
  if (text.size() > largest || !has_line_of_times(text)) return std::nullopt;
  const LineSample sample = sample_lines(text, looked_at);
  if (sample.lines.size() < 2) return std::nullopt;
  const char delimiter = guess_delimiter(sample).delimiter;
  const char decimal = guess_number_style(sample, delimiter).decimal;
  if (!find_across(rows_of(text, delimiter, looked_at), decimal)) return std::nullopt;
  const std::vector<Row> rows = rows_of(text, delimiter, text.size());
  const auto table = find_across(rows, decimal);
  if (!table) return std::nullopt;
  return turn(rows, *table, text.size());
}

}  // namespace cw
