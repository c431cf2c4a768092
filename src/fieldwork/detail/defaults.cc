#include "fieldwork/detail/defaults.h"

#include <map>

#include "base/contract.h"
#include "base/toml_file.h"
#include "embedded/fieldwork.h"

namespace cw::field::detail {
namespace {

std::map<std::string, Default, std::less<>> load() {
  std::map<std::string, Default, std::less<>> out;
  for (const EmbeddedFile& file : embedded::fieldwork()) {
    if (!file.name.ends_with("defaults.toml")) continue;
    const Result<toml::table> table = parse_toml(file.text, file.name);
    CW_REQUIRE(table.has_value());
    for (const auto& [group, figures] : *table) {
      CW_REQUIRE(figures.is_table());
      for (const auto& [key, node] : *figures.as_table()) {
        CW_REQUIRE(node.is_table());
        const toml::table& figure = *node.as_table();
        const auto dimension = dimension_named(figure["dimension"].value_or(std::string_view{}));
        CW_REQUIRE(dimension.has_value());
        const Result<double> value = toml_quantity(figure, "value", *dimension, file.name);
        CW_REQUIRE(value.has_value());
        out[std::string(group.str()) + "." + std::string(key.str())] = {
            *value, figure["source"].value_or(std::string{})};
      }
    }
  }
  return out;
}

}  // namespace

Default default_of(std::string_view key) {
  static const auto all = load();
  const auto found = all.find(key);
  CW_REQUIRE(found != all.end());
  return found->second;
}

}  // namespace cw::field::detail
