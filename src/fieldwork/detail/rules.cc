#include "fieldwork/detail/rules.h"

#include <map>

#include "base/contract.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/fieldwork.h"

namespace cw::field::detail {
namespace {

const toml::table& rules_of(std::string_view name) {
  static const auto all = [] {
    std::map<std::string, toml::table, std::less<>> out;
    for (const EmbeddedFile& file : embedded::fieldwork()) {
      Result<toml::table> table = parse_toml(file.text, file.name);
      CW_REQUIRE(table.has_value());
      const std::size_t slash = file.name.rfind('/');
      out.emplace(std::string(file.name.substr(slash + 1)), std::move(*table));
    }
    return out;
  }();
  const auto found = all.find(name);
  CW_REQUIRE(found != all.end());
  return found->second;
}

const toml::table& group_of(std::string_view file, std::string_view group) {
  const toml::table* table = rules_of(file)[group].as_table();
  CW_REQUIRE(table != nullptr);
  return *table;
}

std::optional<Sourced> sourced(const toml::table& group, std::string_view key) {
  const toml::table* figure = group[key].as_table();
  if (figure == nullptr) return std::nullopt;
  const auto value = (*figure)["v"].value<double>();
  CW_REQUIRE(value.has_value());
  return Sourced{*value, (*figure)["s"].value_or(std::string{})};
}

std::string without_dash(std::string_view name) {
  std::string out;
  for (const char c : to_lower(trim(name))) {
    if (c != '-' && c != ' ') out += c;
  }
  return out;
}

}  // namespace

Result<RuleRefrigerant> rule_refrigerant(std::string_view name) {
  std::vector<std::string> known;
  for (const auto& [key, node] : rules_of("refrigerants.toml")) {
    known.emplace_back(key.str());
    if (without_dash(key.str()) != without_dash(name)) continue;
    const toml::table& group = *node.as_table();
    RuleRefrigerant out;
    out.name = std::string(key.str());
    out.safety_class = group["class"].value_or(std::string{});
    out.molar_mass = sourced(group, "molar_mass");
    out.lfl = sourced(group, "lfl");
    out.rcl = sourced(group, "rcl");
    out.rcl_ppm = sourced(group, "rcl_ppm");
    out.rcl_en = sourced(group, "rcl_en");
    out.odl = sourced(group, "odl");
    out.practical = sourced(group, "practical");
    out.qlmv = sourced(group, "qlmv");
    out.qlav = sourced(group, "qlav");
    out.gwp_ar4 = sourced(group, "gwp_ar4");
    out.gwp_eu = sourced(group, "gwp_eu");
    return out;
  }
  return Error{ErrorCode::not_found,
               "no figures are known for the refrigerant \"" + std::string(name) + "\"",
               "--refrigerant", "Known: " + list_of(known)};
}

Sourced rule_figure(std::string_view file, std::string_view group, std::string_view key) {
  const auto figure = sourced(group_of(file, group), key);
  CW_REQUIRE(figure.has_value());
  return *figure;
}

std::string rule_text(std::string_view file, std::string_view group, std::string_view key) {
  return group_of(file, group)[key].value_or(std::string{});
}

std::vector<double> rule_list(std::string_view file, std::string_view group, std::string_view key) {
  std::vector<double> out;
  const toml::array* array = group_of(file, group)[key].as_array();
  CW_REQUIRE(array != nullptr);
  for (const toml::node& node : *array) out.push_back(node.value_or(0.0));
  return out;
}

bool has_rule(std::string_view file, std::string_view group) {
  return rules_of(file)[group].is_table();
}

}  // namespace cw::field::detail
