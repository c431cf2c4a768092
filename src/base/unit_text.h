#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/dimension.h"
#include "base/result.h"
#include "base/units.h"

namespace cw {

/// What a pressure unit says of its zero. Text such as "kPa" says nothing; "kPa(g)" and "psig" do.
enum class PressureReference { unstated, absolute, gauge };

/// A unit as people write it: SI value = scale * value + offset, plus the barometric pressure where
/// the reference is gauge.
struct Unit {
  Dimension dimension = Dimension::ratio;
  double scale = 1.0;   ///< SI per unit
  double offset = 0.0;  ///< SI, only temperatures have one
  PressureReference reference = PressureReference::unstated;
  std::string_view symbol;  ///< canonical spelling, static storage ("degC", "kPa")

  /// This unit used for `wanted`: a temperature unit measures a difference without its offset, a
  /// pressure unit a pressure difference. Empty when the dimensions do not fit.
  std::optional<Unit> as(Dimension wanted) const noexcept;

  /// @param barometric_pressure added to gauge readings [Pa]
  double to_si(double value, double barometric_pressure = standard_atmosphere) const noexcept;
  double from_si(double si, double barometric_pressure = standard_atmosphere) const noexcept;
};

/// Reads a unit from text: "degC", "°F", "psi(g)", "kPa abs", "bar(g)", "%", "Hz", "kg/m3".
/// Brackets around it and blanks are passed over; letter case decides only where two units differ
/// by it alone (MPa and mPa, MW and mW).
/// @error unit  the text names no known unit; the message carries the text
/// Thread-safe; allocates.
Result<Unit> parse_unit(std::string_view text);

/// Reads "120F", "4.15 MPa(g)", "-40C", "60L" as an SI number of the wanted dimension.
/// A number without a unit is refused, except for ratio, count and flag.
/// @param barometric_pressure turns gauge readings absolute [Pa]
/// @error parse  no number in front; @error unit  no unit, an unknown one or one of another
/// dimension
Result<double> parse_quantity(std::string_view text, Dimension wanted,
                              double barometric_pressure = standard_atmosphere);

/// The two display systems.
enum class UnitSystem { si, ip };

/// The unit in which people read a dimension: degC or degF, kPa or psi, kW or Btu/h.
Unit display_unit(Dimension dimension, UnitSystem system) noexcept;

/// Text for people with unit: "49.0 °C", "120.2 °F", "2750 kPa". Digits after the point are chosen
/// by dimension; -0 never appears.
std::string format_si(double si, Dimension dimension, UnitSystem system);

/// The number alone, as format_si prints it.
std::string format_si_number(double si, Dimension dimension, UnitSystem system);

/// The display unit's symbol for people ("°C", "kPa", "%"; empty for counts).
std::string_view display_symbol(Dimension dimension, UnitSystem system) noexcept;

}  // namespace cw
