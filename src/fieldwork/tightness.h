#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

/// Tightness test with nitrogen at constant volume.
namespace cw::field {

/// Pressure that nitrogen reaches when it is brought from one temperature to another at constant
/// density: p2 = rho(p1, T1) R T2 Z(T2, rho), by the equation of state of Span et al.
/// [span2000]. Within 0.5 kPa of facts/nitrogen_isochoric.csv (tightness_test.cc).
/// @param p1  absolute [Pa], up to 20 MPa
/// @param t1, t2  [K], 200..400 K
/// @error out_of_range  outside the equation
Result<Pascal> nitrogen_at(Pascal p1, Kelvin t1, Kelvin t2);

/// The same by the ideal-gas law, p1 T2/T1: to show what it misses.
Pascal ideal_gas_at(Pascal p1, Kelvin t1, Kelvin t2) noexcept;

/// dp/dT at constant density [Pa/K], by the equation of state.
Result<double> nitrogen_slope(Pascal p, Kelvin t);

/// What a leak of nitrogen means in refrigerant.
struct LeakEquivalent {
  double throughput = 0.0;            ///< p dV/dt of nitrogen at the test temperature [Pa m3/s]
  double nitrogen = 0.0;              ///< [kg/s]
  double refrigerant_low = 0.0;       ///< [kg/s], the smaller of the two flow laws
  double refrigerant_high = 0.0;      ///< [kg/s], the larger
  double refrigerant_pressure = 0.0;  ///< that drives the refrigerant out: absolute [Pa]
};

/// Scales a nitrogen leak at test pressure to refrigerant vapour at its saturation pressure.
///
/// Two laws bound what a real hole does: laminar flow through a long, fine crack,
/// m ~ M (p^2 - pa^2)/(mu R T), and choked flow through a sharp hole, m ~ p sqrt(M/(R T)).
/// @param loss  rate of pressure loss at constant temperature [Pa/s]
/// @param p     absolute test pressure [Pa], above the barometer
/// @param t_refrigerant  temperature of the refrigerant when in service [K]
/// @error not_found  unknown refrigerant; out_of_range  above its critical point
Result<LeakEquivalent> leak_equivalent(double loss, Pascal p, Kelvin t, CubicMetre volume,
                                       Pascal barometer, std::string_view refrigerant,
                                       Kelvin t_refrigerant);

enum class TightnessVerdict { tight, losing, cannot_tell };
/// "tight within what this test can see", "losing", "cannot tell".
std::string_view words_of(TightnessVerdict verdict) noexcept;

/// What a test by two readings consists of. SI, pressures absolute.
struct TightnessReadings {
  Pascal start_pressure, end_pressure;
  bool gauge = true;                       ///< read on a gauge: the barometer comes in
  std::vector<Kelvin> start_temperatures;  ///< one or several points
  std::vector<Kelvin> end_temperatures;    ///< the same points in the same order
  Pascal start_barometer{standard_atmosphere};
  Pascal end_barometer{standard_atmosphere};
  double seconds = 0.0;
  CubicMetre volume;
  double u_pressure = 0.0;     ///< standard uncertainty of one pressure reading [Pa]
  double u_temperature = 0.0;  ///< of the change of the gas temperature [K]
  double u_barometer = 0.0;    ///< of the change of the barometer [Pa]
  std::string refrigerant = "R-410A";
  Kelvin refrigerant_temperature{298.15};
  std::optional<double> must_see;  ///< refrigerant leak that the test has to be able to see [kg/s]
};

/// r = p_end - p_predicted, with u(r)^2 = 2 u(p)^2 + (dp/dT u(dT))^2 + u(b)^2 + u(V)^2.
struct TightnessResult {
  double start_temperature = 0.0, end_temperature = 0.0;  ///< mean over the points [K]
  double density = 0.0;                                   ///< of the nitrogen [kg/m3]
  double z_start = 0.0, z_end = 0.0;                      ///< compressibility factors
  double predicted = 0.0;                                 ///< end pressure, absolute [Pa]
  double predicted_ideal = 0.0;                           ///< by the ideal-gas law [Pa]
  double residual = 0.0;                                  ///< measured minus predicted [Pa]
  double slope = 0.0;                                     ///< dp/dT [Pa/K]
  double u_pressure = 0.0, u_temperature = 0.0, u_points = 0.0, u_barometer = 0.0,
         u_volume = 0.0;    ///< the terms of u(r), each [Pa]
  double u = 0.0;           ///< standard uncertainty of the residual [Pa]
  double expanded = 0.0;    ///< 2 u, about 95 % [Pa]
  LeakEquivalent measured;  ///< of the residual as it stands (0 when the pressure rose)
  LeakEquivalent unseen;    ///< of the expanded uncertainty: what the test could not have seen
  TightnessVerdict verdict = TightnessVerdict::cannot_tell;
  std::string because;
};

/// Judges a test by two readings: |r| <= 2u tight within what this test can see, r < -2u losing,
/// otherwise cannot tell.
/// @error invalid_argument, inconsistent, out_of_range for readings that no test can give
Result<TightnessResult> judge_tightness(const TightnessReadings& readings);

std::span<const Question> tightness_questions() noexcept;

/// The whole procedure: two readings, a logged series (`--log`) or a step plan (`--plan`).
/// @error each refusal with its option and how to mend it
Result<FieldSheet> tightness(const Form& form, UnitSystem units);

}  // namespace cw::field
