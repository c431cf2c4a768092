#include "base/unit_text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>

#include "base/display_digits.h"
#include "base/text.h"

namespace cw {
namespace {

// Exact definitions unless a line says otherwise: NIST SP 811 (2008) App. B.8, BIPM SI brochure.
constexpr double fahrenheit_offset = zero_celsius - 32.0 * 5.0 / 9.0;
constexpr double pound = 0.45359237;       // kg, exact
constexpr double foot = 0.3048;            // m, exact
constexpr double inch = 0.0254;            // m, exact
constexpr double psi = 6894.757293168361;  // Pa: lbf/in2 = 0.45359237 * 9.80665 / 0.0254^2
constexpr double btu = 1055.05585262;      // J, International Table, exact
constexpr double gallon = 231.0 * inch * inch * inch;  // US liquid gallon, m3, exact
constexpr double us_ounce_mass = pound / 16.0;
// mmHg and inHg: conventional values at 0 degC, SP 811 B.8 (133.3224 Pa and 3386.389 Pa).
constexpr double mm_hg = 133.322387415;
constexpr double in_hg = 25.4 * mm_hg;

struct Row {
  std::string_view symbol;  // canonical
  Dimension dimension;
  double scale;
  double offset;
  std::string_view spellings;  // further spellings, separated by '|', compared as written first
};

using D = Dimension;
constexpr std::array rows = {
    Row{"K", D::temperature, 1.0, 0.0, "kelvin|kelvins"},
    Row{"degC", D::temperature, 1.0, zero_celsius,
        "C|°C|ºC|˚C|℃|deg C|deg.C|degree C|degrees C|celsius|degree celsius|degrees "
        "celsius|DEG_C|°С"},
    Row{"degF", D::temperature, 5.0 / 9.0, fahrenheit_offset,
        "F|°F|ºF|˚F|℉|deg F|deg.F|degree F|degrees F|fahrenheit|degree fahrenheit|degrees "
        "fahrenheit|DEG_F"},
    Row{"degR", D::temperature, 5.0 / 9.0, 0.0, "R|°R|rankine"},
    Row{"delta_K", D::temperature_difference, 1.0, 0.0, "ΔK|dK|delta K|Δ°C|delta degC|delta C"},
    Row{"delta_degF", D::temperature_difference, 5.0 / 9.0, 0.0, "Δ°F|delta F|delta degF|dF"},
    Row{"Pa", D::pressure, 1.0, 0.0, "pascal|pascals|N/m2"},
    Row{"hPa", D::pressure, 100.0, 0.0, "hectopascal|hectopascals"},
    Row{"kPa", D::pressure, 1e3, 0.0, "kilopascal|kilopascals|кПа"},
    // Files without case ("MPA", "mpa") mean megapascals: nothing here reads in millipascals.
    Row{"MPa", D::pressure, 1e6, 0.0, "MPA|Mpa|mpa|megapascal|megapascals|МПа"},
    Row{"mPa", D::pressure, 1e-3, 0.0, "millipascal|millipascals"},
    Row{"bar", D::pressure, 1e5, 0.0, "bars|бар"},
    Row{"mbar", D::pressure, 1e2, 0.0, "millibar|millibars"},
    Row{"psi", D::pressure, psi, 0.0, "lb/in2|lbf/in2|lbs/in2"},
    Row{"kgf/cm2", D::pressure, 98066.5, 0.0, "kg/cm2|kgf/cm²|kg/cm²|at"},
    Row{"atm", D::pressure, standard_atmosphere, 0.0, ""},
    Row{"micron", D::pressure, mm_hg * 1e-3, 0.0, "microns|um Hg|µmHg|μmHg|umHg|mTorr|um|µm|μm"},
    Row{"mmHg", D::pressure, mm_hg, 0.0, "mm Hg|torr"},
    Row{"inHg", D::pressure, in_hg, 0.0, "in Hg|in.Hg|inches of mercury"},
    Row{"inH2O", D::pressure, 249.08891, 0.0, "in H2O|inWC|in wc|in. w.c."},
    Row{"Hz", D::frequency, 1.0, 0.0, "hertz|rps|rev/s|1/s|Гц"},
    Row{"rpm", D::frequency, 1.0 / 60.0, 0.0, "r/min|rev/min|1/min|U/min|об/мин"},
    Row{"%", D::ratio, 0.01, 0.0, "percent|pct|%RH|% RH|%rh"},
    Row{"1", D::ratio, 1.0, 0.0, "-|ratio|fraction"},
    Row{"steps", D::count, 1.0, 0.0, "step|pulse|pulses|pls|p|count|counts"},
    Row{"flag", D::flag, 1.0, 0.0, "on/off|0/1|bool|boolean|true/false|yes/no"},
    Row{"state", D::state, 1.0, 0.0, "enum|text|word"},
    Row{"W", D::power, 1.0, 0.0, "watt|watts"},
    Row{"kW", D::power, 1e3, 0.0, "kilowatt|kilowatts|кВт"},
    Row{"MW", D::power, 1e6, 0.0, ""},
    Row{"mW", D::power, 1e-3, 0.0, ""},
    Row{"Btu/h", D::power, btu / 3600.0, 0.0, "BTU/h|BTU/hr|Btu/hr|BTUH"},
    Row{"kBtu/h", D::power, btu / 3.6, 0.0, "MBH|kBTU/hr"},
    Row{"ton", D::power, 12000.0 * btu / 3600.0, 0.0, "tons|TR|tons refrigeration"},
    Row{"hp", D::power, 745.6998715822702, 0.0, "horsepower"},
    Row{"J", D::energy, 1.0, 0.0, "joule|joules"},
    Row{"kJ", D::energy, 1e3, 0.0, ""},
    Row{"MJ", D::energy, 1e6, 0.0, ""},
    Row{"mJ", D::energy, 1e-3, 0.0, ""},
    Row{"kWh", D::energy, 3.6e6, 0.0, "kW h|kilowatt hour"},
    Row{"Wh", D::energy, 3.6e3, 0.0, "W h"},
    Row{"Btu", D::energy, btu, 0.0, "BTU"},
    Row{"A", D::current, 1.0, 0.0, "amp|amps|ampere|amperes"},
    Row{"mA", D::current, 1e-3, 0.0, "milliamp"},
    Row{"V", D::voltage, 1.0, 0.0, "volt|volts|Vac|Vdc"},
    Row{"kg", D::mass, 1.0, 0.0, "kilogram|kilograms"},
    Row{"g", D::mass, 1e-3, 0.0, "gram|grams"},
    Row{"lb", D::mass, pound, 0.0, "lbs|lbm|pound|pounds"},
    Row{"oz", D::mass, us_ounce_mass, 0.0, "ounce|ounces"},
    Row{"kg/s", D::mass_flow, 1.0, 0.0, ""},
    Row{"g/s", D::mass_flow, 1e-3, 0.0, ""},
    Row{"kg/h", D::mass_flow, 1.0 / 3600.0, 0.0, "kg/hr"},
    Row{"lb/h", D::mass_flow, pound / 3600.0, 0.0, "lb/hr|lbm/h|lbm/hr"},
    Row{"lb/min", D::mass_flow, pound / 60.0, 0.0, "lbm/min"},
    Row{"m3", D::volume, 1.0, 0.0, "m³|cubic metre|cubic meter"},
    Row{"L", D::volume, 1e-3, 0.0, "l|litre|litres|liter|liters|dm3"},
    Row{"mL", D::volume, 1e-6, 0.0, "ml|cm3|cm³|cc"},
    Row{"ft3", D::volume, foot* foot* foot, 0.0, "ft³|cubic feet|cu ft|cf"},
    Row{"in3", D::volume, inch* inch* inch, 0.0, "in³|cu in"},
    Row{"gal", D::volume, gallon, 0.0, "gallon|gallons"},
    Row{"m3/s", D::volume_flow, 1.0, 0.0, "m³/s"},
    Row{"m3/h", D::volume_flow, 1.0 / 3600.0, 0.0, "m³/h|m3/hr"},
    Row{"m3/min", D::volume_flow, 1.0 / 60.0, 0.0, "m³/min"},
    Row{"L/s", D::volume_flow, 1e-3, 0.0, "l/s"},
    Row{"L/min", D::volume_flow, 1e-3 / 60.0, 0.0, "l/min|LPM"},
    Row{"cfm", D::volume_flow, foot* foot* foot / 60.0, 0.0, "CFM|ft3/min|ft³/min"},
    Row{"gpm", D::volume_flow, gallon / 60.0, 0.0, "GPM"},
    Row{"m", D::length, 1.0, 0.0, "metre|metres|meter|meters"},
    Row{"cm", D::length, 1e-2, 0.0, ""},
    Row{"mm", D::length, 1e-3, 0.0, ""},
    Row{"ft", D::length, foot, 0.0, "feet|foot"},
    Row{"in", D::length, inch, 0.0, "inch|inches"},
    Row{"m2", D::area, 1.0, 0.0, "m²|sq m"},
    Row{"ft2", D::area, foot* foot, 0.0, "ft²|sq ft|sqft"},
    Row{"s", D::time, 1.0, 0.0, "sec|secs|second|seconds"},
    Row{"min", D::time, 60.0, 0.0, "mins|minute|minutes"},
    Row{"h", D::time, 3600.0, 0.0, "hr|hrs|hour|hours"},
    Row{"d", D::time, 86400.0, 0.0, "day|days"},
    Row{"kg/m3", D::density, 1.0, 0.0, "kg/m³"},
    Row{"g/m3", D::density, 1e-3, 0.0, "g/m³"},
    Row{"lb/ft3", D::density, pound / (foot * foot * foot), 0.0, "lbm/ft3|lb/ft³"},
    Row{"m3/kg", D::specific_volume, 1.0, 0.0, "m³/kg"},
    Row{"ft3/lb", D::specific_volume, foot* foot* foot / pound, 0.0, "ft³/lb|ft3/lbm"},
    Row{"J/kg", D::specific_energy, 1.0, 0.0, ""},
    Row{"kJ/kg", D::specific_energy, 1e3, 0.0, ""},
    Row{"Btu/lb", D::specific_energy, btu / pound, 0.0, "BTU/lb|Btu/lbm|BTU/lbm"},
    Row{"J/(kg K)", D::specific_entropy, 1.0, 0.0, "J/kgK|J/(kgK)|J/kg/K|J/(kg.K)|J/(kg*K)"},
    Row{"kJ/(kg K)", D::specific_entropy, 1e3, 0.0, "kJ/kgK|kJ/(kgK)|kJ/kg/K|kJ/(kg.K)|kJ/(kg*K)"},
    Row{"Btu/(lb R)", D::specific_entropy, btu / pound * 9.0 / 5.0, 0.0,
        "Btu/(lb F)|Btu/lb/R|Btu/lb-F|Btu/lbm-R|Btu/(lb °F)"},
    Row{"m/s", D::speed, 1.0, 0.0, ""},
    Row{"ft/min", D::speed, foot / 60.0, 0.0, "fpm"},
    Row{"kg/m", D::linear_density, 1.0, 0.0, ""},
    Row{"g/m", D::linear_density, 1e-3, 0.0, ""},
    Row{"lb/ft", D::linear_density, pound / foot, 0.0, ""},
    Row{"Pa m3/s", D::leak_flow, 1.0, 0.0, "Pa·m3/s|Pa*m3/s"},
    Row{"mbar L/s", D::leak_flow, 0.1, 0.0, "mbar·L/s|mbar*L/s|mbar l/s"},
};

enum class Case { exact, folded };

bool same(std::string_view a, std::string_view b, Case rule) {
  return rule == Case::exact ? a == b : equal_ignoring_case(a, b);
}

bool names(const Row& row, std::string_view text, Case rule) {
  if (same(row.symbol, text, rule)) return true;
  std::string_view rest = row.spellings;
  while (!rest.empty()) {
    const std::size_t bar = rest.find('|');
    if (same(rest.substr(0, bar), text, rule)) return true;
    rest = bar == std::string_view::npos ? std::string_view{} : rest.substr(bar + 1);
  }
  return false;
}

/// The rows that a text names: two when only letter case tells them apart and the text has
/// neither's
/// ("mw" may be MW or mW).
struct Found {
  const Row* row = nullptr;
  const Row* other = nullptr;
};

Found find_rows(std::string_view text) {
  Found found;
  if (text.empty()) return found;
  for (const Row& row : rows) {
    if (names(row, text, Case::exact)) return {&row, nullptr};
  }
  for (const Row& row : rows) {
    if (!names(row, text, Case::folded)) continue;
    if (found.row != nullptr) {
      found.other = &row;
      break;
    }
    found.row = &row;
  }
  return found;
}

const Row* find_row(std::string_view text) {
  const Found found = find_rows(text);
  return found.other == nullptr ? found.row : nullptr;
}

Unit unit_of(const Row& row, PressureReference reference) {
  return {row.dimension, row.scale, row.offset, reference, row.symbol};
}

/// The bracket at the front closes at the back: "(kPa)", but not "(kPa)(g)".
bool is_bracketed(std::string_view text) {
  int depth = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '(' || text[i] == '[') ++depth;
    if (text[i] == ')' || text[i] == ']') --depth;
    if (depth == 0) return i > 0 && i + 1 == text.size();
  }
  return false;
}

