#include "ingest/delimited/layout.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"
#include "ingest/clock/span_text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/cell_units.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/number_doubts.h"
#include "ingest/delimited/page_lines.h"
#include "ingest/delimited/unit_row.h"
#include "ingest/encoding.h"
#include "ingest/header.h"

namespace cw {
namespace {

using Cells = std::vector<std::string>;

bool is_data_cell(const std::string& cell, const Dialect& dialect) {
  if (is_number(cell, dialect)) return true;
  StampFields f;
  const bool digit = cell.size() > 4 && cell.front() >= '0' && cell.front() <= '9';
  return digit && (parse_stamp(cell, f) || split_span(cell).has_value());
}

/// At least half of what a row of data says is numbers and times.
bool is_data_row(const Cells& cells, const Dialect& dialect) {
  std::size_t filled = 0;
  std::size_t data = 0;
  for (const std::string& cell : cells) {
    if (cell.empty()) continue;
    ++filled;
    data += is_data_cell(cell, dialect) ? 1U : 0U;
  }
  return data > 0 && data * 2 >= filled;
}

/// A row that is mostly words is one of data where it has a number or a time and one of its words
/// stands in the same column again further below: states come again, names do not.
bool is_row_of_states(const std::vector<SampleRow>& rows, std::size_t r, const Dialect& dialect) {
  const Cells& cells = rows[r].cells;
  const auto is_data = [&](const std::string& cell) {
    return !cell.empty() && is_data_cell(cell, dialect);
  };
  if (std::none_of(cells.begin(), cells.end(), is_data)) return false;
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (cells[c].empty() || is_data(cells[c])) continue;
    for (std::size_t k = r + 1; k < rows.size(); ++k) {
      if (c < rows[k].cells.size() && rows[k].cells[c] == cells[c] &&
          rows[k].line != rows[r].line) {
        return true;
      }
    }
  }
  return false;
}

/// "Date, 00:00, 00:15, ...": the header of a matrix.
bool is_time_header(const Cells& cells) {
  std::size_t times = 0;
  for (const std::string& cell : cells) {
    StampFields f;
    times += parse_stamp(cell, f) && f.parts == 0 ? 1U : 0U;
  }
  return times >= 12 && times + 4 >= cells.size();
}

std::size_t usual_count(const std::vector<SampleRow>& rows, std::size_t from) {
  std::map<std::size_t, std::size_t> counts;
  for (std::size_t i = from; i < rows.size(); ++i) {
    if (!rows[i].comment) ++counts[rows[i].cells.size()];
  }
  std::size_t best = 0;
  std::size_t most = 0;
  for (const auto& [cells, times] : counts) {
    if (times >= most) {
      most = times;
      best = cells;
    }
  }
  return best;
}

std::vector<SampleRow> cut_rows(const LineSample& sample, char delimiter) {
  std::vector<SampleRow> rows;
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    SampleRow row{sample.lines[i], sample.number[i], {}, false};
    row.comment = is_blank_or_comment(row.line);
    row.cells = tidy_cells(row.line, delimiter);
    rows.push_back(std::move(row));
  }
  return rows;
}

std::string column_name(std::size_t index) { return "column " + std::to_string(index + 1); }

std::size_t own_headers(const Cells& cells) {
  return static_cast<std::size_t>(
      std::count_if(cells.begin(), cells.end(),
                    [](const std::string& cell) { return read_channel_header(cell).has_value(); }));
}

/// Index of the header row that is known without looking at the rest; rows.size() when none is.
std::size_t known_header(const LineSample& sample, const ChannelMap* map, char& delimiter) {
  for (std::size_t i = 0; i < sample.lines.size() && i < 40; ++i) {
    const bool stated = map != nullptr && map->dialect.header_line;
    if (stated && sample.number[i] != *map->dialect.header_line) continue;
    const std::string_view line = sample.lines[i];
    if (!stated && is_blank_or_comment(line)) continue;
    const bool in_map =
        map != nullptr && map->dialect.delimiter && line.find('\x1f') == std::string_view::npos;
    const char mine = in_map ? *map->dialect.delimiter : delimiter_of(line);
    const Cells cells = tidy_cells(line, mine);
    // Names of channels stand in the rows of a long table, too, beside times and numbers.
    const bool in_row =
        i > 0 && std::any_of(cells.begin(), cells.end(), [](const auto& cell) {
          return is_data_cell(cell, Dialect{'\0', ',', '\0'}) || is_data_cell(cell, Dialect{});
        });
    if ((own_headers(cells) > 0 && !in_row) || (map != nullptr && known_headers(*map, cells) > 0)) {
      delimiter = mine;
      return i;
    }
    if (stated) return i;
  }
  return sample.lines.size();
}

