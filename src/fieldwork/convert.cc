#include "fieldwork/convert.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "base/text.h"
#include "fieldwork/detail/rules.h"

namespace cw::field {
namespace {

using D = Dimension;

constexpr std::array questions = {
    Question{"value", "VALUE", "a value with its unit: 500um, 600psig, 29.9inHg, 25C, 6lb", false,
             true},
    Question{"--ppm", "PPM", "instead: a concentration by volume, with the refrigerant"},
    Question{"--refrigerant", "NAME", "whose molar mass turns ppm into g/m3"},
    Question{"--altitude", "HEIGHT", "site altitude for gauge pressures"},
    Question{"--barometer", "PRESSURE", "instead: barometer at the site, absolute"},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

/// Units shown for each kind; "u" alone for vacuum below the barometer.
constexpr std::array<std::string_view, 13> pressures = {"Pa",     "kPa",    "MPa",   "mbar", "bar",
                                                        "psi",    "micron", "mmHg",  "inHg", "atm",
                                                        "kPa(g)", "bar(g)", "psi(g)"};

std::vector<std::string_view> units_of(D dimension) {
  switch (dimension) {
    case D::pressure:
      return {pressures.begin(), pressures.end()};
    case D::temperature:
      return {"degC", "degF", "K", "degR"};
    case D::temperature_difference:
      return {"delta_K", "delta_degF"};
    case D::mass:
      return {"kg", "g", "lb", "oz"};
    case D::volume:
      return {"m3", "L", "ft3", "in3", "gal"};
    case D::volume_flow:
      return {"m3/h", "L/s", "L/min", "cfm"};
    case D::length:
      return {"m", "mm", "ft", "in"};
    case D::area:
      return {"m2", "ft2"};
    case D::power:
      return {"kW", "W", "Btu/h", "ton"};
    case D::density:
      return {"kg/m3", "g/m3", "lb/ft3"};
    case D::linear_density:
      return {"kg/m", "g/m", "lb/ft"};
    case D::time:
      return {"s", "min", "h", "d"};
    case D::leak_flow:
      return {"Pa m3/s", "mbar L/s"};
    default:
      return {};
  }
}

Status check_sign(std::string_view text, double si, D dimension) {
  const bool signed_kind =
      dimension == D::temperature_difference || dimension == D::power || dimension == D::length;
  if (dimension == D::temperature && si < 0.0) {
    return Error{ErrorCode::out_of_range, "\"" + std::string(text) + "\" is below absolute zero",
                 "value", "Nothing is colder than -273.15C (-459.67F)"};
  }
  if (dimension == D::pressure && si < 0.0) {
    return Error{ErrorCode::out_of_range, "\"" + std::string(text) + "\" is below a perfect vacuum",
                 "value", "A gauge reads at least minus the barometer; check sign and unit"};
  }
  if (si < 0.0 && !signed_kind) {
    return Error{ErrorCode::out_of_range,
                 "\"" + std::string(text) + "\": a negative " + std::string(name_of(dimension)),
                 "value", "Check the sign"};
  }
  return Done{};
}

Status convert_value(const Form& form, const Site& site, FieldSheet& sheet) {
  const std::string text(trim(form.text_or("value", "")));
  const std::size_t at = text.find_first_not_of("+-.0123456789eE ");
  if (at == 0 || text.empty()) {
    return Error{ErrorCode::parse, "\"" + text + "\" does not start with a number", "value",
                 "Write a number and its unit, for example 500um"};
  }
  if (at == std::string::npos) {
    return Error{ErrorCode::unit, "\"" + text + "\" has no unit", "value",
                 "Write the unit behind the number, for example 500um or 600psig"};
  }
  Result<Unit> unit = parse_unit(text.substr(at));
  if (!unit) {
    unit.error().where = "value";
    return unit.error();
  }
  Result<double> si = parse_quantity(text, unit->dimension, site.barometer);
  if (!si) {
    si.error().where = "value";
    return si.error();
  }
  if (Status s = check_sign(text, *si, unit->dimension); !s) return s.error();
  const auto shown = units_of(unit->dimension);
  if (shown.empty()) {
    return Error{ErrorCode::unsupported,
                 "there is nothing to convert a " + std::string(name_of(unit->dimension)) + " into",
                 "value", "Give a pressure, temperature, mass, volume, flow, length or power"};
  }
  sheet.inputs.push_back({"value", "Value", *si, unit->dimension, text, {}, {}, {}});
  if (unit->dimension == D::pressure && unit->reference == PressureReference::unstated) {
    sheet.because.push_back(
        "Taken as absolute, since the unit does not say gauge: write psig, "
        "kPa(g) or bar(g) for a gauge reading.");
  }
  Table table{"units",
              "The same in other units",
              {{"unit", "Unit", D::ratio, {}}, {"number", "Number", D::ratio, {}}},
              {}};
  for (const std::string_view name : shown) {
    const Result<Unit> other = parse_unit(name);
    if (!other) continue;
    std::string label(other->symbol);
    if (other->reference == PressureReference::gauge) label += " gauge";
    if (unit->dimension == D::pressure && other->reference != PressureReference::gauge)
      label += " absolute";
    table.rows.push_back({label, number_text(other->from_si(*si, site.barometer), 6)});
  }
  if (unit->dimension == D::pressure && *si < site.barometer) {
    const double vacuum = (site.barometer - *si) / parse_unit("inHg")->scale;
    table.rows.push_back(
        {std::string("inHg of vacuum, below the barometer"), number_text(vacuum, 5)});
  }
  sheet.tables.push_back(std::move(table));
  sheet.results.push_back({"si", "SI", *si, unit->dimension, "", {}, {}, {}});
  return Done{};
}

Status convert_ppm(const Form& form, FieldSheet& sheet) {
  double ppm = 0.0;
  const std::string text = form.text_or("--ppm", "");
  if (!read_number(trim(text), ppm)) {
    return Error{ErrorCode::parse, "\"" + text + "\" is no number of ppm", "--ppm",
                 "Give for example 140000"};
  }
  if (ppm < 0.0 || ppm > 1e6) {
    return Error{ErrorCode::out_of_range, "there are 0 to 1 000 000 parts in a million", "--ppm",
                 "Give for example 140000"};
  }
  const auto name = form.text("--refrigerant");
  if (!name) {
    return Error{ErrorCode::not_found, "the refrigerant is missing", "--refrigerant",
                 "Give it for its molar mass, for example R-410A"};
  }
  const auto refrigerant = detail::rule_refrigerant(*name);
  if (!refrigerant) return refrigerant.error();
  const double kg_per_m3 = concentration_of(ppm, refrigerant->molar_mass->value * 1e-3);
  sheet.inputs.push_back(
      figure_of("ppm", "Concentration by volume", ppm * 1e-6, D::ratio, text + " ppm"));
  sheet.results.push_back(figure_of("concentration", "Concentration by mass", kg_per_m3, D::density,
                                    "at 25 °C and 101.325 kPa", Shown{"g/m3", "lb/ft3", 2}));
  sheet.results.push_back(figure_of("pounds_in_1000_ft3", "In pounds per 1000 ft3",
                                    kg_per_m3 * 62.428, D::count, "g/m3 x 0.062428",
                                    Shown{"x", "x", 1}));
  sheet.formulas.push_back({"Concentration", "g/m3 = ppm x 1e-6 x M / 0.024465",
                            number_text(ppm, 7) + " x 1e-6 x " +
                                number_text(refrigerant->molar_mass->value, 5) + " / 0.024465",
                            fixed(kg_per_m3 * 1e3, 1) + " g/m3",
                            "M: " + refrigerant->molar_mass->source});
  return Done{};
}

}  // namespace

double concentration_of(double ppm, double molar_mass) noexcept {
  return ppm * 1e-6 * molar_mass / 0.024465;
}

double ppm_of(double kg_per_m3, double molar_mass) noexcept {
  return kg_per_m3 * 0.024465 / molar_mass * 1e6;
}

double oxygen_limit_at(Metre altitude) noexcept {
  if (altitude.value <= 1000.0) return 0.140;
  return altitude.value <= 1500.0 ? 0.112 : 0.0691;
}

std::span<const Question> convert_questions() noexcept { return questions; }

Result<FieldSheet> convert(const Form& form, UnitSystem /*units*/) {
  const Result<Site> site = read_site(form);
  if (!site) return site.error();
  FieldSheet sheet;
  sheet.procedure = "convert";
  sheet.title = "Units";
  sheet.barometer = site->barometer;
  sheet.date = form.text_or("--date", "");
  sheet.inputs.push_back(figure_of("barometer", "Barometer", site->barometer, D::pressure,
                                   site->source, Shown{"kPa(a)", "psi(a)", 2}));
  if (form.has("value") == form.has("--ppm")) {
    return Error{
        ErrorCode::not_found, "there is one value to convert, and it is missing or doubled",
        "value",
        told(form.reader, "Write coilwright convert 500um, or --ppm 140000 --refrigerant R-410A",
             "Give one value, for example 500um, or ppm and refrigerant")};
  }
  const Status done =
      form.has("--ppm") ? convert_ppm(form, sheet) : convert_value(form, *site, sheet);
  if (!done) return done.error();
  sheet.cautions = {"Gauge and absolute differ by the barometer, 101 kPa (14.7 psi) at the sea."};
  sheet.sources = {"NIST SP 811 (2008), App. B.8: conversion factors",
                   "1 micron = 0.133322 Pa (conventional millimetre of mercury)"};
  sheet.signed_by = {"Technician"};
  return sheet;
}

}  // namespace cw::field