std::string_view without_brackets(std::string_view text) {
  text = trim(text);
  while (is_bracketed(text)) text = trim(text.substr(1, text.size() - 2));
  return text;
}

/// Splits "psi(g)", "kPa abs", "bara", "[kPa](g)" into the pressure unit and its reference.
std::optional<Unit> pressure_with_reference(std::string_view text) {
  struct Suffix {
    std::string_view text;
    PressureReference reference;
  };
  constexpr auto gauge = PressureReference::gauge;
  constexpr auto absolute = PressureReference::absolute;
  constexpr std::array suffixes = {
      Suffix{"(gauge)", gauge}, Suffix{"(abs)", absolute}, Suffix{"(absolute)", absolute},
      Suffix{"(g)", gauge},     Suffix{"(a)", absolute},   Suffix{"(ü)", gauge},
      Suffix{"(Ü)", gauge},     Suffix{"ü", gauge},        Suffix{"Ü", gauge},
      Suffix{" ü", gauge},      Suffix{" Ü", gauge},       Suffix{"[g]", gauge},
      Suffix{"[a]", absolute},  Suffix{" gauge", gauge},   Suffix{" absolute", absolute},
      Suffix{" abs", absolute}, Suffix{" ga", gauge},      Suffix{"_gauge", gauge},
      Suffix{"_abs", absolute}, Suffix{"-g", gauge},       Suffix{"-a", absolute},
      Suffix{"_g", gauge},      Suffix{"_a", absolute},    Suffix{" g", gauge},
      Suffix{" a", absolute},   Suffix{"(gage)", gauge},   Suffix{" gage", gauge},
      Suffix{" rel", gauge},    Suffix{" rel.", gauge},    Suffix{"(rel)", gauge},
      Suffix{"(rel.)", gauge},  Suffix{" abs.", absolute}, Suffix{"(abs.)", absolute},
      Suffix{"abs", absolute},  Suffix{"g", gauge},        Suffix{"a", absolute}};
  for (const Suffix& suffix : suffixes) {
    if (text.size() <= suffix.text.size()) continue;
    const std::string_view tail = text.substr(text.size() - suffix.text.size());
    if (!equal_ignoring_case(tail, suffix.text)) continue;
    const Row* row = find_row(without_brackets(text.substr(0, text.size() - suffix.text.size())));
    if (row != nullptr && row->dimension == D::pressure) return unit_of(*row, suffix.reference);
  }
  return std::nullopt;
}

