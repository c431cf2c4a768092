#include "twin/sheet_tables.h"

#include <algorithm>
#include <array>
#include <span>
#include <string>

#include "base/text.h"
#include "base/toml_file.h"
#include "base/unit_text.h"
#include "twin/detail/coil.h"
#include "twin/pressure_limits.h"
#include "twin/twin.h"

/// The sheet's tables [control] and [twin].
namespace cw::twin {

namespace {

using D = Dimension;

/// A key, what it sets and the range that it may have: wide enough for any machine that works,
/// narrow enough for a wrong unit to be told. All ranges are own choices.
template <class Owner>
struct Figure {
  std::string_view key;
  double Owner::*member;
  Dimension dimension;
  double least, most;  // SI
  std::string_view example;
  bool per_second = false;  // of a rate; only Hz/s is one
};

constexpr double degC(double t) { return t + zero_celsius; }
constexpr double hours = 3600.0;

using C = Controls;
constexpr std::array<Figure<Controls>, 33> control_figures = {{
    {"condensing_target", &C::condensing_target_K, D::temperature, degC(25), degC(65), "49 degC"},
    {"evaporating_target", &C::evaporating_target_K, D::temperature, degC(-20), degC(20), "0 degC"},
    {"cooling_condensing", &C::cooling_condensing_K, D::temperature, degC(15), degC(60), "40 degC"},
    {"heating_evaporating", &C::heating_evaporating_K, D::temperature, degC(-10), degC(25),
     "8 degC"},
    {"subcooling", &C::subcooling_K, D::temperature_difference, 0.5, 25.0, "6 K"},
    {"superheat", &C::superheat_K, D::temperature_difference, 0.5, 25.0, "5 K"},
    {"outdoor_superheat", &C::outdoor_superheat_K, D::temperature_difference, 0.0, 20.0, "3 K"},
    {"outdoor_band", &C::outdoor_band_K, D::temperature_difference, 1.0, 30.0, "9 K"},
    {"stopped_opening", &C::stopped_opening, D::ratio, 0.0, 0.5, "0.5 %"},
    {"discharge_limit", &C::discharge_limit_K, D::temperature, degC(70), degC(130), "105 degC"},
    {"discharge_trip", &C::discharge_trip_K, D::temperature, degC(75), degC(150), "115 degC"},
    {"high_pressure_limit", &C::high_pressure_limit_Pa, D::pressure, 0.5e6, 4.5e6, "3.7 MPa"},
    {"high_pressure_trip", &C::high_pressure_trip_Pa, D::pressure, 0.5e6, 4.6e6, "4.2 MPa"},
    {"low_pressure_limit", &C::low_pressure_limit_Pa, D::pressure, 2e4, 1e6, "0.22 MPa"},
    {"low_pressure_trip", &C::low_pressure_trip_Pa, D::pressure, 1e4, 1e6, "0.11 MPa"},
    {"period", &C::period_s, D::time, 1.0, 120.0, "10 s"},
    {"ramp", &C::ramp_Hz_per_s, D::frequency, 0.02, 10.0, "0.5 Hz/s", true},
    {"valve_per_period", &C::valve_per_period, D::ratio, 0.001, 1.0, "4 %"},
    {"start", &C::start_s, D::time, 0.0, 1800.0, "180 s"},
    {"start_speed", &C::start_speed, D::ratio, 0.05, 1.0, "45 %"},
    {"least_off", &C::least_off_s, D::time, 0.0, 1800.0, "180 s"},
    {"thermostat", &C::thermostat_K, D::temperature_difference, 0.1, 3.0, "0.5 K"},
    {"heating_offset", &C::heating_offset_K, D::temperature_difference, -5.0, 5.0, "0 K"},
    {"defrost_coil", &C::defrost_coil_K, D::temperature, degC(-30), degC(2), "-5 degC"},
    {"defrost_drop", &C::defrost_drop_K, D::temperature_difference, 0.5, 15.0, "3.5 K"},
    {"defrost_least_interval", &C::defrost_least_interval_s, D::time, 300.0, 6 * hours, "40 min"},
    {"defrost_end", &C::defrost_end_K, D::temperature, degC(2), degC(40), "12 degC"},
    {"defrost_longest", &C::defrost_longest_s, D::time, 60.0, 1800.0, "10 min"},
    {"turn_over", &C::turn_over_K, D::temperature_difference, 1.0, 15.0, "4 K"},
    {"turn_under", &C::turn_under_K, D::temperature_difference, 2.0, 30.0, "8 K"},
    {"turn_after", &C::turn_after_s, D::time, 30.0, 1800.0, "120 s"},
    {"oil_return_interval", &C::oil_return_interval_s, D::time, 0.5 * hours, 1000 * hours, "8 h"},
    {"oil_return", &C::oil_return_s, D::time, 10.0, 900.0, "180 s"},
}};

using P = Parameters;
constexpr std::array<Figure<Parameters>, 11> twin_figures = {{
    {"outdoor_coil_factor", &P::outdoor_coil_factor, D::ratio, 0.2, 3.0, "100 %"},
    {"indoor_coil_factor", &P::indoor_coil_factor, D::ratio, 0.2, 3.0, "100 %"},
    {"outdoor_air_factor", &P::outdoor_air_factor, D::ratio, 0.2, 3.0, "100 %"},
    {"volumetric_factor", &P::volumetric_factor, D::ratio, 0.3, 2.0, "100 %"},
    {"work_factor", &P::work_factor, D::ratio, 0.3, 2.0, "100 %"},
    {"leak_factor", &P::leak_factor, D::ratio, 0.0, 5.0, "100 %"},
    {"volume_ratio_factor", &P::volume_ratio_factor, D::ratio, 0.5, 2.0, "100 %"},
    {"shell_loss_factor", &P::shell_loss_factor, D::ratio, 0.0, 20.0, "100 %"},
    {"suction_heat_factor", &P::suction_heat_factor, D::ratio, 0.0, 200.0, "100 %"},
    {"volume_factor", &P::volume_factor, D::ratio, 0.2, 3.0, "100 %"},
    {"longest_step", &P::longest_step_s, D::time, 0.1, 60.0, "5 s"},
}};

struct Slip {
  std::string_view word;
  SlipModel model;
};
constexpr std::array<Slip, 3> slips = {{{"homogeneous", SlipModel::homogeneous},
                                        {"zivi", SlipModel::zivi},
                                        {"smith", SlipModel::smith}}};

/// One of the two tables.
struct Reader {
  const toml::table& table;
  std::string_view name;  ///< "control"
  std::string_view file;

