#include "ingest/json_lines/grid_builder.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

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

bool is_scalar_object(const Json& value) {
  return value.is_object() && (value.contains("val") || value.contains("_kind"));
}

}  // namespace

UnitGrid::Cell json_cell(const Json& value, bool haystack) {
  if (value.is_null()) return {};
  if (value.is_string()) {
    return haystack ? tagged_text(value.get<std::string>())
                    : UnitGrid::Cell{value.get<std::string>(), ""};
  }
  if (value.is_object()) {
    const auto kind = value.find("_kind");
    if (kind != value.end() && kind->is_string()) {
      const std::string word = kind->get<std::string>();
      if (word == "na" || word == "marker" || word == "remove") return {};
    }
    const auto val = value.find("val");
    if (val != value.end()) {
      const auto unit = value.find("unit");
      return {val->is_string() ? val->get<std::string>() : val->dump(),
              unit != value.end() && unit->is_string() ? unit->get<std::string>() : ""};
    }
  }
  return {value.dump(-1, ' ', false, Json::error_handler_t::replace), ""};
}

void GridBuilder::put(const Json& value, const std::string& name, int depth) {
  constexpr int deepest = 8;
  constexpr std::size_t longest_list = 64;
  const auto inside = [&](const std::string& key) { return name.empty() ? key : name + "." + key; };
  if (value.is_object() && depth <= deepest && (depth == 0 || !is_scalar_object(value))) {
    for (const auto& [key, member] : value.items()) put(member, inside(key), depth + 1);
    return;
  }
  if (value.is_array() && depth <= deepest && value.size() <= longest_list) {
    for (std::size_t i = 0; i < value.size(); ++i) {
      put(value[i], inside(std::to_string(i + 1)), depth + 1);
    }
    return;
  }
  cell(value, name);
}

void GridBuilder::cell(const Json& value, const std::string& name) {
  auto at = index_.find(name);
  if (at == index_.end()) {
    if (index_.size() >= most_columns) return;
    at = index_.emplace(name, grid_.columns.size()).first;
    grid_.columns.push_back({name, name, "", false});
  }
  grid_.put(at->second, json_cell(value, false));
}

}  // namespace cw
