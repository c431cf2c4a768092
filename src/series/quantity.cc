#include "series/quantity.h"

#include <algorithm>

#include "base/contract.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/quantities.h"

namespace cw {
namespace {

std::string folded(std::string_view text) {
  std::string out = to_lower(trim(text));
  std::replace_if(
      out.begin(), out.end(), [](char c) { return c == ' ' || c == '-'; }, '_');
  return out;
}

std::vector<std::string> texts_of(const toml::table& row, std::string_view key) {
  std::vector<std::string> out;
  if (const toml::array* array = row[key].as_array()) {
    for (const toml::node& node : *array) out.push_back(node.value_or(std::string{}));
  }
  return out;
}

/// The data file is ours and compiled in: a mistake in it is a bug, not an input error.
Quantity read_row(const toml::table& row, std::string_view file) {
  Quantity q;
  q.name = row["name"].value_or(std::string{});
  q.label = row["label"].value_or(std::string{});
  const auto dimension = dimension_named(row["dimension"].value_or(std::string_view{}));
  CW_REQUIRE(!q.name.empty() && !q.label.empty() && dimension.has_value());
  q.dimension = *dimension;
  q.aliases = texts_of(row, "aliases");
  q.alternative = row["alternative"].value_or(std::string{});
  q.words = texts_of(row, "words");
  if (const toml::table* synonyms = row["synonyms"].as_table()) {
    for (const auto& [from, to] : *synonyms) {
      q.synonyms.emplace_back(std::string(from.str()), to.value_or(std::string{}));
    }
  }
  if (const toml::array* range = row["range"].as_array()) {
    const toml::table ends{{"low", range->get(0)->value_or(std::string{})},
                           {"high", range->get(1)->value_or(std::string{})}};
    q.lowest = toml_quantity(ends, "low", q.dimension, file).value();
    q.highest = toml_quantity(ends, "high", q.dimension, file).value();
  } else {
    CW_REQUIRE(q.dimension == Dimension::state && !q.words.empty());
    q.highest = static_cast<double>(q.words.size() - 1);
  }
  return q;
}

std::vector<Quantity> read_table() {
  const EmbeddedFile file = embedded::quantities().front();
  const Result<toml::table> table = parse_toml(file.text, file.name);
  CW_REQUIRE(table.has_value());
  std::vector<Quantity> out;
  const toml::array* rows = (*table)["quantity"].as_array();
  CW_REQUIRE(rows != nullptr);
  for (const toml::node& node : *rows) out.push_back(read_row(*node.as_table(), file.name));
  return out;
}

}  // namespace

std::optional<int> Quantity::number_of(std::string_view word) const {
  const std::string wanted = to_lower(trim(word));
  std::string_view standard = wanted;
  for (const auto& [from, to] : synonyms) {
    if (from == wanted) standard = to;
  }
  const auto found = std::find(words.begin(), words.end(), standard);
  if (found == words.end()) return std::nullopt;
  return static_cast<int>(found - words.begin());
}

std::span<const Quantity> all_quantities() {
  static const std::vector<Quantity> table = read_table();
  return table;
}

const Quantity* find_quantity(std::string_view name) {
  for (const Quantity& q : all_quantities()) {
    if (q.name == name) return &q;
  }
  return nullptr;
}

const Quantity* quantity_called(std::string_view text) {
  const std::string wanted = folded(text);
  for (const Quantity& q : all_quantities()) {
    if (q.name == wanted) return &q;
    for (const std::string& alias : q.aliases) {
      if (folded(alias) == wanted) return &q;
    }
  }
  return nullptr;
}

}  // namespace cw
