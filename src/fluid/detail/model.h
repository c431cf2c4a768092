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

/// Everything that is known of one refrigerant. Filled once, then only read.
struct Model {
  std::string name;
  std::string composition;
  FluidKind kind = FluidKind::pure;
  std::string equation_source;

  double molar_mass = 0.0;            ///< [kg/mol]
  double gas_constant = 0.0;          ///< [J/(mol K)]
  double reducing_temperature = 0.0;  ///< [K]
  double reducing_density = 0.0;      ///< [mol/m3]
  double critical_temperature = 0.0;  ///< as published, end of the saturation line [K]
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

  double highest_saturation_temperature = 0.0;  ///< both saturation functions work up to here [K]
  Curve bubble_temperature;                     ///< T(p)
  Curve dew_temperature;
};

/// Reads the embedded data file of a refrigerant and prepares its curves.
Result<Model> load_model(std::string_view file_name, std::string_view text);

}  // namespace cw::fluid::detail
