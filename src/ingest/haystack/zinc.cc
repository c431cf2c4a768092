#include <algorithm>

#include "base/text.h"
#include "ingest/cell_text.h"
#include "ingest/delimited/lines.h"
#include "ingest/haystack/haystack.h"

namespace cw {
namespace {

/// Cuts at commas that stand outside quotes and brackets.
std::vector<std::string_view> cut_cells(std::string_view line) {
  std::vector<std::string_view> out;
  bool quoted = false;
  int depth = 0;
  std::size_t from = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '\\' && quoted) {
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && (c == '(' || c == '[' || c == '{')) {
      ++depth;
    } else if (!quoted && (c == ')' || c == ']' || c == '}')) {
      depth = std::max(0, depth - 1);
    } else if (c == ',' && !quoted && depth == 0) {
      out.push_back(trim(line.substr(from, i - from)));
      from = i + 1;
    }
  }
  out.push_back(trim(line.substr(from)));
  return out;
}

/// A quoted text without its quotes and escapes ("\u00B0C", "\"").
std::string unquoted(std::string_view text) {
  std::string out;
  for (std::size_t i = 1; i < text.size() && text[i] != '"'; ++i) {
    if (text[i] != '\\' || i + 1 >= text.size()) {
      out += text[i];
      continue;
    }
    const char c = text[++i];
    if (c == 'u' && i + 4 < text.size()) {
      unsigned code = 0;
      for (std::size_t k = 1; k <= 4; ++k) {
        const char h = text[i + k];
        const unsigned digit = h >= '0' && h <= '9'   ? static_cast<unsigned>(h - '0')
                               : h >= 'a' && h <= 'f' ? static_cast<unsigned>(h - 'a' + 10)
                               : h >= 'A' && h <= 'F' ? static_cast<unsigned>(h - 'A' + 10)
                                                      : 0U;
        code = code * 16 + digit;
      }
      i += 4;
      if (code < 0x80) {
        out += static_cast<char>(code);
      } else if (code < 0x800) {
        out += static_cast<char>(0xC0U | (code >> 6U));
        out += static_cast<char>(0x80U | (code & 0x3FU));
      } else {
        out += static_cast<char>(0xE0U | (code >> 12U));
        out += static_cast<char>(0x80U | ((code >> 6U) & 0x3FU));
        out += static_cast<char>(0x80U | (code & 0x3FU));
      }
    } else {
      out += c == 'n' || c == 't' || c == 'r' ? ' ' : c;
    }
  }
  return out;
}

/// The value of a tag in a column's meta ('dis:"Zone Temp"'), unquoted.
std::string tag_of(std::string_view meta, std::string_view tag) {
  bool quoted = false;
  for (std::size_t i = 0; i < meta.size(); ++i) {
    if (meta[i] == '\\' && quoted) {
      ++i;
    } else if (meta[i] == '"') {
      quoted = !quoted;
    } else if (!quoted && (i == 0 || meta[i - 1] == ' ') && meta.substr(i).starts_with(tag)) {
      const std::string_view rest = meta.substr(i + tag.size());
      if (rest.starts_with(":\"")) return unquoted(rest.substr(1));
    }
  }
  return {};
}

UnitGrid::Cell scalar(std::string_view cell) {
  if (cell.empty() || cell == "N" || cell == "NA" || cell == "M" || cell == "R") return {};
  if (cell == "T") return {"true", ""};
  if (cell == "F") return {"false", ""};
  if (cell.front() == '"') return {unquoted(cell), ""};
  const bool digit = cell.front() >= '0' && cell.front() <= '9';
  if (!digit && cell.front() != '-') return {std::string(cell), ""};
  // A date has letters or more signs; a number ends where its unit begins.
  std::size_t end = 0;
  while (end < cell.size()) {
    const char c = cell[end];
    const bool exponent = (c == 'e' || c == 'E') && end + 1 < cell.size() &&
                          ((cell[end + 1] >= '0' && cell[end + 1] <= '9') || cell[end + 1] == '-');
    const bool sign = c == '-' && (end == 0 || cell[end - 1] == 'e' || cell[end - 1] == 'E');
    if ((c < '0' || c > '9') && c != '.' && c != '_' && !exponent && !sign) break;
    ++end;
  }
  const std::string_view rest = cell.substr(end);
  if (!rest.empty() && (rest.front() == '-' || rest.front() == ':')) return {std::string(cell), ""};
  std::string number(cell.substr(0, end));
  std::erase(number, '_');
  return {std::move(number), std::string(rest)};
}

}  // namespace

bool is_zinc(std::string_view text) noexcept { return text.starts_with("ver:\""); }

Result<ConvertedText> zinc_as_text(std::string_view text) {
  LineCutter lines(text);
  std::string_view line;
  UnitGrid grid;
  if (!lines.next(line) || !lines.next(line)) {
    return Error{ErrorCode::unreadable, "the grid has no line with columns", "",
                 "Export the recording again"};
  }
  grid.header_line = 2;
  for (const std::string_view cell : cut_cells(line)) {
    const std::size_t blank = cell.find(' ');
    const std::string_view meta = blank == std::string_view::npos ? "" : cell.substr(blank + 1);
    UnitGrid::Column column;
    column.key = std::string(cell.substr(0, blank));
    const std::string dis = tag_of(meta, "dis");
    column.header = dis.empty() ? column.key : dis;
    column.unit = tag_of(meta, "unit");
    grid.columns.push_back(std::move(column));
  }
  while (lines.next(line)) {
    if (trim(line).empty()) break;  // grids end with an empty line
    if (line.find("<<") != std::string_view::npos) {
      return Error{ErrorCode::unsupported,
                   "line " + std::to_string(lines.number()) + " holds a grid inside a cell", "",
                   "Export the history of the points, not the points themselves"};
    }
    grid.rows.emplace_back();
    grid.lines.push_back(static_cast<std::uint32_t>(lines.number()));
    const std::vector<std::string_view> cells = cut_cells(line);
    for (std::size_t i = 0; i < cells.size() && i < grid.columns.size(); ++i) {
      grid.put(i, scalar(cells[i]));
    }
  }
  return grid.text(text.size());
}

}  // namespace cw
