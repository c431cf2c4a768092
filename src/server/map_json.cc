#include "server/map_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/toml_file.h"

namespace cw::server {
namespace {

using Json = nlohmann::ordered_json;

/// JSON has no nan and no inf, TOML has: they go along by name, as a table that no map can hold
/// (the words of a column are those of its quantity).
Json number_json(double number) {
  if (std::isfinite(number)) return number;
  return {{"not_finite", std::isnan(number) ? "nan" : number > 0.0 ? "inf" : "-inf"}};
}

Json json_of(const toml::node& node) {
  if (const toml::table* table = node.as_table()) {
    Json out = Json::object();
    for (const auto& [key, value] : *table) out[std::string(key.str())] = json_of(value);
    return out;
  }
  if (const toml::array* array = node.as_array()) {
    Json out = Json::array();
    for (const toml::node& value : *array) out.push_back(json_of(value));
    return out;
  }
  if (const auto text = node.value_exact<std::string>()) return *text;
  if (const auto whole = node.value_exact<std::int64_t>()) return *whole;
  if (const auto number = node.value_exact<double>()) return number_json(*number);
  if (const auto truth = node.value_exact<bool>()) return *truth;
  // Days and times: no key of a map asks for one, and as text it is refused as before.
  std::ostringstream text;
  node.visit([&](const auto& one) { text << one; });
  return text.str();
}

}  // namespace

Result<std::string> map_json(std::string_view toml) {
  const Result<toml::table> table = parse_toml(toml, "map");
  if (!table) return table.error();
  return json_of(*table).dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace cw::server
