#define TOML_IMPLEMENTATION
#include "base/toml_file.h"

#include <algorithm>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_guard.h"

namespace cw {

Result<toml::table> parse_toml(std::string_view text, std::string_view name) {
  if (const auto line = unquoted_letter(text)) {
    return Error{
        ErrorCode::parse,
        "a letter that is not plain ASCII stands outside quotes or behind a backslash",
        std::string(name) + ":" + std::to_string(*line),
        "Put keys and texts with such letters in quotes, as \"température\" = \"an\", without "
        "backslash"};
  }
  if (const auto line = nameless_header(text)) {
    return Error{ErrorCode::parse, "the table in brackets has no name",
                 std::string(name) + ":" + std::to_string(*line),
                 "Write for example [site] or [[indoor]]; see https://toml.io"};
  }
  if (const auto line = misplaced_brace(text)) {
    return Error{ErrorCode::parse, "a closing brace stands in a list",
                 std::string(name) + ":" + std::to_string(*line),
                 "Lists stand in [brackets], as [1, 2]; see https://toml.io"};
  }
  toml::parse_result parsed = toml::parse(text);
  if (parsed) return std::move(parsed).table();
  const toml::parse_error& error = parsed.error();
  const auto& at = error.source().begin;
  return Error{ErrorCode::parse, std::string(error.description()),
               std::string(name) + ":" + std::to_string(at.line) + ":" + std::to_string(at.column),
               "Texts stand in quotes and tables in [brackets]; see https://toml.io"};
}

Result<toml::table> read_toml_file(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (!text) return text.error();
  return parse_toml(*text, path.string());
}

std::string place_of(const toml::node& node, std::string_view name) {
  return std::string(name) + ":" + std::to_string(node.source().begin.line);
}

Result<double> toml_quantity(const toml::table& table, std::string_view key, Dimension wanted,
                             std::string_view name) {
  const toml::node* node = table.get(key);
  if (node == nullptr) {
    return Error{ErrorCode::parse, "\"" + std::string(key) + "\" is missing", place_of(table, name),
                 "Add a line such as " + std::string(key) + " = \"10 K\""};
  }
  Result<double> value = Error{};
  if (const auto text = node->value_exact<std::string>()) {
    value = parse_quantity(*text, wanted);
  } else if (const auto number = node->value<double>()) {
    value = parse_quantity(number_text(*number, 15), wanted);
  } else {
    value = Error{ErrorCode::parse, "\"" + std::string(key) + "\" must be a text with a unit", "",
                  "Write for example " + std::string(key) + " = \"10 K\""};
  }
  if (!value) {
    value.error().where = place_of(*node, name);
    value.error().message = std::string(key) + ": " + value.error().message;
  }
  return value;
}

Status refuse_unknown_keys(const toml::table& table, std::initializer_list<std::string_view> known,
                           std::string_view name) {
  for (const auto& [key, node] : table) {
    const std::string_view text = key.str();
    if (std::find(known.begin(), known.end(), text) != known.end()) continue;
    std::string_view nearest;
    std::size_t best = 4;  // farther away it is no misspelling
    std::vector<std::string> all;
    for (const std::string_view candidate : known) {
      const std::size_t distance = edit_distance(text, candidate);
      if (distance < best) {
        best = distance;
        nearest = candidate;
      }
      all.emplace_back(candidate);
    }
    return Error{ErrorCode::parse, "unknown key \"" + std::string(text) + "\"",
                 place_of(node, name),
                 nearest.empty() ? "Known here: " + list_of(all)
                                 : "Did you mean \"" + std::string(nearest) + "\"?"};
  }
  return Done{};
}

}  // namespace cw