std::size_t filled_in(const Cells& cells) {
  return static_cast<std::size_t>(std::count_if(
      cells.begin(), cells.end(), [](const std::string& cell) { return !cell.empty(); }));
}

/// A title in a file whose lines all have as many delimiters: at most its first cell is filled.
bool is_title_row(const Cells& cells) {
  return filled_in(cells) == (cells.empty() || cells.front().empty() ? 0U : 1U);
}

/// The cells of a row above the lowest header row. Where that one is complete, but for names that
/// are merged downwards into it, a title that is merged over several columns stands in the first of
/// them and is meant for all.
Cells spread_over(Cells cells, const Cells& lowest, std::size_t count) {
  if (filled_in(cells) < 2) return cells;
  cells.resize(std::max(cells.size(), count));
  const auto below = [&](std::size_t i) { return i < lowest.size() && !lowest[i].empty(); };
  for (std::size_t i = 0; i < lowest.size(); ++i) {
    if (!below(i) && cells[i].empty()) return cells;
  }
  for (std::size_t i = 1; i < cells.size() && i < lowest.size(); ++i) {
    if (cells[i].empty() && below(i - 1)) cells[i] = cells[i - 1];
  }
  return cells;
}

bool is_complete(const Cells& cells) { return filled_in(cells) == cells.size(); }

/// Joins the cells of several header rows, upper ones first.
Cells join_rows(const std::vector<SampleRow>& rows, std::size_t from, std::size_t to,
                std::size_t count) {
  Cells out(count);
  const Cells& lowest = rows[to - 1].cells;
  for (std::size_t r = from; r < to; ++r) {
    const Cells cells = r + 1 < to ? spread_over(rows[r].cells, lowest, count) : rows[r].cells;
    for (std::size_t c = 0; c < cells.size() && c < count; ++c) {
      const std::string& cell = cells[c];
      if (cell.empty() || cell == out[c]) continue;
      if (!out[c].empty()) out[c] += ' ';
      out[c] += cell;
    }
  }
  return out;
}

/// Two columns of one name: from the second on they have a number behind it, so that a map can tell
/// them apart. Names in our own form keep theirs: the second is counted.
void tell_twins_apart(Layout& layout) {
  std::map<std::string, std::size_t> seen;
  for (std::string& header : layout.headers) {
    if (header.empty() || read_channel_header(header)) continue;
    const std::size_t times = ++seen[header];
    if (times > 1) header += std::string(twin_mark) + std::to_string(times);
  }
}

/// The rows between the titles and the data that name the columns, and where the names end.
struct HeaderRows {
  std::size_t first = 0;
  std::size_t last = 0;  ///< one behind the lowest row of names
};

/// @param first  of the full rows above the data
HeaderRows choose_header_rows(const std::vector<SampleRow>& rows, std::size_t first,
                              std::size_t data, const Dialect& dialect) {
  std::size_t unit_row = first + 1;
  while (unit_row < data && !is_unit_row(rows[unit_row].cells, dialect)) ++unit_row;
  while (unit_row < data && unit_row > first + 1 &&
         is_address_row(rows[unit_row - 1].cells, rows[unit_row - 2].cells, dialect)) {
    --unit_row;
  }
  // Above a unit row stand names, below it notes; without one every row tells of the column,
  // unless the lowest is complete in itself.
  HeaderRows out{first, unit_row};
  const Cells& lowest = rows[unit_row - 1].cells;
  if (!is_complete(lowest)) return out;
  // A row that says something else above the clock tells of the file.
  for (std::size_t r = unit_row - 1; r > first; --r) {
    const Cells& above = rows[r - 1].cells;
    const bool group = !above.empty() && (above.front().empty() || above.front() == lowest.front());
    if (!group) out.first = std::max(out.first, r);
  }
  return out;
}

void name_empty_headers(Layout& layout) {
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    const bool last = i + 1 == layout.headers.size();
    if (layout.headers[i].empty() && !last) layout.headers[i] = column_name(i);
  }
}

