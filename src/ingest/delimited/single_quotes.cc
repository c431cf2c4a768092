#include "ingest/delimited/single_quotes.h"

#include <algorithm>
#include <string>

#include "ingest/delimited/lines.h"

namespace cw {
namespace {

enum class Quotes {
  none,
  around,  ///< or double ones
  front,   ///< a lone one, as spreadsheets mark a text
};

/// Where the cell whose quote stands at `at` is closed; npos where it is not: what follows the next
/// quote must be the delimiter or the line's end, or that quote belongs to another cell.
std::size_t closing_quote(std::string_view line, std::size_t at, char delimiter) {
  const char quote = line[at];
  for (++at; at < line.size(); ++at) {
    if (line[at] != quote) continue;
    if (at + 1 < line.size() && line[at + 1] == quote) {
      ++at;
      continue;
    }
    const std::size_t behind = line.find_first_not_of(" \r", at + 1);
    return behind == line.npos || line[behind] == delimiter ? at : line.npos;
  }
  return line.npos;
}

/// One cell from the front of `rest`, without its quotes ('' inside is one); the delimiter behind
/// it goes, too.
/// @returns false after the last cell
bool take_cell(std::string_view& rest, char delimiter, std::string& cell, Quotes& quotes) {
  cell.clear();
  std::size_t at = 0;
  while (at < rest.size() && rest[at] == ' ') ++at;
  const bool single = at < rest.size() && rest[at] == '\'';
  const bool any = single || (at < rest.size() && rest[at] == '"');
  const std::size_t close = any ? closing_quote(rest, at, delimiter) : rest.npos;
  quotes = !single ? Quotes::none : close == rest.npos ? Quotes::front : Quotes::around;
  std::size_t end = 0;
  if (close != rest.npos) {
    const char quote = rest[at];
    for (++at; at < close; ++at) {
      if (rest[at] == quote) ++at;  // the first of two
      cell += rest[at];
    }
    end = std::min(rest.find(delimiter, close), rest.size());
  } else {
    end = std::min(rest.find(delimiter, at), rest.size());
    const std::size_t begin = std::min(at + (single ? 1 : 0), end);
    cell = rest.substr(begin, end - begin);
  }
  const bool more = end < rest.size();
  rest.remove_prefix(more ? end + 1 : rest.size());
  return more;
}

/// Of the first lines, are most cells in single quotes when cut there? Lone quotes in front say so
/// only where all lines have as many cells: a quote may also mark one half of what a decimal comma
/// cut in two.
bool is_quoted_by(std::string_view text, char delimiter) {
  const std::string_view head = text.substr(0, 1U << 16U);
  LineCutter lines(head);
  std::string_view line;
  std::string cell;
  std::size_t seen = 0;
  std::size_t around = 0;  // lines
  std::size_t front = 0;
  std::size_t width = 0;
  bool equal = true;
  while (seen < 40 && lines.next(line)) {
    const bool cut_off = lines.position() >= head.size() && head.size() < text.size();
    if (is_blank_or_comment(line) || cut_off) continue;
    ++seen;
    std::size_t cells = 0;
    std::size_t closed = 0;
    std::size_t lone = 0;
    Quotes quotes = Quotes::none;
    for (bool more = true; more; ++cells) {
      more = take_cell(line, delimiter, cell, quotes);
      closed += quotes == Quotes::around ? 1U : 0U;
      lone += quotes == Quotes::front ? 1U : 0U;
    }
    equal = equal && (width == 0 || width == cells);
    width = cells;
    around += cells > 1 && closed * 2 > cells ? 1U : 0U;
    front += cells > 1 && (closed + lone) * 2 > cells ? 1U : 0U;
  }
  const auto most = [&](std::size_t good) { return seen > 1 && good * 4 >= seen * 3; };
  return most(around) || (equal && most(front));
}

/// A cell as delimited text with double quotes has it.
void put_cell(std::string_view cell, char delimiter, bool first, std::string& out) {
  if (!first) out += delimiter;
  const bool bare = cell.find(delimiter) == cell.npos && cell.find('"') == cell.npos;
  if (bare) {
    out += cell;
    return;
  }
  out += '"';
  for (const char c : cell) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

}  // namespace

std::optional<ConvertedText> without_single_quotes(std::string_view text) {
  if (text.substr(0, 1U << 16U).find('\'') == std::string_view::npos) return std::nullopt;
  for (const char delimiter : {',', ';', '\t', '|'}) {
    if (!is_quoted_by(text, delimiter)) continue;
    // The delimiter stays: a row that was cut off must be seen as one.
    ConvertedText made;
    LineCutter lines(text, LineCutter::end_of_line_in(text.substr(0, 1U << 20U)));
    std::string_view line;
    std::string cell;
    Quotes quotes = Quotes::none;
    while (lines.next(line)) {
      if (is_blank_or_comment(line)) {
        made.text += line;
      } else {
        bool first = true;
        for (bool more = true; more; first = false) {
          more = take_cell(line, delimiter, cell, quotes);
          put_cell(cell, delimiter, first, made.text);
        }
      }
      made.text += '\n';
    }
    made.finding = "cells in single quotes";
    return made;
  }
  return std::nullopt;
}

}  // namespace cw
