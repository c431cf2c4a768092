#pragma once

#include <optional>

#include "base/result.h"
#include "base/units.h"

/// Moist air as ideal gases, by the formulas of the ASHRAE Handbook of Fundamentals (2017),
/// chapter 1 [ashrae2017, Eqs. 3-36]; "Eq." below is that chapter's. Amounts of water and enthalpy
/// are per kilogram of dry air.
///
/// Range: -100..200 degC, 10..150 kPa. The formulas stay within 0.7 % of the real mixture's
/// humidity ratio, enthalpy and volume between -50 and 50 degC at sea level (ibid., "Perfect Gas
/// Relationships"). Altitude comes in through the pressure: standard_pressure_at in base/units.h
/// (Eq. 3).
///
/// All functions are thread-safe and allocate only to report an error. Nothing throws.
namespace cw::air {

/// Mass of water per mass of dry air [kg/kg].
using HumidityRatio = Scalar<struct HumidityRatioTag>;
/// Vapour pressure over saturation pressure at the same temperature, 0..1 [1]. Below the triple
/// point the saturation pressure is that over ice.
using RelativeHumidity = Scalar<struct RelativeHumidityTag>;

constexpr double lowest_temperature = zero_celsius - 100.0;   ///< [K]
constexpr double highest_temperature = zero_celsius + 200.0;  ///< [K]
constexpr double lowest_pressure = 10e3;                      ///< [Pa]
constexpr double highest_pressure = 150e3;                    ///< [Pa]

/// Saturation pressure of water vapour [Pa]: over ice up to the triple point 0.01 degC (Eq. 5),
/// over liquid water above it (Eq. 6) [hyland1983].
/// @param t  -100..200 degC
/// @error out_of_range  with the limits
Result<Pascal> saturation_pressure(Kelvin t);

/// The temperature at which the saturation pressure has this value [K]: the dew or frost point of a
/// vapour pressure. Solves Eqs. 5 and 6 to 1e-10 K.
/// @error out_of_range  below the saturation pressure at -100 degC or above that at 200 degC
Result<Kelvin> saturation_temperature(Pascal vapour_pressure);

/// What is known of the air's humidity. `humidity_ratio` and `enthalpy` are per kg of dry air.
enum class Humidity { relative, humidity_ratio, wet_bulb, dew_point, vapour_pressure, enthalpy };

/// One state of moist air. SI.
struct MoistAir {
  Kelvin dry_bulb;
  Pascal pressure;  ///< of the mixture, absolute
  HumidityRatio humidity_ratio;
  RelativeHumidity relative_humidity;
  Pascal vapour_pressure;
  Kelvin wet_bulb;                  ///< thermodynamic wet-bulb (adiabatic saturation) temperature
  std::optional<Kelvin> dew_point;  ///< absent for dry air and below -100 degC
  JoulePerKilogram enthalpy;        ///< per kg of dry air; zero for dry air at 0 degC
  double volume = 0.0;              ///< per kg of dry air [m3/kg]
  double density = 0.0;             ///< of the mixture [kg/m3]
};

/// The state of air at a dry-bulb temperature, a pressure and one measure of humidity.
///
/// Wet bulb: W = ((2501 - 2.326 t*) Ws* - 1.006 (t - t*)) / (2501 + 1.86 t - 4.186 t*) over water
/// (Eq. 33), ((2830 - 0.24 t*) Ws* - 1.006 (t - t*)) / (2830 + 1.86 t - 2.1 t*) over ice (Eq. 35);
/// the other way it is solved to 1e-10 K. Just below freezing air may have a wet bulb on either (at
/// 5 degC 0.18 over water and -0.17 degC over ice): the one over liquid water is returned.
///
/// @param dry_bulb  -100..200 degC
/// @param pressure  absolute, 10..150 kPa
/// @param value     SI: relative 0..1; humidity_ratio [kg/kg]; wet_bulb, dew_point [K];
///                  vapour_pressure [Pa]; enthalpy [J/kg dry air]
/// @error out_of_range  a value outside its range, with the limits
/// @error inconsistent  more water than the air can hold at this temperature, wet bulb or dew point
///                      above dry bulb, or a wet bulb too low for any humidity; with the limits
Result<MoistAir> moist_air(Kelvin dry_bulb, Pascal pressure, Humidity known, double value);

// The single formulas, for loops that need one number. Arguments must lie in the ranges above.

/// W = 0.621945 pw/(p - pw) (Eq. 20); pw < p.
HumidityRatio humidity_ratio_of(Pascal vapour_pressure, Pascal pressure) noexcept;
/// Eq. 20 solved for pw.
Pascal vapour_pressure_of(HumidityRatio w, Pascal pressure) noexcept;
/// h = 1006 t + W (2501000 + 1860 t), t in degC (Eq. 30).
JoulePerKilogram enthalpy_of(Kelvin dry_bulb, HumidityRatio w) noexcept;
/// v = 287.042 T (1 + 1.607858 W)/p [m3/kg dry air] (Eq. 26).
double volume_of(Kelvin dry_bulb, HumidityRatio w, Pascal pressure) noexcept;
/// The humidity ratio of a wet bulb (Eqs. 33 and 35); negative where no such air exists.
HumidityRatio humidity_ratio_at_wet_bulb(Kelvin dry_bulb, Kelvin wet_bulb,
                                         Pascal pressure) noexcept;

}  // namespace cw::air
