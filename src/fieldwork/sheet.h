#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/dimension.h"
#include "base/unit_text.h"

namespace cw::field {

/// How people read a number where the display system's unit does not serve (microns, g/yr, MPa(g)).
struct Shown {
  std::string_view si_unit;  ///< empty: the display system's unit and digits
  std::string_view ip_unit;
  int digits = 0;  ///< after the point
};

/// One number of a sheet. SI; what people see is made from it in one place.
struct Figure {
  std::string key;    ///< as JSON carries it
  std::string label;  ///< for people
  double value = 0.0;
  Dimension dimension = Dimension::ratio;
  std::string source;  ///< where it comes from: "as entered", an edition, "from memory: ..."
  Shown shown;
  std::optional<double> low;   ///< 95 % interval, where there is one
  std::optional<double> high;  ///< infinite when the readings set no bound
  std::string word{};          ///< instead of a number: "yes", "R-410A"
  std::string si_unit{};       ///< as JSON names it, where it is not the dimension's ("Pa/K")
};

/// A figure without an interval; `shown` empty means the display system's unit.
Figure figure_of(std::string key, std::string label, double value, Dimension dimension,
                 std::string source, Shown shown = {});
/// A figure that is a word.
Figure word_of(std::string key, std::string label, std::string word, std::string source);
/// The figure with its 95 % interval.
Figure with_interval(Figure figure, double low, double high);

/// A formula, the same with the numbers put in, and what comes out: to be checked by hand.
struct Formula {
  std::string what;     ///< "Predicted end pressure"
  std::string symbols;  ///< "p2 = rho Z R T2"
  std::string numbers;  ///< the same with numbers and units
  std::string result;   ///< "3915 kPa(g)"
  std::string source;   ///< equation and edition
};

/// A table; each cell is a number in SI (shown by its column) or a text.
struct Table {
  struct Column {
    std::string key, label;
    Dimension dimension = Dimension::ratio;
    Shown shown;
  };
  using Cell = std::variant<double, std::string>;
  std::string key, title;
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows;  ///< each with one cell a column
};

/// The result of a procedure: text, JSON and paper are written from it, and from nothing else.
struct FieldSheet {
  std::string procedure;             ///< the command's name: "tightness"
  std::string title;                 ///< "Tightness test with nitrogen"
  std::string verdict;               ///< the procedure's own words; empty when it only computes
  bool alarm = false;                ///< the verdict asks for action
  std::vector<std::string> because;  ///< sentences under the verdict
  double barometer = standard_atmosphere;  ///< for figures shown in gauge pressure [Pa]
  std::vector<Figure> inputs;
  std::vector<Figure> results;
  std::vector<Formula> formulas;
  std::vector<Table> tables;
  std::vector<std::string> next;      ///< what to do now
  std::vector<std::string> limits;    ///< what this cannot show
  std::vector<std::string> cautions;  ///< facts section M, own words
  std::vector<std::string> sources;
  std::vector<std::string> signed_by;  ///< lines left blank on paper: "Technician"
  std::string date;                    ///< ISO day of the work; empty when not stated

  const Figure* result(std::string_view key) const;
  /// The value of a result; nan when there is none.
  double value_of(std::string_view key) const;
};

/// "3915 kPa(g)" as a figure or cell is shown to people; "n/a" for nan.
std::string shown_text(double si, Dimension dimension, const Shown& shown, UnitSystem units,
                       double barometer);
std::string shown_text(const Figure& figure, UnitSystem units, double barometer);
/// The number alone and the unit alone, for table cells and heads.
std::string shown_number(double si, Dimension dimension, const Shown& shown, UnitSystem units,
                         double barometer);
std::string shown_unit(Dimension dimension, const Shown& shown, UnitSystem units);

/// Numbers in formulas, in the person's units.
class Writer {
 public:
  Writer(UnitSystem units, double barometer) : units_(units), barometer_(barometer) {}
  UnitSystem units() const noexcept { return units_; }
  std::string absolute(double pa) const;        ///< "4251.3 kPa(a)"
  std::string gauge(double pa) const;           ///< "4150.0 kPa(g)"
  std::string difference(double pa) const;      ///< "42.3 kPa"
  std::string kelvin(double k) const;           ///< "298.15 K" or "536.67 °R"
  std::string celsius(double k) const;          ///< "25.0 °C" or "77.0 °F"
  std::string step(double k) const;             ///< "1.0 K" or "1.8 °F"
  std::string mass(double kg) const;            ///< "22.81 kg" or "50.29 lb (50 lb 4.6 oz)"
  std::string volume(double m3) const;          ///< "60.00 L" or "2.119 ft3"
  std::string per_year(double kg_per_s) const;  ///< "345 g/yr" or "12.2 oz/yr"
  std::string micron(double pa) const;          ///< "500 micron (66.7 Pa)"

 private:
  UnitSystem units_;
  double barometer_;
};

/// "50 lb 4.6 oz".
std::string pounds_and_ounces(double kg);
/// A number with so many digits after the point.
std::string fixed(double value, int digits);

inline constexpr double seconds_per_year = 365.0 * 86400.0;

// Cautions and the closing line, in our own words (facts section M).
std::vector<std::string> nitrogen_cautions();
std::vector<std::string> vacuum_cautions();
std::vector<std::string> refrigerant_cautions(bool flammable);
/// "A computed pass is not an approval: ..."
std::string who_decides();

}  // namespace cw::field
