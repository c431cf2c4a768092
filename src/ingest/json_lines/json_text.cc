#include "ingest/json_lines/json_text.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "ingest/cell_text.h"
#include "ingest/delimited/lines.h"
#include "ingest/json_lines/grid_builder.h"
#include "ingest/json_lines/json_object.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

Error broken(std::size_t line) {
  return {ErrorCode::unreadable, "line " + std::to_string(line) + " is no valid JSON", "",
          "Export the recording again"};
}

/// The lines on which the elements of a list begin: of the list that is the whole text, or of the
/// one behind a key of the outermost object. None where all stand on one line, or there is no such
/// list.
std::vector<std::uint32_t> lines_of_elements(std::string_view text, std::string_view key) {
  std::vector<std::uint32_t> out;
  std::uint32_t line = 1;
  int depth = 0;
  bool inside = false;  // the list
  bool begins = false;  // an element may begin here
  std::string_view last;
  const int of_list = key.empty() ? 1 : 2;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line;
    if (c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == ':') continue;
    if (inside && begins && depth == of_list && c != ']') {
      out.push_back(line);
      begins = false;
    }
    if (c == '"') {
      std::size_t end = i + 1;
      while (end < text.size() && text[end] != '"') end += text[end] == '\\' ? 2U : 1U;
      end = std::min(end, text.size());
      last = text.substr(i + 1, end - i - 1);
      i = end;
    } else if (c == '[' || c == '{') {
      ++depth;
      if (!inside && out.empty() && c == '[' && depth == of_list && (key.empty() || last == key)) {
        inside = begins = true;
      }
    } else if (c == ']' || c == '}') {
      if (inside && depth == of_list) inside = false;
      --depth;
    } else if (c == ',' && depth == of_list) {
      begins = inside;
    }
  }
  return !out.empty() && out.front() == out.back() && out.size() > 1 ? std::vector<std::uint32_t>{}
                                                                     : out;
}

/// Where the rows of a table that was made from a list come from, if every element made one; the
/// first may have been the header.
void set_lines(std::vector<std::uint32_t> elements, ConvertedText& table) {
  const auto made =
      static_cast<std::size_t>(std::count(table.text.begin(), table.text.end(), '\n'));
  if (elements.empty()) return;
  if (elements.size() + 1 == made) elements.insert(elements.begin(), elements.front());
  if (elements.size() == made) table.line = std::move(elements);
}

Result<ConvertedText> lines_as_text(std::string_view text) {
  GridBuilder builder;
  LineCutter lines(text);
  std::string_view line;
  while (lines.next(line)) {
    line = trim(line);
    if (line.empty()) continue;
    const Json value = Json::parse(line.begin(), line.end(), nullptr, false);
    if (value.is_discarded() || !value.is_object()) return broken(lines.number());
    builder.row(lines.number());
    builder.object(value);
  }
  return builder.grid().text(text.size());
}

Result<ConvertedText> array_as_text(std::string_view text) {
  const Json value = Json::parse(text.begin(), text.end(), nullptr, false);
  if (!value.is_array()) return broken(1);
  // A list of signals that each have a list of their own is no list of rows.
  Result<ConvertedText> table = json_object_as_text(value, text.size());
  if (table) set_lines(lines_of_elements(text, ""), *table);
  return table;
}

Result<ConvertedText> object_as_text(std::string_view text) {
  const Json value = Json::parse(text.begin(), text.end(), nullptr, false);
  if (value.is_discarded()) return broken(1);
  Result<ConvertedText> table = json_object_as_text(value, text.size());
  const bool one_line = text.find('\n') >= trim(text).size();
  return table || !one_line ? table : lines_as_text(text);
}

Result<ConvertedText> grid_as_text(std::string_view text) {
  const Json value = Json::parse(text.begin(), text.end(), nullptr, false);
  if (!value.is_object() || !value["cols"].is_array() || !value["rows"].is_array())
    return broken(1);
  UnitGrid grid;
  for (const Json& column : value["cols"]) {
    if (!column.is_object()) return broken(1);
    UnitGrid::Column out;
    out.key = column.value("name", std::string());
    const auto meta = column.find("meta");
    const Json& tags = meta != column.end() && meta->is_object() ? *meta : column;
    const auto text_of = [&](const char* tag) {
      const auto found = tags.find(tag);
      return found != tags.end() && found->is_string() ? json_cell(*found, true).text
                                                       : std::string();
    };
    out.header = text_of("dis");
    if (out.header.empty()) out.header = out.key;
    out.unit = text_of("unit");
    grid.columns.push_back(std::move(out));
  }
  for (const Json& row : value["rows"]) {
    if (!row.is_object()) return broken(1);
    grid.rows.emplace_back();
    for (std::size_t i = 0; i < grid.columns.size(); ++i) {
      const auto found = row.find(grid.columns[i].key);
      if (found != row.end()) grid.put(i, json_cell(*found, true));
    }
  }
  Result<ConvertedText> table = grid.text(text.size());
  if (table) set_lines(lines_of_elements(text, "rows"), *table);
  return table;
}

}  // namespace

std::string json_kind(std::string_view text) {
  text = trim(text);
  if (text.empty()) return {};
  if (text.front() == '[') {
    const std::string_view inside = trim(text.substr(1));
    if (inside.starts_with("{")) return "JSON array";
    // A line of a log may begin with two brackets as well.
    return inside.starts_with("[") && text.back() == ']' ? "JSON array" : "";
  }
  if (text.front() != '{') return {};
  const std::string_view head = text.substr(0, 1U << 20U);
  // One object a line: the first line is complete.
  const std::string_view first = trim(head.substr(0, head.find('\n')));
  const bool alone = first.size() == text.size();
  if (first.size() > 2 && first.back() == '}' && Json::accept(first.begin(), first.end()) &&
      first.find("\"cols\"") == std::string_view::npos) {
    // A lone line with a list in it may hold the whole table.
    return alone && first.find('[') != std::string_view::npos ? "JSON object" : "JSON lines";
  }
  if (text.find("\"cols\"") != std::string_view::npos &&
      text.find("\"rows\"") != std::string_view::npos) {
    return "Haystack grid";
  }
  return text.back() == '}' ? "JSON object" : "";
}

Result<ConvertedText> json_as_text(std::string_view text, const std::string& kind) {
  if (kind == "JSON lines") return lines_as_text(text);
  if (kind == "JSON array") return array_as_text(text);
  if (kind == "JSON object") return object_as_text(text);
  return grid_as_text(text);
}

}  // namespace cw
