#pragma once

#include "twin/transport_table.h"

/// How much of a two-phase cross-section is vapour, and what travels against what lies there.
/// Bare SI; noexcept, allocation-free, thread-safe, finite for finite arguments.
namespace cw::twin {

/// Ratio of vapour to liquid velocity.
enum class SlipModel {
  homogeneous,  ///< 1
  zivi,         ///< (rho_l/rho_g)^(1/3) [zivi1964]
  smith,        ///< [smith1969] with entrainment 0.4, at quality 0.3 (its slip depends on quality)
};

/// @param rho_l, rho_g  saturated densities [kg/m3], > 0
double slip_ratio(SlipModel model, double rho_l, double rho_g) noexcept;

/// Slip of Smith at a quality: e + (1-e) sqrt((rho_l/rho_g + e y)/(1 + e y)), y = (1-x)/x, e = 0.4
/// [smith1969].
double slip_smith(double x, double rho_l, double rho_g) noexcept;

/// Vapour share of the cross-section: x rho_l / (x rho_l + S (1-x) rho_g). 0 at x <= 0, 1 at x
/// >= 1.
/// @param x  flow quality
double void_fraction(double x, double slip, double rho_l, double rho_g) noexcept;

/// The flow quality of a cell's static (mass-weighted) quality and its slope.
struct FlowQuality {
  double x;      ///< vapour share of the mass flow
  double slope;  ///< d x / d x_static
};

/// x_f = S x_s / (1 + (S-1) x_s) for 0 <= x_s <= 1; outside x_f = x_s (slope 1), so that subcooled
/// and superheated cells keep their measure of enthalpy.
FlowQuality flow_quality(double x_static, double slip) noexcept;

/// The inverse of flow_quality.
double static_quality(double x_flow, double slip) noexcept;

/// Drift-flux void fraction of horizontal flow after Rouhani and Axelsson [rouhani1970] in the form
/// of [steiner1993]: C0 = 1 + 0.12 (1-x), drift 1.18 (1-x) (g sigma (rho_l-rho_g)/rho_l^2)^0.25.
/// @param mass_flux  [kg/(m2 s)], > 0
double void_rouhani_axelsson(double x, double mass_flux, const SaturationTransport& s) noexcept;

/// Mean density over a tube in which the quality runs linearly from x1 to x2 [kg/m3]
/// (twelve-point Gauss-Legendre rule over x).
double mean_density(double x1, double x2, double slip, double rho_l, double rho_g) noexcept;

}  // namespace cw::twin
