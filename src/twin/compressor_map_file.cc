#include "twin/compressor_map_file.h"

#include <cmath>
#include <string>
#include <vector>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "base/unit_text.h"
#include "base/units.h"

namespace cw::twin {
namespace {

/// Powers of evaporating and condensing temperature of the ten terms.
constexpr int term_powers[10][2] = {{0, 0}, {1, 0}, {0, 1}, {2, 0}, {1, 1},
                                    {0, 2}, {3, 0}, {2, 1}, {1, 2}, {0, 3}};

std::size_t term_of(int te_power, int tc_power) noexcept {
  for (std::size_t i = 0; i < 10; ++i) {
    if (term_powers[i][0] == te_power && term_powers[i][1] == tc_power) return i;
  }
  return 0;
}

/// Coefficient of t^k in (1.8 t + 32)^power.
double fahrenheit_part(int power, int k) noexcept {
  constexpr int binomial[4][4] = {{1, 0, 0, 0}, {1, 1, 0, 0}, {1, 2, 1, 0}, {1, 3, 3, 1}};
  return binomial[power][k] * std::pow(1.8, k) * std::pow(32.0, power - k);
}

std::array<double, 10> converted(const std::array<double, 10>& from, bool fahrenheit,
                                 double scale) noexcept {
  std::array<double, 10> to{};
  for (std::size_t i = 0; i < 10; ++i) {
    const int a = term_powers[i][0], b = term_powers[i][1];
    if (!fahrenheit) {
      to[i] = from[i] * scale;
      continue;
    }
    for (int k = 0; k <= a; ++k) {
      for (int l = 0; l <= b; ++l) {
        to[term_of(k, l)] += from[i] * scale * fahrenheit_part(a, k) * fahrenheit_part(b, l);
      }
    }
  }
  return to;
}

/// The parabola (line, proportion) through the values of one coefficient at the speeds of the sets.
std::array<double, 3> through(std::span<const double> speeds, std::span<const double> values) {
  if (speeds.size() == 1) return {0.0, values[0] / speeds[0], 0.0};
  const double first = (values[1] - values[0]) / (speeds[1] - speeds[0]);
  if (speeds.size() == 2) return {values[0] - first * speeds[0], first, 0.0};
  const double second = (values[2] - values[1]) / (speeds[2] - speeds[1]);
  const double bend = (second - first) / (speeds[2] - speeds[0]);
  return {values[0] - first * speeds[0] + bend * speeds[0] * speeds[1],
          first - bend * (speeds[0] + speeds[1]), bend};
}

/// Where a term of the 30-coefficient form stands in CompressorMap: term and power of speed.
struct Place {
  int te, tc, speed;
};
constexpr Place thirty[30] = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {2, 0, 0}, {0, 2, 0}, {1, 1, 2},
                              {2, 1, 2}, {1, 2, 2}, {1, 1, 1}, {2, 1, 1}, {1, 2, 1}, {1, 1, 0},
                              {2, 1, 0}, {1, 2, 0}, {3, 0, 0}, {0, 3, 0}, {0, 0, 1}, {1, 0, 1},
                              {0, 1, 1}, {2, 0, 1}, {0, 2, 1}, {3, 0, 1}, {0, 3, 1}, {0, 0, 2},
                              {1, 0, 2}, {0, 1, 2}, {2, 0, 2}, {0, 2, 2}, {3, 0, 2}, {0, 3, 2}};

Error parse_error(std::string message, std::string where, std::string fix) {
  return {ErrorCode::parse, std::move(message), std::move(where), std::move(fix)};
}

/// A list of exactly ten numbers at `key`.
Result<std::array<double, 10>> ten_numbers(const toml::table& table, std::string_view key,
                                           std::string_view name) {
  const toml::array* list = table[key].as_array();
  const std::string fix =
      "Give ten numbers: 1, Te, Tc, Te^2, Te Tc, Tc^2, Te^3, Tc Te^2, Te Tc^2, Tc^3";
  if (list == nullptr || list->size() != 10) {
    return parse_error(
        "`" + std::string(key) + "` is not a list of ten numbers",
        place_of(list == nullptr ? static_cast<const toml::node&>(table) : *list, name), fix);
  }
  std::array<double, 10> numbers{};
  for (std::size_t i = 0; i < 10; ++i) {
    const auto number = list->get(i)->value<double>();
    if (!number || !std::isfinite(*number)) {
      return parse_error("`" + std::string(key) + "` has an entry that is no number",
                         place_of(*list->get(i), name), fix);
    }
    numbers[i] = *number;
  }
  return numbers;
}

/// The scale of the unit named at `key`.
Result<double> unit_scale(const toml::table& table, std::string_view key, Dimension dimension,
                          std::string_view name) {
  const auto text = table[key].value<std::string>();
  if (!text) {
    return parse_error("`" + std::string(key) + "` is missing", place_of(table, name),
                       "Say in which unit the coefficients give it, for example \"kg/h\" or \"W\"");
  }
  const auto unit = parse_unit(*text);
  if (!unit || unit->dimension != dimension) {
    return Error{ErrorCode::unit,
                 "`" + std::string(key) + "`: \"" + *text + "\" is not a unit of " +
                     std::string(name_of(dimension)),
                 place_of(*table[key].node(), name),
                 "Write for example \"kg/h\", \"lb/h\", \"W\" or \"kW\""};
  }
  return unit->scale;
}

/// A pair of quantities, lowest and highest, at `key`.
Status read_range(const toml::table& table, std::string_view key, double& lowest, double& highest,
                  std::string_view name) {
  const toml::array* list = table[key].as_array();
  std::vector<std::string> texts;
  for (std::size_t i = 0; list != nullptr && i < list->size(); ++i) {
    if (const auto text = list->get(i)->value<std::string>()) texts.push_back(*text);
  }
  if (texts.size() != 2) {
    return parse_error(
        "`" + std::string(key) + "` is not a pair of temperatures",
        place_of(list == nullptr ? static_cast<const toml::node&>(table) : *list, name),
        "Write the validity range, for example [\"-25 degC\", \"15 degC\"]");
  }
  const auto from = parse_quantity(texts[0], Dimension::temperature);
  const auto to = parse_quantity(texts[1], Dimension::temperature);
  if (!from || !to) {
    Error error = from ? to.error() : from.error();
    error.where = place_of(*list, name);
    return error;
  }
  lowest = *from;
  highest = *to;
  return Done{};
}

}  // namespace