/// A comment line right above the data that has as many cells as the data is the header.
bool take_comment_header(const std::vector<SampleRow>& rows, std::size_t data, std::size_t count,
                         Layout& layout) {
  for (std::size_t i = data; i-- > 0;) {
    if (!rows[i].comment) return false;
    std::string_view line = trim(rows[i].line);
    while (!line.empty() && line.front() == '#') line.remove_prefix(1);
    Cells cells = tidy_cells(trim(line), layout.dialect.delimiter);
    if (cells.size() + 1 == count && rows[i].cells.size() == count) cells = rows[i].cells;
    if (cells.size() != count || is_data_row(cells, layout.dialect)) continue;
    layout.headers = std::move(cells);
    layout.header_line = rows[i].number;
    layout.header_text = std::string(rows[i].line);
    return true;
  }
  return false;
}

/// The rows between `header` and the data: a unit row, and other rows that describe columns.
void take_unit_row(const std::vector<SampleRow>& rows, std::size_t from, std::size_t to,
                   Layout& layout) {
  for (std::size_t i = from; i < to; ++i) {
    if (rows[i].comment || !is_unit_row(rows[i].cells, layout.dialect)) continue;
    layout.units =
        layout.dialect.by_blanks() && i > 0
            ? below_names(rows[i], rows[i - 1], layout.headers.size(), layout.dialect.delimiter)
            : rows[i].cells;
    layout.units.resize(layout.headers.size());
    for (std::size_t c = 0; c < layout.units.size(); ++c) {
      std::string& unit = layout.units[c];
      if (unit == "-") unit.clear();
      // What stands below a clock's name may be its zone.
      const std::string low = to_lower(unit);
      const bool zone = low.find("utc") != low.npos || low.find("gmt") != low.npos;
      if (zone && names_time(layout.headers[c])) layout.headers[c] += " " + unit;
    }
    layout.findings.push_back(
        {"units in line " + std::to_string(rows[i].number), 0.9, "most of its cells are units"});
    return;
  }
}

void set_data_begin(std::string_view text, const std::vector<SampleRow>& rows, std::size_t data,
                    Layout& layout) {
  if (data < rows.size()) {
    layout.data_begin = static_cast<std::size_t>(rows[data].line.data() - text.data());
    layout.data_line = rows[data].number;
  } else {
    layout.data_begin = text.size();
    layout.data_line = rows.empty() ? 1 : rows.back().number + 1;
  }
}

bool has_full_stamp(const Cells& cells) {
  return std::any_of(cells.begin(), cells.end(), [](const std::string& cell) {
    StampFields f;
    return cell.size() > 8 && parse_stamp(cell, f) && f.parts > 0 && f.has_time;
  });
}

/// Do most rows begin with a date and time, or have one? Then rows without one are no data, as
/// those of a small table of units above the log.
bool mostly_stamped(const std::vector<SampleRow>& rows) {
  std::size_t all = 0;
  std::size_t stamped = 0;
  for (const SampleRow& row : rows) {
    if (row.comment) continue;
    ++all;
    stamped += has_full_stamp(row.cells) ? 1U : 0U;
  }
  return stamped > 2 && stamped * 2 > all;
}

/// Has the row about as many cells as the others?
bool is_full(const SampleRow& row, std::size_t count) {
  return !row.comment && row.cells.size() * 2 > count && (count < 2 || row.cells.size() > 1);
}

/// "Interval;00:05:00" in front of a header: a word above a column that holds data below the
/// header.
bool is_label(const std::vector<SampleRow>& rows, std::size_t r, std::size_t header,
              const Dialect& dialect) {
  if (header <= r || header + 1 >= rows.size()) return false;
  const Cells& cells = rows[r].cells;
  const Cells& below = rows[header + 1].cells;
  for (std::size_t c = 0; c < cells.size() && c < below.size(); ++c) {
    if (!cells[c].empty() && !is_data_cell(cells[c], dialect) && is_data_cell(below[c], dialect)) {
      return true;
    }
  }
  return false;
}

