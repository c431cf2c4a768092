#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstdio>
#include <functional>

#include "base/text.h"
#include "fluid/saturation.h"
#include "report/fluid_report.h"

namespace cw {
namespace {

using fluid::FluidState;
using fluid::Phase;
using fluid::ReferenceState;

using Value = std::optional<double> (*)(const FluidState&);
using Uncertain = std::optional<fluid::Transport> FluidState::*;
using Scale = double (*)(UnitSystem);

/// How a property is written in one system of units.
struct Shown {
  std::string_view symbol;
  int digits;  ///< behind the point, or significant ones
};

struct Property {
  std::string_view label;
  Dimension dimension;  ///< its display units convert, unless `scale` does
  Shown si, ip;
  bool significant;
  Value value;
  Scale scale = nullptr;  ///< SI per shown unit
  Uncertain transport = nullptr;
};

std::optional<double> transport_value(const std::optional<fluid::Transport>& t) {
  return t ? std::optional<double>{t->value} : std::nullopt;
}

/// SI per unit of a unit that base knows.
double one(std::string_view unit) { return parse_unit(unit).value().scale; }

double sound_scale(UnitSystem units) { return units == UnitSystem::si ? 1.0 : one("ft"); }
double viscosity_scale(UnitSystem units) {
  return units == UnitSystem::si ? 1e-6 : one("lb") / (one("ft") * one("h"));
}
double conductivity_scale(UnitSystem units) {
  return units == UnitSystem::si ? 1e-3 : one("Btu/h") / (one("ft") * one("delta_degF"));
}
double tension_scale(UnitSystem) { return 1e-3; }  // 1 mN/m = 1 dyn/cm

using D = Dimension;
constexpr Property temperature = {
    "Temperature", D::temperature, {"°C", 2},
    {"°F", 2},     false,          [](const FluidState& s) { return std::optional{s.T}; }};
constexpr Property pressure = {
    "Pressure, absolute", D::pressure, {"kPa(a)", 1},
    {"psi(a)", 2},        false,       [](const FluidState& s) { return std::optional{s.p}; }};
constexpr Property density = {
    "Density",     D::density, {"kg/m3", 5},
    {"lb/ft3", 5}, true,       [](const FluidState& s) { return std::optional{s.rho}; }};
constexpr Property enthalpy = {
    "Enthalpy",   D::specific_energy,
    {"kJ/kg", 2}, {"Btu/lb", 3},
    false,        [](const FluidState& s) { return std::optional{s.h}; }};
constexpr Property entropy = {"Entropy",
                              D::specific_entropy,
                              {"kJ/(kg K)", 4},
                              {"Btu/(lb °F)", 5},
                              false,
                              [](const FluidState& s) { return std::optional{s.s}; }};
constexpr Property internal_energy = {"Internal energy",
                                      D::specific_energy,
                                      {"kJ/kg", 2},
                                      {"Btu/lb", 3},
                                      false,
                                      [](const FluidState& s) { return std::optional{s.u}; }};
constexpr Property heat_capacity_p = {"Heat capacity cp",
                                      D::specific_entropy,
                                      {"kJ/(kg K)", 4},
                                      {"Btu/(lb °F)", 4},
                                      false,
                                      [](const FluidState& s) { return s.cp; }};
constexpr Property heat_capacity_v = {"Heat capacity cv",
                                      D::specific_entropy,
                                      {"kJ/(kg K)", 4},
                                      {"Btu/(lb °F)", 4},
                                      false,
                                      [](const FluidState& s) { return s.cv; }};
constexpr Property sound = {"Speed of sound", D::speed, {"m/s", 4},
                            {"ft/s", 4},      true,     [](const FluidState& s) { return s.w; },
                            sound_scale};
constexpr Property viscosity = {
    "Viscosity",      D::ratio,       {"µPa s", 4},
    {"lb/(ft h)", 4}, true,           [](const FluidState& s) { return transport_value(s.mu); },
    viscosity_scale,  &FluidState::mu};
constexpr Property conductivity = {
    "Conductivity",       D::ratio,      {"mW/(m K)", 4},
    {"Btu/(h ft °F)", 4}, true,          [](const FluidState& s) { return transport_value(s.k); },
    conductivity_scale,   &FluidState::k};
constexpr Property surface_tension = {"Surface tension",
                                      D::ratio,
                                      {"mN/m", 3},
                                      {"dyn/cm", 3},
                                      true,
                                      [](const FluidState& s) { return transport_value(s.sigma); },
                                      tension_scale,
                                      &FluidState::sigma};
/// In the order of the printed rows, behind temperature and gauge pressure.
constexpr std::array rows = {&pressure,        &density,         &enthalpy,        &entropy,
                             &internal_energy, &heat_capacity_p, &heat_capacity_v, &sound,
                             &viscosity,       &conductivity};

std::string fixed(double value, int digits) {
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, value);
  std::string out = buffer;
  if (out.front() == '-' && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  return out;
}

const Shown& shown_in(const Property& property, UnitSystem units) {
  return units == UnitSystem::si ? property.si : property.ip;
}
std::string symbol_of(const Property& property, UnitSystem units) {
  return std::string(shown_in(property, units).symbol);
}

std::string shown_text(double si, const Property& property, UnitSystem units) {
  const double value = property.scale != nullptr
                           ? si / property.scale(units)
                           : display_unit(property.dimension, units).from_si(si);
  const int digits = shown_in(property, units).digits;
  if (!property.significant) return fixed(value, digits);
  const double size = std::fabs(value);
  const int before = size > 0.0 ? static_cast<int>(std::floor(std::log10(size))) + 1 : 1;
  return fixed(value, std::clamp(digits - before, 0, 8));
}

std::string with_unit(double si, const Property& property, UnitSystem units) {
  return shown_text(si, property, units) + " " + symbol_of(property, units);
}

std::string gauge_symbol(UnitSystem units) { return units == UnitSystem::si ? "kPa(g)" : "psi(g)"; }
std::string gauge_text(double p, const Barometer& barometer, UnitSystem units) {
  return shown_text(p - barometer.pressure.value, pressure, units) + " " + gauge_symbol(units);
}
std::string both_pressures(double p, const Barometer& barometer, UnitSystem units) {
  return gauge_text(p, barometer, units) + ", " + with_unit(p, pressure, units);
}

/// Characters as a terminal shows them.
std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}
std::string left(std::string_view text, std::size_t width) {
  const std::size_t w = width_of(text);
  return std::string(text) + std::string(w < width ? width - w : 0, ' ');
}
std::string right(std::string_view text, std::size_t width) {
  const std::size_t w = width_of(text);
  return std::string(w < width ? width - w : 0, ' ') + std::string(text);
}

std::string line_of(std::string_view label, std::string_view unit,
                    const std::vector<std::string>& cells, std::string_view note = {}) {
  std::string out = "  " + left(label, 22) + left(unit, 15);
  for (const std::string& cell : cells) out += right(cell, 16);
  if (!note.empty()) out += "   " + std::string(note);
  while (!out.empty() && out.back() == ' ') out.pop_back();
  return out + "\n";
}

bool inside_two_phase(const FluidState& state) {
  return state.q && *state.q > 0.0 && *state.q < 1.0;
}

std::string property_line(const Property& property, const std::vector<const FluidState*>& states,
                          UnitSystem units) {
  std::vector<std::string> cells;
  std::string note;
  for (const FluidState* state : states) {
    const std::optional<double> value = property.value(*state);
    if (value) {
      cells.push_back(shown_text(*value, property, units));
    } else {
      // Inside the two-phase region these have no meaning; elsewhere no trustworthy equation.
      cells.push_back(inside_two_phase(*state) && property.transport != &FluidState::sigma
                          ? "-"
                          : "not available");
    }
    if (property.transport != nullptr && state->*property.transport) {
      note = "± " + number_text((state->*property.transport)->uncertainty * 100.0, 2) + " %";
    }
  }
  return line_of(property.label, symbol_of(property, units), cells, note);
}

std::string properties(const std::vector<const FluidState*>& states,
                       const std::vector<std::string>& heads, const Barometer& barometer,
                       UnitSystem units) {
  std::string out;
  if (heads.size() > 1) out += line_of("", "", heads);
  std::vector<std::string> gauge;
  for (const FluidState* state : states) {
    gauge.push_back(shown_text(state->p - barometer.pressure.value, pressure, units));
  }
  out += property_line(temperature, states, units);
  out += line_of("Pressure, gauge", gauge_symbol(units), gauge);
  for (const Property* property : rows) out += property_line(*property, states, units);
  const bool two_phase = std::any_of(states.begin(), states.end(),
                                     [](const FluidState* s) { return s->q.has_value(); });
  if (two_phase) out += property_line(surface_tension, {states.front()}, units);
  return out;
}

std::string difference(double kelvin, UnitSystem units) {
  const double shown = display_unit(Dimension::temperature_difference, units).from_si(kelvin);
  return fixed(shown, 2) + (units == UnitSystem::si ? " K" : " °F");
}

std::string glide_text(const FluidAnswer& answer, UnitSystem units) {
  const SaturationPair& at = *answer.saturation;
  if (answer.refrigerant->kind() == fluid::FluidKind::pure) return {};
  return ", glide " + difference(at.dew.T - at.bubble.T, units);
}

std::string title(const fluid::Refrigerant& refrigerant) {
  std::string out(refrigerant.name());
  if (!refrigerant.composition().empty())
    out += " (" + std::string(refrigerant.composition()) + ")";
  return out;
}

std::string footnotes(const fluid::Refrigerant& refrigerant, ReferenceState reference,
                      const Barometer& barometer, UnitSystem units) {
  return "Gauge pressures stand on " + with_unit(barometer.pressure.value, pressure, units) + ", " +
         barometer.origin + ".\nEnthalpy, entropy: reference state " +
         std::string(name_of(reference)) + ", " + reference_text(reference, units) +
         ".\nEquation of state: " + paper_text(refrigerant.equation_source()) + ".\n";
}

std::string saturation_headline(const FluidAnswer& answer, const Barometer& barometer,
                                UnitSystem units) {
  const SaturationPair& at = *answer.saturation;
  const bool pure = answer.refrigerant->kind() == fluid::FluidKind::pure;
  if (answer.at_temperature) {
    const std::string start = "At " + with_unit(at.bubble.T, temperature, units) + ": ";
    if (pure) return start + both_pressures(at.dew.p, barometer, units) + "\n";
    return start + "bubble " + gauge_text(at.bubble.p, barometer, units) + ", dew " +
           gauge_text(at.dew.p, barometer, units) + "\n";
  }
  const std::string start = "At " + both_pressures(at.bubble.p, barometer, units) + ": ";
  if (pure) return start + "saturated at " + with_unit(at.dew.T, temperature, units) + "\n";
  return start + "bubble " + with_unit(at.bubble.T, temperature, units) + ", dew " +
         with_unit(at.dew.T, temperature, units) + glide_text(answer, units) + "\n";
}

std::string state_headline(const FluidAnswer& answer, UnitSystem units) {
  const FluidState& state = *answer.state;
  std::string out(name_of(state.phase));
  if (state.q) {
    out += ", quality " + fixed(*state.q, 4);
    if (*state.q == 0.0) out += " (bubble point)";
    if (*state.q == 1.0) out += " (dew point)";
  }
  if (!answer.saturation) return out + "\n";
  const SaturationPair& at = *answer.saturation;
  if (state.phase == Phase::vapour) {
    out += ", " + difference(state.T - at.dew.T, units) + " superheat";
  } else if (state.phase == Phase::liquid) {
    out += ", " + difference(at.bubble.T - state.T, units) + " subcooling";
  }
  const bool pure = answer.refrigerant->kind() == fluid::FluidKind::pure;
  out += "\nAt this pressure: ";
  if (pure) return out + "saturated at " + with_unit(at.dew.T, temperature, units) + "\n";
  return out + "bubble " + with_unit(at.bubble.T, temperature, units) + ", dew " +
         with_unit(at.dew.T, temperature, units) + glide_text(answer, units) + "\n";
}

}  // namespace

