#include "twin/film.h"

#include <algorithm>
#include <cmath>

#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double gravity = 9.80665;           // [m/s2], standard
constexpr double laminar_nusselt = 3.66;      // developed flow, uniform wall temperature
constexpr double smallest_mass_flux = 5.0;    // [kg/(m2 s)]: below it two-phase films stay as there
constexpr double smallest_heat_flux = 100.0;  // [W/m2], as above
constexpr double wall_subcooling = 5.0;       // [K] of the stratified condensing film
constexpr double least_quality_distance = 1e-12;

double joined(double x, double start, double end, double before, double after) noexcept {
  const double weight = smooth_step((x - start) / (end - start));
  return before + weight * (after - before);
}

}  // namespace

double nusselt_single_phase(double reynolds, double prandtl) noexcept {
  constexpr double laminar_end = 2300.0, turbulent_start = 4000.0;
  if (!(reynolds > laminar_end)) return laminar_nusselt;
  const double root = 0.790 * std::log(reynolds) - 1.64;  // [gnielinski1976], friction of Petukhov
  const double eighth = 0.125 / (root * root);
  const double turbulent = eighth * (reynolds - 1000.0) * prandtl /
                           (1.0 + 12.7 * std::sqrt(eighth) * (std::cbrt(prandtl * prandtl) - 1.0));
  return joined(reynolds, laminar_end, turbulent_start, laminar_nusselt, turbulent);
}

Film::Film(const SaturationTransport& s, const TubeFlow& flow) noexcept {
  const double G = std::hypot(flow.mass_flux, smallest_mass_flux);
  const double D = flow.bore;
  const double Pr_l = s.cp_l * s.mu_l / s.k_l;
  const double Pr_g = s.cp_g * s.mu_g / s.k_g;
  const double Re_lo = G * D / s.mu_l;
  const double single = std::fabs(flow.mass_flux) * D;
  liquid_ = nusselt_single_phase(single / s.mu_l, Pr_l) * s.k_l / D;
  vapour_ = nusselt_single_phase(single / s.mu_g, Pr_g) * s.k_g / D;

  // Dittus-Boelter for all flow as liquid, on which both two-phase formulas stand.
  const double h_lo = 0.023 * std::pow(Re_lo, 0.8) * std::pow(Pr_l, 0.4) * s.k_l / D;
  shah_liquid_ = h_lo;
  shah_two_phase_ = 3.8 * h_lo * std::pow(s.p_reduced, -0.38);
  const double lift = gravity * s.rho_l * std::fmax(s.rho_l - s.rho_g, 0.0) * s.k_l * s.k_l *
                      s.k_l * s.h_lg / (s.mu_l * wall_subcooling * D);
  stratified_ = 0.555 * std::sqrt(std::sqrt(lift));  // [chato1962]

  // [gungor1987]: h = h_l (1 + 3000 Bo^0.86 + 1.12 (x/(1-x))^0.75 (rho_l/rho_g)^0.41), where
  // h_l carries (1-x)^0.8; for Fr < 0.05 in horizontal tubes times Fr^(0.1 - 2 Fr).
  const double Fr = G * G / (s.rho_l * s.rho_l * gravity * D);
  const double exponent = 0.1 - 2.0 * Fr;
  const double rounded = 0.5 * (exponent + std::sqrt(exponent * exponent + 1e-4));
  const double wetted = Fr < 1.0 ? std::pow(Fr, rounded) : 1.0;
  boil_liquid_ = wetted * h_lo;
  boil_nucleate_ = 3000.0 * boil_liquid_;
  boil_convective_ = 1.12 * boil_liquid_ * std::pow(s.rho_l / s.rho_g, 0.41);
  boiling_number_per_flux_ = 1.0 / (G * s.h_lg);
}

double Film::condensing(double x) const noexcept {
  if (!(x > 0.0)) return liquid_;
  if (x >= 1.0) return vapour_;
  const double log_x = std::log(x);
  const double log_y = std::log(std::fmax(1.0 - x, least_quality_distance));
  const double shah = shah_liquid_ * std::exp(0.8 * log_y) +
                      shah_two_phase_ * std::exp(0.76 * log_x + 0.04 * log_y);  // [shah1979, Eq. 8]
  double h = soft_max(shah, stratified_);
  if (x < 0.05) h = joined(x, 0.0, 0.05, liquid_, h);
  if (x > 0.95) h = joined(x, 0.95, 1.0, h, vapour_);
  return h;
}

double Film::boiling(double x, double heat_flux) const noexcept {
  if (!(x > 0.0)) return liquid_;
  if (x >= 1.0) return vapour_;
  const double log_x = std::log(x);
  const double log_y = std::log(std::fmax(1.0 - x, least_quality_distance));
  const double flux2 = heat_flux * heat_flux + smallest_heat_flux * smallest_heat_flux;
  const double Bo2 = flux2 * boiling_number_per_flux_ * boiling_number_per_flux_;
  const double nucleate = boil_liquid_ + boil_nucleate_ * std::exp(0.43 * std::log(Bo2));
  double h =
      std::exp(0.8 * log_y) * nucleate + boil_convective_ * std::exp(0.75 * log_x + 0.05 * log_y);
  if (x < 0.02) h = joined(x, 0.0, 0.02, liquid_, h);
  if (x > 0.85) h = joined(x, 0.85, 1.0, h, vapour_);
  return h;
}

}  // namespace cw::twin
