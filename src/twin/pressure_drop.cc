#include "twin/pressure_drop.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cw::twin {
namespace {

/// f rho v |v| / (2 D) from the mass flux, written so that no flow gives no loss.
double loss(double mass_flux, double bore, double rho, double mu, double roughness) noexcept {
  const double speed = std::fabs(mass_flux);
  const double f = friction_factor(speed * bore / mu, roughness);
  return f * mass_flux * speed / (2.0 * bore * rho);
}

double mass_flux_of(double m_dot, double bore) noexcept {
  return m_dot / (0.25 * std::numbers::pi * bore * bore);
}

double eighth_power(double x) noexcept {
  x *= x;
  x *= x;
  return x * x;
}

}  // namespace

double friction_factor(double reynolds, double relative_roughness) noexcept {
  const double Re = std::fmax(reynolds, 0.01);
  // [churchill1977, Eq. 18], its f times 8/2: Darcy's f = 8 ((8/Re)^12 + (A + B)^-1.5)^(1/12).
  double log_inner = 0.9 * std::log(7.0 / Re);
  if (relative_roughness > 0.0) {
    log_inner = std::log(std::exp(log_inner) + 0.27 * relative_roughness);
  }
  const double log_term = -2.457 * log_inner;
  const double A = eighth_power(log_term * log_term);
  const double B = eighth_power(37530.0 / Re * (37530.0 / Re));
  const double sum = A + B;
  const double eight = 8.0 / Re;
  const double eight4 = eight * eight * eight * eight;
  const double twelfth = eight4 * eight4 * eight4 + 1.0 / (sum * std::sqrt(sum));
  return 8.0 * std::cbrt(std::sqrt(std::sqrt(twelfth)));
}

double gradient_single(double m_dot, double bore, double rho, double mu,
                       double relative_roughness) noexcept {
  return loss(mass_flux_of(m_dot, bore), bore, rho, mu, relative_roughness);
}

double gradient_two_phase(double m_dot, double bore, double x,
                          const SaturationTransport& s) noexcept {
  const double G = mass_flux_of(m_dot, bore);
  const double q = std::clamp(x, 0.0, 1.0);
  const double A = loss(G, bore, s.rho_l, s.mu_l, 0.0);
  const double B = loss(G, bore, s.rho_g, s.mu_g, 0.0);
  return (A + 2.0 * (B - A) * q) * std::cbrt(1.0 - q) + B * q * q * q;  // [mueller1986, Eq. 10]
}

}  // namespace cw::twin