std::string reference_text(ReferenceState reference, UnitSystem units) {
  const bool si = units == UnitSystem::si;
  switch (reference) {
    case ReferenceState::iir:
      return si ? "saturated liquid at 0 °C has 200 kJ/kg and 1 kJ/(kg K)"
                : "saturated liquid at 32 °F has 85.98 Btu/lb and 0.2388 Btu/(lb °F)";
    case ReferenceState::ashrae:
      return si ? "saturated liquid at -40 °C has 0 kJ/kg and 0 kJ/(kg K)"
                : "saturated liquid at -40 °F has 0 Btu/lb and 0 Btu/(lb °F)";
    case ReferenceState::nbp:
      return si ? "saturated liquid at 101.325 kPa has 0 kJ/kg and 0 kJ/(kg K)"
                : "saturated liquid at 14.696 psi(a) has 0 Btu/lb and 0 Btu/(lb °F)";
    case ReferenceState::published:
    case ReferenceState::usual:
      break;
  }
  return "the integration constants as the paper prints them";
}

std::string paper_text(std::string_view key) {
  std::string out;
  bool start = true;
  for (const char c : key) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isdigit(byte) != 0 && !out.empty() &&
        std::isdigit(static_cast<unsigned char>(out.back())) == 0) {
      out += ' ';
    }
    out += start ? static_cast<char>(std::toupper(byte)) : c;
    start = c == '-';
  }
  return out;
}

