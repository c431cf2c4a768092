#include "ingest/json_lines/json_text.h"

#include <map>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "ingest/cell_text.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

Error broken(std::size_t line) {
  return {ErrorCode::unreadable, "line " + std::to_string(line) + " is no valid JSON", "",
          "Export the recording again"};
}

/// Version 3 of Haystack writes scalars as texts with a letter in front: "n:74.2 degF",
/// "t:2026-...".
UnitGrid::Cell tagged_text(const std::string& text) {
  if (text.size() < 2 || text[1] != ':') return {text, ""};
  const std::string rest = text.substr(2);
  switch (text[0]) {
    case 'n': {
      const std::size_t blank = rest.find(' ');
      if (blank == std::string::npos) return {rest, ""};
      return {rest.substr(0, blank), rest.substr(blank + 1)};
    }
    case 't':
    case 's':
    case 'd':
    case 'h':
      return {rest, ""};
    case 'z':
    case '-':
    case 'm':
      return {};
    default:
      return {text, ""};
  }
}

UnitGrid::Cell cell_of(const Json& value, bool haystack) {
  if (value.is_null()) return {};
  if (value.is_string()) {
    return haystack ? tagged_text(value.get<std::string>())
                    : UnitGrid::Cell{value.get<std::string>(), ""};
  }
  if (value.is_object()) {
    const std::string kind = value.value("_kind", std::string());
    if (kind == "na" || kind == "marker" || kind == "remove") return {};
    const auto val = value.find("val");
    if (val != value.end()) {
      const auto unit = value.find("unit");
      return {val->is_string() ? val->get<std::string>() : val->dump(),
              unit != value.end() && unit->is_string() ? unit->get<std::string>() : ""};
    }
  }
  return {value.dump(-1, ' ', false, Json::error_handler_t::replace), ""};
}

class GridBuilder {
 public:
  void row() { grid_.rows.emplace_back(); }

  void object(const Json& object, const std::string& prefix, int depth) {
    for (const auto& [key, value] : object.items()) {
      const std::string name = prefix.empty() ? key : prefix + "." + key;
      if (value.is_object() && !value.contains("val") && !value.contains("_kind") && depth < 8) {
        this->object(value, name, depth + 1);
        continue;
      }
      const auto found = index_.find(name);
      std::size_t column = 0;
      if (found == index_.end()) {
        if (index_.size() >= most_columns) continue;
        column = grid_.columns.size();
        index_.emplace(name, column);
        grid_.columns.push_back({name, name, "", false});
      } else {
        column = found->second;
      }
      grid_.put(column, cell_of(value, false));
    }
  }

  UnitGrid& grid() { return grid_; }

 private:
  static constexpr std::size_t most_columns = 20000;

  UnitGrid grid_;
  std::map<std::string, std::size_t> index_;
};

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
    builder.object(value, "", 0);
  }
  return builder.grid().text(text.size());
}

Result<std::string> array_as_text(std::string_view text) {
  const Json value = Json::parse(text.begin(), text.end(), nullptr, false);
  if (!value.is_array()) return broken(1);
  GridBuilder builder;
  for (const Json& item : value) {
    if (!item.is_object()) return broken(1);
    builder.row();
    builder.object(item, "", 0);
  }
  return builder.grid().text(text.size());
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
      return found != tags.end() && found->is_string() ? tagged_text(found->get<std::string>()).text
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
      if (found != row.end()) grid.put(i, cell_of(*found, true));
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
    return !inside.empty() && inside.front() == '{' ? "JSON array" : "";
  }
  if (text.front() != '{') return {};
  const std::string_view head = text.substr(0, 1U << 20U);
  // One object a line: the first line is complete.
  const std::string_view first = trim(head.substr(0, head.find('\n')));
  if (first.size() > 2 && first.back() == '}' && Json::accept(first.begin(), first.end()) &&
      first.find("\"cols\"") == std::string_view::npos) {
    return "JSON lines";
  }
  if (text.find("\"cols\"") != std::string_view::npos &&
      text.find("\"rows\"") != std::string_view::npos) {
    return "Haystack grid";
  }
  return {};
}

Result<std::string> json_as_text(std::string_view text, const std::string& kind) {
  if (kind == "JSON lines") return lines_as_text(text);
  if (kind == "JSON array") return array_as_text(text);
  return grid_as_text(text);
}

}  // namespace cw