int digits_for(Dimension dimension, UnitSystem system) {
  switch (dimension) {
    case D::temperature:
    case D::temperature_difference:
    case D::frequency:
      return 1;
    case D::pressure:
    case D::pressure_difference:
      return system == UnitSystem::si ? 0 : 1;
    case D::count:
    case D::flag:
    case D::state:
    case D::ratio:
      return 0;
    case D::power:
      return system == UnitSystem::si ? 2 : 0;
    case D::specific_entropy:
      return 4;
    case D::specific_volume:
    case D::length:
    case D::area:
    case D::mass:
    case D::mass_flow:
      return 3;
    case D::leak_flow:
      return 6;
    default:
      return 2;
  }
}

struct DisplayRow {
  Dimension dimension;
  std::string_view si, ip;            // unit to convert with
  std::string_view si_text, ip_text;  // what people read
};

constexpr std::array display_rows = {
    DisplayRow{D::temperature, "degC", "degF", "°C", "°F"},
    DisplayRow{D::temperature_difference, "delta_K", "delta_degF", "K", "°F"},
    DisplayRow{D::pressure, "kPa", "psi", "kPa(a)", "psi(a)"},
    DisplayRow{D::pressure_difference, "kPa", "psi", "kPa", "psi"},
    DisplayRow{D::frequency, "Hz", "Hz", "Hz", "Hz"},
    DisplayRow{D::ratio, "%", "%", "%", "%"},
    DisplayRow{D::count, "steps", "steps", "", ""},
    DisplayRow{D::flag, "flag", "flag", "", ""},
    DisplayRow{D::state, "state", "state", "", ""},
    DisplayRow{D::power, "kW", "Btu/h", "kW", "Btu/h"},
    DisplayRow{D::energy, "kWh", "kWh", "kWh", "kWh"},
    DisplayRow{D::current, "A", "A", "A", "A"},
    DisplayRow{D::voltage, "V", "V", "V", "V"},
    DisplayRow{D::mass, "kg", "lb", "kg", "lb"},
    DisplayRow{D::mass_flow, "kg/s", "lb/min", "kg/s", "lb/min"},
    DisplayRow{D::volume, "L", "ft3", "L", "ft3"},
    DisplayRow{D::volume_flow, "m3/h", "cfm", "m3/h", "cfm"},
    DisplayRow{D::length, "m", "ft", "m", "ft"},
    DisplayRow{D::area, "m2", "ft2", "m2", "ft2"},
    DisplayRow{D::time, "min", "min", "min", "min"},
    DisplayRow{D::density, "kg/m3", "lb/ft3", "kg/m3", "lb/ft3"},
    DisplayRow{D::specific_volume, "m3/kg", "ft3/lb", "m3/kg", "ft3/lb"},
    DisplayRow{D::specific_energy, "kJ/kg", "Btu/lb", "kJ/kg", "Btu/lb"},
    DisplayRow{D::specific_entropy, "kJ/(kg K)", "Btu/(lb R)", "kJ/(kg K)", "Btu/(lb °F)"},
    DisplayRow{D::speed, "m/s", "ft/min", "m/s", "ft/min"},
    DisplayRow{D::linear_density, "kg/m", "lb/ft", "kg/m", "lb/ft"},
    DisplayRow{D::leak_flow, "Pa m3/s", "Pa m3/s", "Pa m3/s", "Pa m3/s"},
};

