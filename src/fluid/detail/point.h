#pragma once

#include "fluid/detail/model.h"

namespace cw::fluid::detail {

/// One phase at one temperature and density, straight from the equation of state. SI per kilogram;
/// h and s with the integration constants of the data file.
struct Point {
  double T = 0.0;      ///< [K]
  double rho = 0.0;    ///< [kg/m3]
  double p = 0.0;      ///< [Pa]
  double h = 0.0;      ///< [J/kg]
  double s = 0.0;      ///< [J/(kg K)]
  double u = 0.0;      ///< [J/kg]
  double cv = 0.0;     ///< [J/(kg K)]
  double cp = 0.0;     ///< [J/(kg K)]
  double w = 0.0;      ///< [m/s]
  double p_T = 0.0;    ///< dp/dT at constant rho [Pa/K]
  double p_rho = 0.0;  ///< dp/drho at constant T [J/kg]

  /// dh/dT at constant rho and dh/drho at constant T.
  double h_T() const noexcept { return cv + p_T / rho; }
  double h_rho() const noexcept { return (p_rho - T * p_T / rho) / rho; }
};

/// Equation of state at T > 0 and rho > 0, finite [lemmon2005, Eqs. 27-34]. In the unstable region
/// cp and w have no meaning. Thread-safe, does not allocate.
Point point_at(const Model& model, double T, double rho) noexcept;

/// Pressure and its slope with density alone, for density solvers.
struct PressureSlope {
  double p;      ///< [Pa]
  double p_rho;  ///< [J/kg]
};
PressureSlope pressure_at(const Model& model, double T, double rho) noexcept;

}  // namespace cw::fluid::detail
