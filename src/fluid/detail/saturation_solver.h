#pragma once

#include "fluid/detail/model.h"
#include "fluid/detail/point.h"

namespace cw::fluid::detail {

/// Both phases on one saturation line each: at one temperature (T_bubble = T_dew, pressures differ
/// for blends) or at one pressure (p_bubble = p_dew, temperatures differ for blends).
struct Saturation {
  double T_bubble = 0.0;  ///< [K]
  double T_dew = 0.0;     ///< [K]
  double p_bubble = 0.0;  ///< [Pa]
  double p_dew = 0.0;     ///< [Pa]
  double rho_l = 0.0;     ///< liquid at the bubble point [kg/m3]
  double rho_v = 0.0;     ///< vapour at the dew point [kg/m3]
};

/// Coexisting densities of a pure fluid at T from guesses, by Newton in both densities on equal
/// pressure and Gibbs energy [akasaka2008]. False when it does not converge or ends on the trivial
/// root rho_l = rho_v. Does not allocate.
bool coexistence(const Model& model, double T, double& rho_l, double& rho_v) noexcept;

/// Pressure slope dp/dT of the saturation line of a pure fluid (Clapeyron) [Pa/K].
double clapeyron_slope(const Model& model, double T, double rho_l, double rho_v) noexcept;

/// dT/dp along the bubble and the dew line at one pressure [K/Pa]; l and v are the points of `at`.
struct SaturationSlopes {
  double bubble;
  double dew;
};
SaturationSlopes saturation_slopes(const Model& model, const Saturation& at, const Point& l,
                                   const Point& v) noexcept;

/// Saturation at a temperature or pressure within the model's saturation range; false outside it or
/// without convergence. Thread-safe, does not allocate.
bool saturation_at_temperature(const Model& model, double T, Saturation& out) noexcept;
bool saturation_at_pressure(const Model& model, double p, Saturation& out) noexcept;

/// Finds the critical point of a pure equation of state (dp/drho = d2p/drho2 = 0) from the
/// published one and fills the model's saturation guesses and curves.
Status prepare_pure(Model& model);

/// Bubble and dew pressure and the mechanical limits of a blend fitted as one fluid.
Status prepare_pseudo_pure(Model& model);

/// Shifts to the reference states, from the finished saturation line.
void prepare_references(Model& model) noexcept;

}  // namespace cw::fluid::detail