const DisplayRow& display_row(Dimension dimension) {
  for (const DisplayRow& row : display_rows) {
    if (row.dimension == dimension) return row;
  }
  return display_rows.back();
}

}  // namespace

std::optional<Unit> Unit::as(Dimension wanted) const noexcept {
  if (wanted == dimension) return *this;
  Unit out = *this;
  out.dimension = wanted;
  if (dimension == D::temperature && wanted == D::temperature_difference) {
    out.offset = 0.0;
    return out;
  }
  if (dimension == D::pressure && wanted == D::pressure_difference) {
    out.reference = PressureReference::absolute;  // a difference has no zero to add
    return out;
  }
  // A plain number stands for a count or a flag as well; a percentage does not.
  if (dimension == D::ratio && scale == 1.0 && (wanted == D::count || wanted == D::flag))
    return out;
  if (dimension == D::count && wanted == D::flag) return out;
  return std::nullopt;
}

double Unit::to_si(double value, double barometric_pressure) const noexcept {
  const double si = scale * value + offset;
  return reference == PressureReference::gauge ? si + barometric_pressure : si;
}

double Unit::from_si(double si, double barometric_pressure) const noexcept {
  const double zeroed = reference == PressureReference::gauge ? si - barometric_pressure : si;
  return (zeroed - offset) / scale;
}