TenCoefficients in_si(const TenCoefficients& set, const MapUnits& units) noexcept {
  return {set.speed, converted(set.mass_flow, units.fahrenheit, units.mass_flow_scale),
          converted(set.power, units.fahrenheit, units.power_scale)};
}

Result<CompressorMap> map_of_sets(std::span<const TenCoefficients> sets) {
  bool rising = !sets.empty() && sets.size() <= 3 && sets[0].speed > 0.0;
  for (std::size_t i = 1; rising && i < sets.size(); ++i)
    rising = sets[i].speed > sets[i - 1].speed;
  if (!rising) {
    return Error{ErrorCode::invalid_argument,
                 "a compressor map needs one to three sets of coefficients at rising speeds", "",
                 "Give each set its speed, the slowest first"};
  }
  CompressorMap map;
  std::vector<double> speeds, mass, power;
  for (const TenCoefficients& set : sets) speeds.push_back(set.speed);
  for (std::size_t i = 0; i < 10; ++i) {
    mass.clear();
    power.clear();
    for (const TenCoefficients& set : sets) {
      mass.push_back(set.mass_flow[i]);
      power.push_back(set.power[i]);
    }
    map.mass_flow[i] = through(speeds, mass);
    map.power[i] = through(speeds, power);
  }
  map.speed_lowest = speeds.front();
  map.speed_highest = speeds.back();
  return map;
}