/// The row at which the data begin; rows.size() where there are none.
std::size_t find_data(const std::vector<SampleRow>& rows, std::size_t count,
                      const Dialect& dialect) {
  std::size_t data = 0;
  const bool stamped = mostly_stamped(rows);
  const auto data_like = [&](std::size_t r) {
    return is_full(rows[r], count) && (!stamped || has_full_stamp(rows[r].cells)) &&
           rows[r].cells.size() <= count + 1 && !is_time_header(rows[r].cells) &&
           (is_data_row(rows[r].cells, dialect) || is_row_of_states(rows, r, dialect));
  };
  // A line of numbers among other titles is no data: of the next five rows four must be data, too.
  const auto begins = [&](std::size_t r) {
    std::size_t seen = 0;
    std::size_t good = 0;
    for (std::size_t i = r; i < rows.size() && seen < 5; ++i) {
      if (rows[i].comment) continue;
      // "Start;14.01.2026 06:00" above a header is shorter than what follows the header.
      const bool header = seen < 3 && !data_like(i) && rows[i].cells.size() >= count;
      if (header && (rows[r].cells.size() < count || is_label(rows, r, i, dialect))) return false;
      ++seen;
      good += data_like(i) ? 1U : 0U;
    }
    return data_like(r) && good * 5 >= seen * 4;
  };
  while (data < rows.size() && !begins(data)) ++data;
  if (data == rows.size()) {  // a table of texts: its first full row is the header
    data = 0;
    while (data < rows.size() && !is_full(rows[data], count)) ++data;
    data = std::min(data + 1, rows.size());
  }
  return data;
}

/// Finds header and data by what rows look like.
void sniff_header(std::string_view text, const std::vector<SampleRow>& rows, Layout& layout) {
  const std::size_t count = usual_count(rows, std::min<std::size_t>(rows.size() / 4, 40));
  const std::size_t data = find_data(rows, count, layout.dialect);
  std::size_t first = data;
  const auto names = [&](const SampleRow& row) {
    return is_full(row, count) && row.cells.size() <= count + 1;
  };
  while (first > 0 && !rows[first - 1].comment && names(rows[first - 1]) &&
         (first == data || !is_title_row(rows[first - 1].cells))) {
    --first;
  }
  layout.has_header = first < data;
  set_data_begin(text, rows, data, layout);
  std::size_t last = data;
  if (layout.has_header) {
    const HeaderRows header = choose_header_rows(rows, first, data, layout.dialect);
    first = header.first;
    last = header.last;
    layout.headers = join_rows(rows, first, last, std::max(count, rows[last - 1].cells.size()));
    layout.header_line = rows[first].number;
    layout.header_text = std::string(rows[first].line);
    const std::size_t many = last - first;
    layout.findings.push_back({"header in line " + std::to_string(rows[first].number) +
                                   (many > 1 ? " and the next " + std::to_string(many - 1) : ""),
                               0.9,
                               "the first row of numbers is line " +
                                   std::to_string(data < rows.size() ? rows[data].number : 0)});
    take_unit_row(rows, last, data, layout);
  } else if (take_comment_header(rows, data, count, layout)) {
    layout.has_header = true;
    layout.findings.push_back({"header in comment line " + std::to_string(layout.header_line), 0.85,
                               "it has as many cells as the rows below"});
  } else {
    layout.headers.resize(count);
    for (std::size_t i = 0; i < count; ++i) layout.headers[i] = column_name(i);
    layout.findings.push_back({"no header", 0.85, "the first full line is data already"});
  }
  for (std::size_t i = 0; i < first && i < 12; ++i) {
    std::string title = tidy_label(rows[i].line);
    if (title.size() > 100) title.resize(100);
    layout.titles.push_back(std::move(title));
  }
}

/// What comes again on every page of a paged report: the lines above the data, and lines that are
/// no row right before or behind a header that comes again. A line that comes again elsewhere may
/// stand for readings that are missing.
void take_page_lines(const std::vector<SampleRow>& rows, Layout& layout) {
  std::set<std::string> found;
  const auto is_header = [&](std::size_t r) {
    const Cells& cells = rows[r].cells;
    return rows[r].number >= layout.data_line && filled_in(cells) > 1 &&
           std::equal(cells.begin(), cells.end(), layout.headers.begin(),
                      layout.headers.begin() + static_cast<std::ptrdiff_t>(
                                                   std::min(cells.size(), layout.headers.size())));
  };
  const auto take = [&](std::size_t r) {
    if (is_data_row(rows[r].cells, layout.dialect)) return false;
    found.insert(folded_line(rows[r].line));
    return true;
  };
  for (std::size_t r = 0; r < rows.size(); ++r) {
    if (rows[r].number < layout.data_line) found.insert(folded_line(rows[r].line));
    const bool again =
        rows[r].number > layout.header_line && (rows[r].line == layout.header_text || is_header(r));
    if (!again || rows[r].number < layout.data_line) continue;
    constexpr std::size_t most = 8;  // lines of a page's head or foot
    for (std::size_t k = 1; k <= most && k <= r && take(r - k); ++k) {
    }
    for (std::size_t k = 1; k <= most && r + k < rows.size() && take(r + k); ++k) {
    }
  }
  found.erase(std::string());
  layout.page_lines.assign(found.begin(), found.end());
}

