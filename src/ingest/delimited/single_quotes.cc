#include "ingest/delimited/single_quotes.h"

#include "base/text.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

/// One cell from the front of `rest`, without its quotes ('' inside is one); the delimiter behind
/// it goes, too.
/// @returns false after the last cell
bool take_cell(std::string_view& rest, char delimiter, std::string& cell, bool& quoted) {
  cell.clear();
  std::size_t at = 0;
  while (at < rest.size() && rest[at] == ' ') ++at;
  quoted = at < rest.size() && rest[at] == '\'';
  const char quote = quoted ? '\'' : at < rest.size() && rest[at] == '"' ? '"' : '\0';
  // A lone quote in front marks a text: the cell then ends at the delimiter.
  const std::size_t plain_end = std::min(rest.find(delimiter, at), rest.size());
  const bool closed = quote != '\0' && (rest.substr(0, plain_end).rfind(quote) > at ||
                                        rest.find(quote, plain_end) != rest.npos);
  if (closed) {
    for (++at; at < rest.size(); ++at) {
      if (rest[at] == quote && at + 1 < rest.size() && rest[at + 1] == quote) {
        ++at;
      } else if (rest[at] == quote) {
        ++at;
        break;
      }
      cell += rest[at];
    }
    const std::size_t end = std::min(rest.find(delimiter, at), rest.size());
    cell += trim(rest.substr(at, end - at));
    at = end;
  } else {
    cell =
        rest.substr(at + (quoted ? 1 : 0), plain_end - std::min(plain_end, at + (quoted ? 1 : 0)));
    at = plain_end;
  }
  const bool more = at < rest.size();
  rest.remove_prefix(more ? at + 1 : rest.size());
  return more;
}

/// Of the first lines, are most cells in single quotes when cut there?
bool is_quoted_by(std::string_view text, char delimiter) {
  LineCutter lines(text.substr(0, 1U << 16U));
  std::string_view line;
  std::string cell;
  std::size_t seen = 0;
  std::size_t good = 0;
  while (seen < 40 && lines.next(line)) {
    if (is_blank_or_comment(line)) continue;
    ++seen;
    std::size_t cells = 0;
    std::size_t with = 0;
    bool quoted = false;
    for (bool more = true; more; ++cells) {
      more = take_cell(line, delimiter, cell, quoted);
      with += quoted ? 1U : 0U;
    }
    good += cells > 1 && with * 2 > cells ? 1U : 0U;
  }
  return seen > 1 && good * 4 >= seen * 3;
}

}  // namespace

std::optional<ConvertedText> without_single_quotes(std::string_view text) {
  if (text.substr(0, 1U << 16U).find('\'') == std::string_view::npos) return std::nullopt;
  for (const char delimiter : {',', ';', '\t', '|'}) {
    if (!is_quoted_by(text, delimiter)) continue;
    CellText out;
    LineCutter lines(text, LineCutter::end_of_line_in(text.substr(0, 1U << 20U)));
    std::string_view line;
    std::string cell;
    bool quoted = false;
    while (lines.next(line)) {
      if (is_blank_or_comment(line)) {
        out.cell(line);
      } else {
        for (bool more = true; more;) {
          more = take_cell(line, delimiter, cell, quoted);
          out.cell(cell);
        }
      }
      out.end_row();
    }
    ConvertedText made;
    made.text = out.take();
    made.finding = "cells in single quotes";
    return made;
  }
  return std::nullopt;
}

}  // namespace cw
