#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace cw::field::detail {

/// A figure with where it was read.
struct Sourced {
  double value = 0.0;
  std::string source;
};

/// A refrigerant of data/rules/refrigerants.toml.
struct RuleRefrigerant {
  std::string name, safety_class;
  std::optional<Sourced> lfl, rcl, rcl_ppm, rcl_en, odl, practical, qlmv, qlav, gwp_ar4, gwp_eu,
      molar_mass;
  bool flammable() const { return safety_class != "A1"; }
};

/// "R410A", "r-410a" and "R-410A" are the same.
/// @error not_found  with the known names; where is "--refrigerant"
Result<RuleRefrigerant> rule_refrigerant(std::string_view name);

/// A sourced figure `group.key` of data/rules/<file>, such as ("leak_rate.toml", "us", "comfort").
/// The file is part of the program; what it lacks is our mistake and stops the program.
Sourced rule_figure(std::string_view file, std::string_view group, std::string_view key);
/// A text and a list of numbers of a group.
std::string rule_text(std::string_view file, std::string_view group, std::string_view key);
std::vector<double> rule_list(std::string_view file, std::string_view group, std::string_view key);
bool has_rule(std::string_view file, std::string_view group);

}  // namespace cw::field::detail
