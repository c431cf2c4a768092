#include "ingest/json_lines/json_text.h"

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

Result<std::string> lines_as_text(std::string_view text) {
  GridBuilder builder;
  LineCutter lines(text);
  std::string_view line;
  while (lines.next(line)) {
    line = trim(line);
    if (line.empty()) continue;
    const Json value = Json::parse(line.begin(), line.end(), nullptr, false);
    if (value.is_discarded() || !value.is_object()) return broken(lines.number());
    builder.row();
    builder.object(value);
  }
  return builder.grid().text(text.size());
}

Result<std::string> array_as_text(std::string_view text) {
  const Json value = Json::parse(text.begin(), text.end(), nullptr, false);
  if (!value.is_array()) return broken(1);
  // A list of signals that each have a list of their own is no list of rows.
  return json_object_as_text(value, text.size());
}

Result<std::string> object_as_text(std::string_view text) {
  const Json value = Json::parse(text.begin(), text.end(), nullptr, false);
  if (value.is_discarded()) return broken(1);
  Result<std::string> table = json_object_as_text(value, text.size());
  const bool one_line = text.find('\n') >= trim(text).size();
  return table || !one_line ? table : lines_as_text(text);
}

Result<std::string> grid_as_text(std::string_view text) {
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
  return grid.text(text.size());
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

Result<std::string> json_as_text(std::string_view text, const std::string& kind) {
  if (kind == "JSON lines") return lines_as_text(text);
  if (kind == "JSON array") return array_as_text(text);
  if (kind == "JSON object") return object_as_text(text);
  return grid_as_text(text);
}

}  // namespace cw