  Error error(const toml::node& at, ErrorCode code, std::string message, std::string fix) const {
    return {code, "[" + std::string(name) + "] " + std::move(message), place_of(at, file),
            std::move(fix)};
  }

  /// @error parse  with the nearest known key
  Status refuse_unknown(std::span<const std::string_view> known) const;
  template <class Owner>
  Status read(std::span<const Figure<Owner>> figures, Owner& out) const;
  Status read_count(std::string_view key, int least, int most, int usual, int& out) const;
  Status read_slip(SlipModel& out) const;
};

Status Reader::refuse_unknown(std::span<const std::string_view> known) const {
  for (const auto& [key, node] : table) {
    const std::string_view text = key.str();
    if (std::find(known.begin(), known.end(), text) != known.end()) continue;
    const auto nearest = std::min_element(known.begin(), known.end(), [&](auto a, auto b) {
      return edit_distance(text, a) < edit_distance(text, b);
    });
    return error(node, ErrorCode::parse, "has no key \"" + std::string(text) + "\"",
                 "Did you mean \"" + std::string(*nearest) + "\"? Keys: docs/user/sheet.md");
  }
  return Done{};
}

/// "0.5 Hz/s" as Hz per second.
Result<double> rate_of(const toml::node& node) {
  const auto text = node.value_exact<std::string>();
  if (!text || !text->ends_with("Hz/s")) {
    return Error{ErrorCode::unit, "a rate in Hz/s is wanted", {}, {}};
  }
  return parse_quantity(std::string_view(*text).substr(0, text->size() - 2), Dimension::frequency);
}

template <class Owner>
Status Reader::read(std::span<const Figure<Owner>> figures, Owner& out) const {
  for (const Figure<Owner>& figure : figures) {
    const toml::node* node = table.get(figure.key);
    if (node == nullptr) continue;
    const std::string key(figure.key);
    const Result<double> value =
        figure.per_second ? rate_of(*node) : toml_quantity(table, key, figure.dimension, file);
    if (!value) {
      const std::string& why = value.error().message;
      return error(*node, value.error().code, why.starts_with(key) ? why : key + ": " + why,
                   "Write for example " + key + " = \"" + std::string(figure.example) + "\"");
    }
    if (!(*value >= figure.least && *value <= figure.most)) {
      const auto shown = [&](double si) {
        return format_si(si, figure.dimension, UnitSystem::si) + (figure.per_second ? "/s" : "");
      };
      return error(*node, ErrorCode::out_of_range,
                   key + " is " + shown(*value) + "; the twin takes " + shown(figure.least) +
                       " to " + shown(figure.most),
                   "Check the unit; usual is \"" + std::string(figure.example) + "\"");
    }
    out.*figure.member = *value;
  }
  return Done{};
}

Status Reader::read_count(std::string_view key, int least, int most, int usual, int& out) const {
  const toml::node* node = table.get(key);
  if (node == nullptr) return Done{};
  const auto count = node->value_exact<int64_t>();
  if (!count || *count < least || *count > most) {
    return error(*node, ErrorCode::out_of_range,
                 std::string(key) + " must be a whole number from " + std::to_string(least) +
                     " to " + std::to_string(most),
                 "Write for example " + std::string(key) + " = " + std::to_string(usual));
  }
  out = static_cast<int>(*count);
  return Done{};
}

Status Reader::read_slip(SlipModel& out) const {
  const toml::node* node = table.get("slip");
  if (node == nullptr) return Done{};
  const auto word = node->value_exact<std::string>();
  const auto slip = std::find_if(slips.begin(), slips.end(),
                                 [&](const Slip& s) { return word && s.word == *word; });
  if (slip == slips.end()) {
    return error(*node, ErrorCode::parse, "slip names no model of void",
                 R"(Write "homogeneous", "zivi" or "smith")");
  }
  out = slip->model;
  return Done{};
}

/// Limits that stand the wrong way round to each other.
Status check_order(const Reader& reader, const Controls& c) {
  const auto shown = [](double p_Pa) { return format_si(p_Pa, D::pressure, UnitSystem::si); };
  const auto refuse = [&](std::string_view key, std::string message) -> Status {
    const toml::node* node = reader.table.get(key);
    const toml::node& at = node != nullptr ? *node : static_cast<const toml::node&>(reader.table);
    return reader.error(at, ErrorCode::inconsistent, std::move(message),
                        "Correct one of the two; a key that is absent has the default of "
                        "docs/user/sheet.md");
  };
  if (c.discharge_limit_K >= c.discharge_trip_K) {
    return refuse("discharge_limit", "discharge_limit is not below discharge_trip");
  }
  if (c.high_pressure_limit_Pa >= c.high_pressure_trip_Pa) {
    return refuse("high_pressure_limit", "high_pressure_limit is not below high_pressure_trip, " +
                                             shown(c.high_pressure_trip_Pa));
  }
  if (c.low_pressure_limit_Pa <= c.low_pressure_trip_Pa) {
    return refuse("low_pressure_limit", "low_pressure_limit is not above low_pressure_trip, " +
                                            shown(c.low_pressure_trip_Pa));
  }
  if (c.evaporating_target_K >= c.cooling_condensing_K) {
    return refuse("evaporating_target", "evaporating_target is not below cooling_condensing");
  }
  if (c.heating_evaporating_K >= c.condensing_target_K) {
    return refuse("heating_evaporating", "heating_evaporating is not below condensing_target");
  }
  return Done{};
}

constexpr std::string_view at_once_key = "defrost_at_once";

Status read_defrosts(const Reader& reader, const System& system, Controls& out) {
  const int modules = static_cast<int>(system.outdoor().size());
  if (auto done = reader.read_count(at_once_key, 1, modules, modules, out.defrost_at_once); !done) {
    return done;
  }
  if (system.heat_recovery() || out.defrost_at_once == 0 || out.defrost_at_once == modules) {
    return Done{};
  }
  return reader.error(*reader.table.get(at_once_key), ErrorCode::inconsistent,
                      "defrost_at_once is less than all " + std::to_string(modules) +
                          " modules; with two lines they have one gas line, and the reversing "
                          "valves of all turn together",
                      "Leave it out; only heat recovery, with three lines, defrosts by turns");
}

Status read_control(const Reader& reader, const System& system, Controls& out) {
  if (auto known = reader.refuse_unknown(control_keys()); !known) return known;
  if (auto done = reader.read<Controls>(control_figures, out); !done) return done;
  if (auto done = read_defrosts(reader, system, out); !done) return done;
  settle_pressure_limits(system.refrigerant(), out);
  return check_order(reader, out);
}

Status read_twin(const Reader& reader, Parameters& out) {
  if (auto known = reader.refuse_unknown(twin_keys()); !known) return known;
  if (auto done = reader.read_slip(out.slip); !done) return done;
  constexpr int least = 3;
  constexpr int most = static_cast<int>(detail::most_cells);
  constexpr Parameters usual;
  if (auto done =
          reader.read_count("outdoor_cells", least, most, usual.outdoor_cells, out.outdoor_cells);
      !done) {
    return done;
  }
  if (auto done =
          reader.read_count("indoor_cells", least, most, usual.indoor_cells, out.indoor_cells);
      !done) {
    return done;
  }
  return reader.read<Parameters>(twin_figures, out);
}

}  // namespace

void settle_defrosts(const System& system, Controls& controls) noexcept {
  if (controls.defrost_at_once > 0) return;
  controls.defrost_at_once = system.heat_recovery() ? 1 : static_cast<int>(system.outdoor().size());
}

std::vector<std::string_view> control_keys() {
  std::vector<std::string_view> out = {at_once_key};
  for (const auto& figure : control_figures) out.push_back(figure.key);
  return out;
}

std::vector<std::string_view> twin_keys() {
  std::vector<std::string_view> out = {"slip", "outdoor_cells", "indoor_cells"};
  for (const auto& figure : twin_figures) out.push_back(figure.key);
  return out;
}

Result<Parameters> parameters_of(const System& system) {
  const Result<toml::table> root = parse_toml(system.text(), system.file());
  if (!root) return root.error();
  Parameters out;
  Status done = Done{};
  for (const std::string_view name : {"control", "twin"}) {
    const toml::node* node = root->get(name);
    if (node == nullptr) continue;
    const toml::table* table = node->as_table();
    if (table == nullptr) {
      return Error{ErrorCode::parse, "\"" + std::string(name) + "\" must be one table",
                   place_of(*node, system.file()),
                   "Write [" + std::string(name) + "] above its keys"};
    }
    const Reader reader{*table, name, system.file()};
    done = name == "control" ? read_control(reader, system, out.controls) : read_twin(reader, out);
    if (!done) return done.error();
  }
  settle_pressure_limits(system.refrigerant(), out.controls);
  settle_defrosts(system, out.controls);
  return out;
}

}  // namespace cw::twin
