#include "ingest/fixed_width/fixed_width.h"

#include <algorithm>
#include <vector>

#include "base/text.h"
#include "ingest/cell_text.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

struct Span {
  std::size_t from = 0;
  std::size_t to = 0;  ///< one behind the last place
};

std::string_view without_end(std::string_view line) {
  while (!line.empty() && line.back() == ' ') line.remove_suffix(1);
  return line;
}

/// Words between blanks.
std::vector<Span> words_of(std::string_view line) {
  std::vector<Span> out;
  for (std::size_t i = 0; i < line.size();) {
    if (line[i] == ' ') {
      ++i;
      continue;
    }
    const std::size_t from = i;
    while (i < line.size() && line[i] != ' ') ++i;
    out.push_back({from, i});
  }
  return out;
}

/// A row of data: most of its words hold a digit.
bool is_data(std::string_view line) {
  const std::vector<Span> words = words_of(line);
  const auto with_digit = std::count_if(words.begin(), words.end(), [&](const Span& w) {
    return line.substr(w.from, w.to - w.from).find_first_of("0123456789") != std::string::npos;
  });
  return !words.empty() && static_cast<std::size_t>(with_digit) * 2 > words.size();
}

/// Rows from all over the text; nothing where another sign separates cells.
std::vector<std::string_view> sample_rows(std::string_view text, char end_of_line) {
  constexpr std::size_t most = 4000;
  std::vector<std::string_view> out;
  LineCutter lines(text, end_of_line);
  std::string_view line;
  std::size_t seen = 0;
  while (out.size() < most && seen < 4 * most && lines.next(line)) {
    ++seen;
    if (line.find_first_of(",;\t|\x1f\"") != std::string_view::npos) {
      // A title may hold a comma; a row of data with one is another format.
      if (is_data(line)) return {};
      continue;
    }
    if (is_data(line)) out.push_back(without_end(line));
  }
  return out;
}

/// Places between which all rows have a blank.
std::vector<Span> columns_of(const std::vector<std::string_view>& rows) {
  std::size_t width = 0;
  for (const std::string_view row : rows) width = std::max(width, row.size());
  std::vector<bool> used(width, false);
  for (const std::string_view row : rows) {
    for (std::size_t i = 0; i < row.size(); ++i) used[i] = used[i] || row[i] != ' ';
  }
  std::vector<Span> out;
  for (std::size_t i = 0; i < width;) {
    if (!used[i]) {
      ++i;
      continue;
    }
    const std::size_t from = i;
    while (i < width && used[i]) ++i;
    out.push_back({from, i});
  }
  return out;
}

std::string_view cell_at(std::string_view line, const Span& column) {
  if (column.from >= line.size()) return {};
  return trim(line.substr(column.from, column.to - column.from));
}

/// A line above the rows: its words go to the columns that they share most places with.
void put_header(std::string_view line, const std::vector<Span>& columns, CellText& out) {
  std::vector<std::string> cells(columns.size());
  for (const Span& word : words_of(line)) {
    std::size_t best = 0;
    std::ptrdiff_t most = -1000000;
    for (std::size_t c = 0; c < columns.size(); ++c) {
      // Shared places; below zero: the distance.
      const auto shared = static_cast<std::ptrdiff_t>(std::min(word.to, columns[c].to)) -
                          static_cast<std::ptrdiff_t>(std::max(word.from, columns[c].from));
      if (shared > most) {
        most = shared;
        best = c;
      }
    }
    if (!cells[best].empty()) cells[best] += ' ';
    cells[best] += line.substr(word.from, word.to - word.from);
  }
  for (const std::string& cell : cells) out.cell(cell);
}

}  // namespace

std::optional<std::string> fixed_width_as_text(std::string_view text) {
  const char end_of_line = LineCutter::end_of_line_in(text.substr(0, 1U << 20U));
  const std::vector<std::string_view> rows = sample_rows(text, end_of_line);
  if (rows.size() < 5) return std::nullopt;
  const std::size_t words = words_of(rows.front()).size();
  if (std::all_of(rows.begin(), rows.end(),
                  [&](std::string_view row) { return words_of(row).size() == words; })) {
    return std::nullopt;
  }
  const std::vector<Span> columns = columns_of(rows);
  // Where columns of words do not line up nearly everything runs together; and of real columns at
  // least one is filled in every row.
  const bool always = std::any_of(columns.begin(), columns.end(), [&](const Span& column) {
    return std::all_of(rows.begin(), rows.end(),
                       [&](std::string_view row) { return !cell_at(row, column).empty(); });
  });
  std::size_t most_words = 0;
  for (const std::string_view row : rows) most_words = std::max(most_words, words_of(row).size());
  if (columns.size() < 3 || !always || columns.size() < most_words) return std::nullopt;
  CellText out;
  LineCutter lines(text, end_of_line);
  std::string_view line;
  while (lines.next(line)) {
    if (!is_data(line)) {
      if (trim(line).empty()) {
        out.cell("");
      } else {
        put_header(line, columns, out);
      }
    } else {
      for (const Span& column : columns) out.cell(cell_at(line, column));
    }
    out.end_row();
  }
  return out.take();
}

}  // namespace cw