Result<Unit> parse_unit(std::string_view text) {
  const std::string_view name = without_brackets(text);
  const Found found = find_rows(name);
  if (found.other != nullptr) {
    return Error{ErrorCode::unit,
                 "unit \"" + std::string(trim(text)) + "\" may be " +
                     std::string(found.row->symbol) + " or " + std::string(found.other->symbol),
                 "", "Write it in the letter case of the one that is meant"};
  }
  if (found.row != nullptr) return unit_of(*found.row, PressureReference::unstated);
  if (const std::optional<Unit> unit = pressure_with_reference(name)) return *unit;
  return Error{ErrorCode::unit, "unknown unit \"" + std::string(trim(text)) + "\"", "",
               "Write a unit such as degC, degF, kPa(g), psi(g), bar(a), Hz, % or kW"};
}

Result<double> parse_quantity(std::string_view text, Dimension wanted, double barometric_pressure) {
  const std::string_view trimmed = trim(text);
  const bool plus = !trimmed.empty() && trimmed.front() == '+';
  std::string_view digits = plus ? trimmed.substr(1) : trimmed;
  if (plus && !digits.empty() && digits.front() == '-') digits = {};  // "+-5" is no number
  double number = 0.0;
  const auto [end, status] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (status != std::errc{} || !std::isfinite(number)) {
    return Error{ErrorCode::parse, "\"" + std::string(trimmed) + "\" does not start with a number",
                 "", "Write a number and its unit, for example 120F or 4.15MPa(g)"};
  }
  const std::string_view rest = trim(digits.substr(static_cast<std::size_t>(end - digits.data())));
  if (rest.empty()) {
    if (wanted == D::ratio || wanted == D::count || wanted == D::flag) return number;
    return Error{ErrorCode::unit, "\"" + std::string(trimmed) + "\" has no unit", "",
                 "Write the unit behind the number, for example " + std::string(trimmed) +
                     std::string(display_row(wanted).si)};
  }
  const Result<Unit> unit = parse_unit(rest);
  if (!unit) return unit.error();
  const std::optional<Unit> fitting = unit->as(wanted);
  if (!fitting) {
    return Error{ErrorCode::unit,
                 "\"" + std::string(trimmed) + "\" is a " + std::string(name_of(unit->dimension)) +
                     ", but a " + std::string(name_of(wanted)) + " is needed",
                 "", "Use a unit such as " + std::string(display_row(wanted).si)};
  }
  return fitting->to_si(number, barometric_pressure);
}

