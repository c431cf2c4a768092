#pragma once

#include <compare>

namespace cw {

/// Strong types for module boundaries; kernels use bare SI doubles. Each holds one SI double and
/// converts only by name, so that a gauge pressure or a Celsius reading cannot slip in unseen.
template <class Tag>
struct Scalar {
  double value = 0.0;  ///< SI

  friend constexpr auto operator<=>(Scalar, Scalar) = default;
};

using Kelvin = Scalar<struct KelvinTag>;            ///< thermodynamic temperature [K]
using KelvinDelta = Scalar<struct KelvinDeltaTag>;  ///< temperature difference [K]
using Pascal = Scalar<struct PascalTag>;            ///< absolute pressure [Pa]
using PascalDelta = Scalar<struct PascalDeltaTag>;  ///< pressure difference or gauge reading [Pa]
using Metre = Scalar<struct MetreTag>;              ///< length, altitude [m]
using Kilogram = Scalar<struct KilogramTag>;        ///< mass [kg]
using CubicMetre = Scalar<struct CubicMetreTag>;    ///< volume [m3]
using JoulePerKilogram = Scalar<struct JoulePerKilogramTag>;  ///< specific enthalpy [J/kg]

constexpr KelvinDelta operator-(Kelvin a, Kelvin b) { return {a.value - b.value}; }
constexpr Kelvin operator+(Kelvin a, KelvinDelta b) { return {a.value + b.value}; }
constexpr Kelvin operator-(Kelvin a, KelvinDelta b) { return {a.value - b.value}; }
constexpr PascalDelta operator-(Pascal a, Pascal b) { return {a.value - b.value}; }
constexpr Pascal operator+(Pascal a, PascalDelta b) { return {a.value + b.value}; }

/// Zero of the Celsius scale [K], exact by definition (SI brochure, 9th ed., 2.3.1).
inline constexpr double zero_celsius = 273.15;
/// Standard atmosphere [Pa], exact by definition (10th CGPM, 1954).
inline constexpr double standard_atmosphere = 101325.0;

constexpr Kelvin from_celsius(double t_degC) { return {t_degC + zero_celsius}; }
constexpr double to_celsius(Kelvin t) { return t.value - zero_celsius; }

/// Standard atmospheric pressure at an altitude [Pa]; ICAO troposphere in the form that the ASHRAE
/// Handbook prints, p = 101325 (1 - 2.25577e-5 z)^5.2559 (Fundamentals ch. 1, Eq. 3).
/// @param altitude -5000..11000 m; outside it the formula is not defined and the result is clamped.
Pascal standard_pressure_at(Metre altitude);

}  // namespace cw
