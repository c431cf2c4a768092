#pragma once

#include "base/result.h"
#include "base/units.h"
#include "fluid/refrigerant.h"

/// Saturation lines of a refrigerant.
///
/// Pure fluids: equal pressure and Gibbs energy of both phases (Maxwell), so bubble and dew
/// coincide. Pseudo-pure fluids: the published bubble and dew pressure equations *are* the
/// saturation lines [lemmon2003, Eq. 4]. Mixtures: bubble point (vapour composition unknown) and
/// dew point (liquid composition unknown) of the equation of state.
///
/// All functions are thread-safe. Those that return a Result allocate only in the error case.
namespace cw::fluid {

/// Bubble-point temperature (saturated liquid) [K].
/// @param p  absolute pressure [Pa]
/// @error out_of_range  below the lowest or above the critical pressure; the message has the limits
Result<Kelvin> bubble_temperature(const Refrigerant& refrigerant, Pascal p);

/// Dew-point temperature (saturated vapour) [K]. As bubble_temperature.
Result<Kelvin> dew_temperature(const Refrigerant& refrigerant, Pascal p);

/// Bubble-point pressure (saturated liquid) [Pa, absolute].
/// @param t  temperature [K]
/// @error out_of_range  below the lowest or above the critical temperature
Result<Pascal> bubble_pressure(const Refrigerant& refrigerant, Kelvin t);

/// Dew-point pressure (saturated vapour) [Pa, absolute]. As bubble_pressure.
Result<Pascal> dew_pressure(const Refrigerant& refrigerant, Kelvin t);

/// Saturation temperatures for millions of samples: piecewise polynomials of degree 6 over the
/// pressure, 16 cells an octave, fitted to the functions above. Within 1e-6 K of them up to 0.95
/// of the critical pressure and within 2.5e-3 K up to it, where the published curves of pseudo-pure
/// fluids have no second derivative (proved in saturation_test.cc); some nanoseconds a call.
/// @param p  absolute pressure [Pa], any double
/// @returns  temperature [K]; nan outside the range of the functions above and for nan
/// Does not allocate, lock or throw.
double bubble_temperature_or_nan(const Refrigerant& refrigerant, double p) noexcept;
double dew_temperature_or_nan(const Refrigerant& refrigerant, double p) noexcept;

/// The pressures between which the saturation temperatures are defined [Pa].
struct PressureRange {
  double lowest = 0.0;
  double highest = 0.0;
};
PressureRange saturation_range(const Refrigerant& refrigerant) noexcept;

}  // namespace cw::fluid
