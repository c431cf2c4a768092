#pragma once

#include "twin/transport_table.h"

/// Frictional pressure gradients in tubes. Bare SI; noexcept, allocation-free, thread-safe, finite
/// for finite arguments. Positive flow loses pressure: the gradient has the sign of m_dot and is
/// the loss per metre.
namespace cw::twin {

/// Darcy friction factor for any Reynolds number [churchill1977]; at Re -> 0 it is that of Re 0.01.
double friction_factor(double reynolds, double relative_roughness) noexcept;

/// Loss of a single phase [Pa/m]; a smooth tube unless told.
/// @param m_dot [kg/s], bore [m], rho [kg/m3], mu [Pa s]
double gradient_single(double m_dot, double bore, double rho, double mu,
                       double relative_roughness = 0.0) noexcept;

/// Loss of a two-phase flow [Pa/m] [mueller1986]: (A + 2 (B-A) x)(1-x)^(1/3) + B x^3 with A and B
/// the losses of all flow as liquid and as vapour.
/// @param x  flow quality, clamped to 0..1
double gradient_two_phase(double m_dot, double bore, double x,
                          const SaturationTransport& s) noexcept;

}  // namespace cw::twin