/// Rows of the sample behind the header, for the stages that follow.
void take_rows(const LineSample& sample, const std::vector<SampleRow>& rows, Layout& layout) {
  for (const SampleRow& row : rows) {
    const bool header_again = row.line == layout.header_text;
    if (row.number >= layout.data_line && !row.comment && !header_again &&
        !is_foot_line(row.line)) {
      layout.rows.push_back(row.cells);
    }
  }
  for (const std::string_view line : sample.further) {
    if (!is_blank_or_comment(line)) {
      layout.rows.push_back(tidy_cells(line, layout.dialect.delimiter));
    }
  }
}

/// Rows that have one cell more than the header, the first of them a row number: the header's first
/// cell was left out.
void mend_header_count(bool header_known, Layout& layout) {
  const std::size_t count = layout.headers.size();
  std::size_t longer = 0;
  std::size_t shorter = 0;
  bool counting = true;
  double last = 0.0;
  for (const Cells& row : layout.rows) {
    const bool trailing = row.size() == count + 1 && row.back().empty();
    longer += row.size() == count + 1 && !trailing ? 1U : 0U;
    shorter += row.size() < count ? 1U : 0U;
    double number = 0.0;
    counting = counting && is_number(row.front(), layout.dialect) &&
               read_dialect_number(row.front(), layout.dialect, number) &&
               (&row == &layout.rows.front() || number > last);
    last = number;
  }
  if (!layout.rows.empty() && longer * 10 >= layout.rows.size() * 9 && counting) {
    layout.headers.insert(layout.headers.begin(), column_name(0));
    if (!layout.units.empty()) layout.units.insert(layout.units.begin(), "");
    layout.findings.push_back(
        {"row numbers in front", 0.8, "rows have one cell more than the header, a rising number"});
  }
  const bool many = shorter * 5 > layout.rows.size() && layout.rows.size() > 9;
  // A workbook stores no empty cells at the end of a row.
  layout.ragged = (!header_known && many) || layout.dialect.delimiter == '\x1f';
  if (layout.ragged && many) {
    layout.findings.push_back({"ragged rows", 0.8,
                               std::to_string(shorter) + " of " +
                                   std::to_string(layout.rows.size()) +
                                   " sampled rows leave out cells at their end"});
  }
}

/// The header that is known without looking at the rest, and what follows it.
void take_known_header(std::string_view text, const std::vector<SampleRow>& rows, std::size_t known,
                       const ChannelMap* map, Layout& layout) {
  layout.headers = rows[known].cells;
  layout.header_line = rows[known].number;
  layout.header_text = std::string(rows[known].line);
  std::size_t data = known + 1;
  while (data < rows.size() && data < known + 4 && rows[data].comment) ++data;
  if (data < rows.size() && is_unit_row(rows[data].cells, layout.dialect)) {
    take_unit_row(rows, data, data + 1, layout);
    ++data;
  }
  if (map != nullptr && map->dialect.data_line) {
    while (data < rows.size() && rows[data].number < *map->dialect.data_line) ++data;
  }
  set_data_begin(text, rows, data, layout);
  for (std::size_t i = 0; i < known; ++i) layout.titles.push_back(tidy_label(rows[i].line));
}

/// A map's headers may be those of several rows, of which the one that it knows by its clock is but
/// the first: does it know more of them as they are found without it?
bool reads_on(std::string_view text, const std::vector<SampleRow>& rows, std::size_t known,
              const ChannelMap* map, const Layout& before) {
  if (map == nullptr || map->dialect.header_line || own_headers(rows[known].cells) > 0) {
    return false;
  }
  Layout sniffed = before;
  sniff_header(text, rows, sniffed);
  name_empty_headers(sniffed);
  tell_twins_apart(sniffed);
  return known_headers(*map, sniffed.headers) > known_headers(*map, rows[known].cells);
}

