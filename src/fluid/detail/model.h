#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "fluid/detail/curve.h"
#include "fluid/detail/helmholtz.h"
#include "fluid/refrigerant.h"

namespace cw::fluid::detail {

/// A saturation quantity as a sum over theta = 1 - T/T_r:
///   exponential: value exp(s sum n theta^t),  polynomial: value (1 + s sum n theta^t)
/// with s = T_r/T or 1 [lemmon2003, Eq. 4 for the pressures].
struct Ancillary {
  bool exponential = true;
  bool times_tau = false;
  double temperature = 0.0;  ///< T_r [K]
  double value = 0.0;        ///< [Pa] or [mol/m3]
  struct Term {
    double n;
    double t;
  };
  std::vector<Term> terms;

  /// @param T  [K], at most T_r
  double at(double T) const noexcept;
  /// d ln(value)/dT of the exponential form [1/K]; theta > 0.
  double log_slope(double T) const noexcept;
};

/// Coexisting densities of an equation of state up to its own critical point, tabulated over
/// x = sqrt(1 - T/T_c), in which the logarithms of both are smooth. Good to some 1e-6: where the
/// solvers start, so that they need two or three steps and cannot land on a wrong root.
struct CoexistenceGuess {
  double critical_temperature = 0.0;  ///< of the equation itself [K]
  double critical_density = 0.0;      ///< [kg/m3]
  double step = 0.0;                  ///< of x
  std::vector<double> ln_liquid;      ///< [kg/m3], at 0, step, 2 step ...
  std::vector<double> ln_vapour;

  double liquid(double T) const noexcept { return value(ln_liquid, T); }
  double vapour(double T) const noexcept { return value(ln_vapour, T); }

 private:
  double value(const std::vector<double>& ln, double T) const noexcept;
};

/// Shift from the data file's integration constants to a reference state.
struct ReferenceShift {
  bool available = false;
  double h = 0.0;  ///< added to enthalpy [J/kg]
  double s = 0.0;  ///< added to entropy [J/(kg K)]
};

/// Everything that is known of one refrigerant. Filled once, then only read.
struct Model {
  std::string name;
  std::string composition;
  FluidKind kind = FluidKind::pure;
  std::string equation_source;

  double molar_mass = 0.0;            ///< [kg/mol]
  double gas_constant = 0.0;          ///< specific [J/(kg K)]
  double reducing_temperature = 0.0;  ///< [K]
  double reducing_density = 0.0;      ///< [kg/m3]
  double critical_temperature = 0.0;  ///< where the phases meet [K]
  double critical_pressure = 0.0;     ///< [Pa]
  double minimum_temperature = 0.0;   ///< [K]
  double maximum_temperature = 0.0;   ///< [K]
  double maximum_pressure = 0.0;      ///< [Pa]
  double acentric_factor = 0.0;

  Helmholtz helmholtz;

  Ancillary bubble_pressure;  ///< of pseudo-pure fluids the definition, of pure ones a guess
  Ancillary dew_pressure;     ///< pure fluids: the same as bubble_pressure
  Ancillary liquid_density;   ///< guess
  Ancillary vapour_density;   ///< guess

  CoexistenceGuess coexistence_guess;           ///< pure and pseudo-pure
  double highest_saturation_temperature = 0.0;  ///< bubble and dew lines are known up to here [K]
  double highest_state_temperature = 0.0;       ///< and the states of both phases up to here [K]
  double highest_state_pressure = 0.0;          ///< [Pa]
  Curve bubble_temperature;                     ///< T(p)
  Curve dew_temperature;

  ReferenceShift iir, ashrae, nbp;
};

/// Reads the embedded data file of a refrigerant and prepares its curves.
Result<Model> load_model(std::string_view file_name, std::string_view text);

}  // namespace cw::fluid::detail