Unit display_unit(Dimension dimension, UnitSystem system) noexcept {
  const DisplayRow& row = display_row(dimension);
  const Row* unit = find_row(system == UnitSystem::si ? row.si : row.ip);
  Unit out = unit_of(*unit, PressureReference::absolute);
  out.dimension = dimension;
  return out;
}

namespace {

/// "128000" with narrow spaces that do not break between groups of three digits, from five digits
/// in front of the point on: neither comma nor point, which mean different things in different
/// places (SI brochure, 9th edition, 5.4.4).
void part_in_groups(std::string& number) {
  const std::size_t first = number.front() == '-' ? 1 : 0;
  std::size_t at = std::min(number.find('.'), number.size());
  if (at - first < 5) return;
  while (at > first + 3) number.insert(at -= 3, "\u202f");
}

}  // namespace

std::string format_si_number(double si, Dimension dimension, UnitSystem system) {
  if (std::isnan(si)) return "n/a";  // a missing value; the sign bit of a NaN says nothing
  const int digits = digits_for(dimension, system);
  const double shown = display_unit(dimension, system).from_si(si);
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, shown);
  // "-0.0" says nothing more than "0.0".
  std::string out = buffer;
  if (out.front() == '-' && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  part_in_groups(out);
  return out;
}

std::string_view display_symbol(Dimension dimension, UnitSystem system) noexcept {
  const DisplayRow& row = display_row(dimension);
  return system == UnitSystem::si ? row.si_text : row.ip_text;
}

std::string format_si(double si, Dimension dimension, UnitSystem system) {
  std::string out = format_si_number(si, dimension, system);
  if (std::isnan(si)) return out;
  const std::string_view symbol = display_symbol(dimension, system);
  if (!symbol.empty()) {
    out += " ";
    out += symbol;
  }
  return out;
}

int display_digits(Dimension dimension, UnitSystem system) noexcept {
  return digits_for(dimension, system);
}

}  // namespace cw