struct StatedDelimiter {
  std::optional<char> delimiter;
  std::size_t skipped = 0;  ///< bytes of the line that states it
};

/// "sep=;" in the first line is how spreadsheets are told the delimiter; a map may say it, too.
StatedDelimiter stated_delimiter(std::string_view text, const ChannelMap* map) {
  StatedDelimiter out;
  if (text.size() > 5 && equal_ignoring_case(text.substr(0, 4), "sep=")) {
    out.delimiter = text[4];
    const std::size_t end = text.find('\n');
    out.skipped = end == std::string_view::npos ? text.size() : end + 1;
  }
  // What was made from cells of another format has no delimiter that a map could mean.
  const bool cells = text.substr(0, 1U << 16U).find('\x1f') != std::string_view::npos;
  if (map != nullptr && map->dialect.delimiter && !cells) out.delimiter = map->dialect.delimiter;
  return out;
}

/// Delimiter and signs of numbers.
/// @returns  the line of the sample that is known to be the header; behind the last: none is
std::size_t choose_dialect(const LineSample& sample, std::optional<char> stated,
                           const ChannelMap* map, Layout& layout) {
  const DelimiterGuess guess = guess_delimiter(sample);
  char delimiter = stated.value_or(guess.delimiter);
  const std::size_t known = known_header(sample, map, delimiter);
  if (known < sample.lines.size() && stated) delimiter = *stated;
  layout.dialect.delimiter = delimiter;
  layout.findings.push_back(
      delimiter == guess.delimiter
          ? guess.finding
          : Observation{delimiter_name(delimiter), 1.0,
                        stated ? "stated" : "cuts the header into most cells"});
  const NumberStyle style = guess_number_style(sample, delimiter);
  layout.dialect.decimal = style.decimal;
  layout.dialect.thousands = style.thousands;
  layout.findings.push_back(style.finding);
  const bool stated_sign = map != nullptr && (map->dialect.decimal || map->dialect.thousands);
  if (!style.assumption.empty() && !stated_sign) layout.assumptions.push_back(style.assumption);
  if (map != nullptr && map->dialect.decimal) layout.dialect.decimal = *map->dialect.decimal;
  if (map != nullptr && map->dialect.thousands) layout.dialect.thousands = *map->dialect.thousands;
  return known;
}

}  // namespace

std::vector<std::string> tidy_cells(std::string_view line, char delimiter) {
  std::vector<std::string> out;
  std::string scratch;
  CellCutter cells(line, delimiter, scratch);
  std::string_view cell;
  while (cells.next(cell)) out.push_back(tidy_label(cell));
  return out;
}

Result<Layout> find_layout(std::string_view text, const ChannelMap* map) {
  Layout layout;
  const StatedDelimiter stated = stated_delimiter(text, map);
  const LineSample sample = sample_behind(text, stated.skipped);
  if (sample.lines.empty()) {
    return Error{ErrorCode::unreadable, "the file has no lines", "", "Export the recording again"};
  }
  const std::size_t known = choose_dialect(sample, stated.delimiter, map, layout);
  const std::vector<SampleRow> rows = cut_rows(sample, layout.dialect.delimiter);
  const bool no_header = map != nullptr && map->dialect.header_line == std::size_t{0};
  if (known < rows.size() && !no_header && !reads_on(text, rows, known, map, layout)) {
    take_known_header(text, rows, known, map, layout);
  } else {
    sniff_header(text, rows, layout);
  }
  take_page_lines(rows, layout);
  take_rows(sample, rows, layout);
  const bool own = known < rows.size() && !no_header && own_headers(rows[known].cells) > 0;
  mend_header_count(own, layout);
  if (layout.headers.empty()) {
    return Error{ErrorCode::unreadable, "the file has no rows, only comments", "",
                 "Export the recording again"};
  }
  take_minus_behind(layout);
  if (auto error = commas_of_two_kinds(layout, map)) return *error;
  layout.last_may_lack = layout.headers.back().empty();
  name_empty_headers(layout);
  tell_twins_apart(layout);
  take_cell_units(layout);
  return layout;
}

}  // namespace cw