Result<CompressorMap> parse_compressor_map(std::string_view text, std::string_view name) {
  const auto table = parse_toml(text, name);
  if (!table) return table.error();
  if (auto status = refuse_unknown_keys(*table,
                                        {"temperature", "mass_flow_unit", "power_unit", "superheat",
                                         "return_gas", "evaporating", "condensing", "set"},
                                        name);
      !status) {
    return status.error();
  }
  MapUnits units;
  const auto degree = (*table)["temperature"].value<std::string>();
  if (!degree || (*degree != "degF" && *degree != "degC")) {
    return parse_error("`temperature` must be \"degC\" or \"degF\"", place_of(*table, name),
                       "Say which temperatures the coefficients take");
  }
  units.fahrenheit = *degree == "degF";
  const auto mass = unit_scale(*table, "mass_flow_unit", Dimension::mass_flow, name);
  if (!mass) return mass.error();
  const auto power = unit_scale(*table, "power_unit", Dimension::power, name);
  if (!power) return power.error();
  units.mass_flow_scale = *mass;
  units.power_scale = *power;

  const toml::array* list = (*table)["set"].as_array();
  std::vector<TenCoefficients> sets;
  for (std::size_t i = 0; list != nullptr && i < list->size(); ++i) {
    const toml::table* entry = list->get(i)->as_table();
    if (entry == nullptr)
      return parse_error("`set` is not a table", place_of(*list, name), "Write [[set]]");
    if (auto status = refuse_unknown_keys(*entry, {"speed", "mass_flow", "power"}, name); !status) {
      return status.error();
    }
    const auto speed = toml_quantity(*entry, "speed", Dimension::frequency, name);
    if (!speed) return speed.error();
    const auto mass_list = ten_numbers(*entry, "mass_flow", name);
    if (!mass_list) return mass_list.error();
    const auto power_list = ten_numbers(*entry, "power", name);
    if (!power_list) return power_list.error();
    sets.push_back(in_si({*speed, *mass_list, *power_list}, units));
  }
  auto map = map_of_sets(sets);
  if (!map) {
    Error error = map.error();
    error.where = std::string(name);
    return error;
  }
  if (table->contains("superheat") == table->contains("return_gas")) {
    return parse_error("a map states either `superheat` or `return_gas`", place_of(*table, name),
                       "Write for example superheat = \"11.1 K\" or return_gas = \"18.3 degC\"");
  }
  if (table->contains("superheat")) {
    const auto superheat =
        toml_quantity(*table, "superheat", Dimension::temperature_difference, name);
    if (!superheat) return superheat.error();
    map->superheat = *superheat;
  } else {
    const auto return_gas = toml_quantity(*table, "return_gas", Dimension::temperature, name);
    if (!return_gas) return return_gas.error();
    map->return_gas = *return_gas;
  }
  if (auto status = read_range(*table, "evaporating", map->te_lowest, map->te_highest, name);
      !status) {
    return status.error();
  }
  if (auto status = read_range(*table, "condensing", map->tc_lowest, map->tc_highest, name);
      !status) {
    return status.error();
  }
  return map;
}

Result<CompressorMap> read_compressor_map(const std::filesystem::path& path) {
  const auto text = read_file(path);
  if (!text) return text.error();
  return parse_compressor_map(*text, path.string());
}

Result<CompressorMap> read_thirty_coefficient_map(const std::filesystem::path& path) {
  constexpr double kilogram_per_hour = 1.0 / 3600.0, kilowatt = 1000.0;
  const auto text = read_file(path);
  if (!text) return text.error();
  CompressorMap map;
  bool has_mass = false, has_power = false;
  int line_number = 0;
  for (const std::string_view line : split(*text, '\n')) {
    ++line_number;
    const auto cells = split(trim(line), ',');
    const bool mass = cells[0] == "m_dot", power = cells[0] == "W_dot";
    if (!mass && !power) continue;
    const std::string where = path.string() + ":" + std::to_string(line_number);
    if (cells.size() != 31) {
      return parse_error(std::string(cells[0]) + " has " + std::to_string(cells.size() - 1) +
                             " coefficients, not 30",
                         where, "Give C0 to C29");
    }
    auto& surface = mass ? map.mass_flow : map.power;
    for (std::size_t i = 0; i < 30; ++i) {
      double number = 0.0;
      if (!read_number(trim(cells[i + 1]), number)) {
        return parse_error("\"" + std::string(cells[i + 1]) + "\" is no number", where,
                           "Give C0 to C29");
      }
      const Place& at = thirty[i];
      surface[term_of(at.te, at.tc)][static_cast<std::size_t>(at.speed)] =
          number * (mass ? kilogram_per_hour : kilowatt);
    }
    (mass ? has_mass : has_power) = true;
  }
  if (!has_mass || !has_power) {
    return parse_error("no row m_dot or no row W_dot", path.string(),
                       "The file needs both, with the coefficients C0 to C29 behind the name");
  }
  return map;
}

}  // namespace cw::twin
