#include "fieldwork/sheet.h"

#include <cmath>
#include <cstdio>

namespace cw::field {
namespace {

/// Units that only sheets use, per SI unit, beside those of base.
struct OwnUnit {
  std::string_view name, text;
  double per_si;
};
constexpr double ounce = 0.45359237 / 16.0;
constexpr OwnUnit own_units[] = {
    {"g/yr", "g/yr", 1e3 * seconds_per_year},
    {"kg/yr", "kg/yr", seconds_per_year},
    {"oz/yr", "oz/yr", seconds_per_year / ounce},
    {"g/day", "g/day", 1e3 * 86400.0},
    {"micron/min", "micron/min", 60.0 / 0.133322387415},
    {"kPa/K", "kPa/K", 1e-3},
    {"psi/F", "psi/°F", 1.0 / 6894.757293168361 * 5.0 / 9.0},
    {"kPa/day", "kPa/day", 86.4},
    {"psi/day", "psi/day", 86400.0 / 6894.757293168361},
    {"t", "t CO2e", 1e-3},
    {"%/yr", "%/yr", 100.0},
    {"days", "days", 1.0 / 86400.0},
    {"hours", "h", 1.0 / 3600.0},
    {"L/m", "L/m", 1e3},
    {"L", "L", 1e3},
    {"kg", "kg", 1.0},
    {"x", "", 1.0},  // a plain ratio or count
};

const OwnUnit* own_unit(std::string_view name) {
  for (const OwnUnit& unit : own_units) {
    if (unit.name == name) return &unit;
  }
  return nullptr;
}

std::string with(double value, int digits, std::string_view unit) {
  return fixed(value, digits) + " " + std::string(unit);
}

constexpr double psi = 6894.757293168361;

}  // namespace

std::string fixed(double value, int digits) {
  if (std::isnan(value)) return "n/a";
  if (std::isinf(value)) return value > 0.0 ? "no bound" : "-no bound";
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, value);
  std::string out = buffer;
  if (out.front() == '-' && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  return out;
}

std::string shown_number(double si, Dimension dimension, const Shown& shown, UnitSystem units,
                         double barometer) {
  const std::string_view unit = units == UnitSystem::si ? shown.si_unit : shown.ip_unit;
  if (std::isinf(si)) return fixed(si, 0);
  if (shown.si_unit.empty()) return format_si_number(si, dimension, units);
  if (const OwnUnit* own = own_unit(unit)) return fixed(si * own->per_si, shown.digits);
  const Result<Unit> known = parse_unit(unit);
  if (!known) return fixed(si, shown.digits);
  return fixed(known->from_si(si, barometer), shown.digits);
}

std::string shown_unit(Dimension dimension, const Shown& shown, UnitSystem units) {
  if (shown.si_unit.empty()) return std::string(display_symbol(dimension, units));
  const std::string_view unit = units == UnitSystem::si ? shown.si_unit : shown.ip_unit;
  if (const OwnUnit* own = own_unit(unit)) return std::string(own->text);
  if (unit == "degC") return "°C";
  if (unit == "degF") return "°F";
  // How a difference is typed is no way to print it: a reader would take it for another unit.
  if (unit == "delta_K") return "K";
  if (unit == "delta_degF") return "°F";
  return std::string(unit);
}

std::string shown_text(double si, Dimension dimension, const Shown& shown, UnitSystem units,
                       double barometer) {
  std::string out = shown_number(si, dimension, shown, units, barometer);
  const std::string unit = shown_unit(dimension, shown, units);
  if (!std::isfinite(si) || unit.empty()) return out;
  return out + " " + unit;
}

std::string shown_text(const Figure& figure, UnitSystem units, double barometer) {
  if (!figure.word.empty()) return figure.word;
  return shown_text(figure.value, figure.dimension, figure.shown, units, barometer);
}

Figure figure_of(std::string key, std::string label, double value, Dimension dimension,
                 std::string source, Shown shown) {
  return {std::move(key), std::move(label), value, dimension, std::move(source), shown, {}, {}};
}

Figure word_of(std::string key, std::string label, std::string word, std::string source) {
  Figure out =
      figure_of(std::move(key), std::move(label), 0.0, Dimension::ratio, std::move(source));
  out.word = std::move(word);
  return out;
}

Figure with_interval(Figure figure, double low, double high) {
  figure.low = low;
  figure.high = high;
  return figure;
}

const Figure* FieldSheet::result(std::string_view key) const {
  for (const Figure& figure : results) {
    if (figure.key == key) return &figure;
  }
  return nullptr;
}

double FieldSheet::value_of(std::string_view key) const {
  const Figure* figure = result(key);
  return figure == nullptr ? std::nan("") : figure->value;
}

std::string Writer::absolute(double pa) const {
  return units_ == UnitSystem::si ? with(pa / 1e3, 1, "kPa(a)") : with(pa / psi, 2, "psi(a)");
}
std::string Writer::gauge(double pa) const {
  const double gauge = pa - barometer_;
  return units_ == UnitSystem::si ? with(gauge / 1e3, 1, "kPa(g)") : with(gauge / psi, 1, "psi(g)");
}
std::string Writer::difference(double pa) const {
  return units_ == UnitSystem::si ? with(pa / 1e3, 1, "kPa") : with(pa / psi, 2, "psi");
}
std::string Writer::kelvin(double k) const {
  return units_ == UnitSystem::si ? with(k, 2, "K") : with(k * 1.8, 2, "°R");
}
std::string Writer::celsius(double k) const {
  return units_ == UnitSystem::si ? with(k - zero_celsius, 1, "°C")
                                  : with((k - zero_celsius) * 1.8 + 32.0, 1, "°F");
}
std::string Writer::step(double k) const {
  return units_ == UnitSystem::si ? with(k, 2, "K") : with(k * 1.8, 2, "°F");
}
std::string Writer::mass(double kg) const {
  return units_ == UnitSystem::si
             ? with(kg, 2, "kg")
             : with(kg / 0.45359237, 2, "lb") + " (" + pounds_and_ounces(kg) + ")";
}
std::string Writer::volume(double m3) const {
  return units_ == UnitSystem::si ? with(m3 * 1e3, 2, "L") : with(m3 / 0.028316846592, 3, "ft3");
}
std::string Writer::per_year(double kg_per_s) const {
  const double kg = kg_per_s * seconds_per_year;
  if (units_ == UnitSystem::ip) {
    return kg < 0.45359237 ? with(kg / ounce, 1, "oz/yr") : with(kg / 0.45359237, 1, "lb/yr");
  }
  return kg < 1.0 ? with(kg * 1e3, 0, "g/yr")
                  : with(kg * 1e3, 0, "g/yr") + " (" + fixed(kg, 1) + " kg/yr)";
}
std::string Writer::micron(double pa) const {
  return with(pa / 0.133322387415, 0, "micron") + " (" + fixed(pa, 1) + " Pa)";
}

std::string pounds_and_ounces(double kg) {
  // Tenths of an ounce as a whole number, so that 15.96 oz does not print as "16.0 oz".
  const long tenths = std::lround(std::abs(kg) / ounce * 10.0);
  return (kg < 0.0 ? "-" : "") + std::to_string(tenths / 160) + " lb " +
         fixed(static_cast<double>(tenths % 160) / 10.0, 1) + " oz";
}

std::vector<std::string> nitrogen_cautions() {
  return {
      "Dry, oxygen-free nitrogen only, through a regulator with a relief device and a gauge. Never "
      "oxygen: with oil it explodes. Never air.",
      "Raise the pressure in steps and clear people away before each. Never go above the rating of "
      "the weakest part that is connected.",
      "Nitrogen displaces air and gives no warning: ventilate where it is let off.",
  };
}

std::vector<std::string> vacuum_cautions() {
  return {
      "Never run a compressor on a system under vacuum, and never measure its winding insulation "
      "there with high voltage.",
      "Lock out before opening covers; wait until inverter capacitors have discharged and prove "
      "it.",
      "Before a vacuum, refrigerant is recovered, never vented, by people certified for it.",
  };
}

std::vector<std::string> refrigerant_cautions(bool flammable) {
  std::vector<std::string> out = {
      "Recover, never vent; only people certified for it.",
      "Liquid refrigerant freezes skin and eyes; a flame or a red-hot surface turns it into acids.",
      "Refrigerant displaces air: ventilate, and do not work alone in a pit or a small plant room.",
  };
  if (flammable) {
    out.push_back(
        "This refrigerant burns: no ignition sources, tools and detector rated for it, ventilate, "
        "and recover and purge with nitrogen before any brazing.");
  }
  return out;
}

std::string who_decides() {
  return "A computed pass is not an approval. The nameplate, the equipment's documents, the "
         "adopted "
         "edition of the code, licensed practice and the authority on site have the last word.";
}

}  // namespace cw::field
