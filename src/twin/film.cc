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

Film::Film(const SaturationTransport& s, const TubeFlow& flow) noexcept
    : s_(s),
      mass_flux_(std::fabs(flow.mass_flux)),
      bore_(flow.bore),
      G_(std::hypot(flow.mass_flux, smallest_mass_flux)) {}

double Film::liquid() noexcept {
  if (!liquid_) {
    const double Re = mass_flux_ * bore_ / s_.mu_l;
    liquid_ = nusselt_single_phase(Re, s_.cp_l * s_.mu_l / s_.k_l) * s_.k_l / bore_;
  }
  return *liquid_;
}

double Film::vapour() noexcept {
  if (!vapour_) {
    const double Re = mass_flux_ * bore_ / s_.mu_g;
    vapour_ = nusselt_single_phase(Re, s_.cp_g * s_.mu_g / s_.k_g) * s_.k_g / bore_;
  }
  return *vapour_;
}

/// Dittus-Boelter for all flow as liquid, on which both two-phase formulas stand.
double Film::all_as_liquid() noexcept {
  if (!h_lo_) {
    const double Re = G_ * bore_ / s_.mu_l;
    const double Pr = s_.cp_l * s_.mu_l / s_.k_l;
    h_lo_ = 0.023 * std::pow(Re, 0.8) * std::pow(Pr, 0.4) * s_.k_l / bore_;
  }
  return *h_lo_;
}

const Film::Condensing& Film::prepared_condensing() noexcept {
  if (condensing_) return *condensing_;
  const double h_lo = all_as_liquid();
  const double lift = gravity * s_.rho_l * std::fmax(s_.rho_l - s_.rho_g, 0.0) * s_.k_l * s_.k_l *
                      s_.k_l * s_.h_lg / (s_.mu_l * wall_subcooling * bore_);
  condensing_ = {h_lo, 3.8 * h_lo * std::pow(s_.p_reduced, -0.38),
                 0.555 * std::sqrt(std::sqrt(lift))};  // [chato1962]
  return *condensing_;
}

const Film::Boiling& Film::prepared_boiling() noexcept {
  if (boiling_) return *boiling_;
  // [gungor1987]: h = h_l (1 + 3000 Bo^0.86 + 1.12 (x/(1-x))^0.75 (rho_l/rho_g)^0.41), where
  // h_l carries (1-x)^0.8; for Fr < 0.05 in horizontal tubes times Fr^(0.1 - 2 Fr).
  const double Fr = G_ * G_ / (s_.rho_l * s_.rho_l * gravity * bore_);
  const double exponent = 0.1 - 2.0 * Fr;
  const double rounded = 0.5 * (exponent + std::sqrt(exponent * exponent + 1e-4));
  const double wetted = Fr < 1.0 ? std::pow(Fr, rounded) : 1.0;
  const double liquid = wetted * all_as_liquid();
  boiling_ = {liquid, 3000.0 * liquid, 1.12 * liquid * std::pow(s_.rho_l / s_.rho_g, 0.41),
              1.0 / (G_ * s_.h_lg)};
  return *boiling_;
}

double Film::condensing(double x) noexcept {
  if (!(x > 0.0)) return liquid();
  if (x >= 1.0) return vapour();
  const Condensing& c = prepared_condensing();
  const double log_x = std::log(x);
  const double log_y = std::log(std::fmax(1.0 - x, least_quality_distance));
  const double shah = c.liquid * std::exp(0.8 * log_y) +
                      c.two_phase * std::exp(0.76 * log_x + 0.04 * log_y);  // [shah1979, Eq. 8]
  double h = soft_max(shah, c.stratified);
  if (x < 0.05) h = joined(x, 0.0, 0.05, liquid(), h);
  if (x > 0.95) h = joined(x, 0.95, 1.0, h, vapour());
  return h;
}

double Film::boiling(double x, double heat_flux) noexcept {
  if (!(x > 0.0)) return liquid();
  if (x >= 1.0) return vapour();
  const Boiling& b = prepared_boiling();
  const double log_x = std::log(x);
  const double log_y = std::log(std::fmax(1.0 - x, least_quality_distance));
  const double flux2 = heat_flux * heat_flux + smallest_heat_flux * smallest_heat_flux;
  const double Bo2 = flux2 * b.number_per_flux * b.number_per_flux;
  const double nucleate = b.liquid + b.nucleate * std::exp(0.43 * std::log(Bo2));
  double h =
      std::exp(0.8 * log_y) * nucleate + b.convective * std::exp(0.75 * log_x + 0.05 * log_y);
  if (x < 0.02) h = joined(x, 0.0, 0.02, liquid(), h);
  if (x > 0.85) h = joined(x, 0.85, 1.0, h, vapour());
  return h;
}

}  // namespace cw::twin