std::string fluid_text(const FluidAnswer& answer, const Barometer& barometer, UnitSystem units) {
  std::string out = title(*answer.refrigerant) + "\n";
  if (answer.state) {
    out +=
        state_headline(answer, units) + "\n" +
        properties({&*answer.state}, {std::string(name_of(answer.state->phase))}, barometer, units);
  } else {
    const SaturationPair& at = *answer.saturation;
    out +=
        saturation_headline(answer, barometer, units) + "\n" +
        properties({&at.bubble, &at.dew}, {"bubble (liquid)", "dew (vapour)"}, barometer, units) +
        line_of("Heat of vaporization", symbol_of(enthalpy, units),
                {"", shown_text(at.dew.h - at.bubble.h, enthalpy, units)});
  }
  return out + "\n" + footnotes(*answer.refrigerant, answer.reference(), barometer, units);
}

std::string fluid_table_text(const FluidTable& table, const Barometer& barometer,
                             UnitSystem units) {
  const bool pure = table.refrigerant->kind() == fluid::FluidKind::pure;
  struct Column {
    std::string head, unit;
    std::function<std::string(const SaturationPair&)> cell;
  };
  std::vector<Column> columns;
  const auto add = [&](const char* head, const Property& property,
                       std::function<double(const SaturationPair&)> value) {
    columns.push_back(
        {head, symbol_of(property, units), [&property, units, value](const SaturationPair& row) {
           return shown_text(value(row), property, units);
         }});
  };
  const auto add_gauge = [&](const char* head, FluidState SaturationPair::*line) {
    const double air = barometer.pressure.value;
    columns.push_back({head, gauge_symbol(units), [units, line, air](const SaturationPair& row) {
                         return shown_text((row.*line).p - air, pressure, units);
                       }});
  };
  if (table.by_temperature) {
    add("T", temperature, [](const SaturationPair& r) { return r.bubble.T; });
    add_gauge(pure ? "p" : "p bubble", &SaturationPair::bubble);
    if (!pure) add_gauge("p dew", &SaturationPair::dew);
  } else {
    add_gauge("p", &SaturationPair::bubble);
    add(pure ? "T" : "T bubble", temperature, [](const SaturationPair& r) { return r.bubble.T; });
    if (!pure) add("T dew", temperature, [](const SaturationPair& r) { return r.dew.T; });
  }
  add("rho liq", density, [](const SaturationPair& r) { return r.bubble.rho; });
  add("rho vap", density, [](const SaturationPair& r) { return r.dew.rho; });
  add("h liq", enthalpy, [](const SaturationPair& r) { return r.bubble.h; });
  add("h vap", enthalpy, [](const SaturationPair& r) { return r.dew.h; });
  add("s liq", entropy, [](const SaturationPair& r) { return r.bubble.s; });
  add("s vap", entropy, [](const SaturationPair& r) { return r.dew.s; });
  std::string out = title(*table.refrigerant) + ", saturated\n\n";
  std::string units_line;
  for (const Column& column : columns) {
    const std::size_t width = std::max<std::size_t>(10, width_of(column.unit) + 1);
    out += right(column.head, width);
    units_line += right(column.unit, width);
  }
  out += "\n" + units_line + "\n";
  for (const SaturationPair& row : table.rows) {
    for (const Column& column : columns) {
      out += right(column.cell(row), std::max<std::size_t>(10, width_of(column.unit) + 1));
    }
    out += "\n";
  }
  return out + "\n" +
         footnotes(*table.refrigerant, table.rows.front().bubble.reference, barometer, units);
}

std::string fluid_list_text(UnitSystem units) {
  std::string out;
  for (const std::string_view name : fluid::refrigerant_names()) {
    const auto refrigerant = fluid::find_refrigerant(name);
    if (!refrigerant) {
      out += left(name, 10) + refrigerant.error().text() + "\n";
      continue;
    }
    const fluid::Refrigerant& r = **refrigerant;
    out += left(name, 10);
    out += left(r.composition().empty() ? "pure" : r.composition(), 38);
    out += "critical " + right(with_unit(r.critical_temperature().value, temperature, units), 9) +
           right(with_unit(r.critical_pressure().value, pressure, units), 15) + "   " +
           paper_text(r.equation_source()) + "\n";
  }
  return out;
}

}  // namespace cw
