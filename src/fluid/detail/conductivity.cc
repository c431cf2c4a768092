#include <cmath>
#include <numbers>

#include "fluid/detail/math.h"
#include "fluid/detail/model.h"
#include "fluid/detail/point.h"
#include "fluid/detail/transport.h"

namespace cw::fluid::detail {
namespace {

constexpr double boltzmann = 1.380649e-23;  // J/K, exact

double power_sum(const std::vector<PowerItem>& items, double x) noexcept {
  double sum = 0.0;
  const double ln_x = log_of(x);
  for (const PowerItem& item : items) sum += item.a * exp_of(item.n * ln_x);
  return sum;
}

double residual_sum(const std::vector<DensityItem>& items, double tau, double delta) noexcept {
  const double ln_tau = log_of(tau);
  const double ln_delta = log_of(delta);
  double sum = 0.0;
  for (const DensityItem& item : items) {
    const double damping = item.g == 0.0 ? 0.0 : item.g * exp_of(item.l * ln_delta);
    sum += item.a * exp_of(item.t * ln_tau + item.d * ln_delta + damping);
  }
  return sum;
}

/// Critical enhancement, simplified Olchowy and Sengers [perkins2006, Eqs. 5-8].
double critical_part(const ConductivityModel& c, const Model& model, const Point& at,
                     double viscosity) noexcept {
  if (!(c.cutoff > 0.0)) return 0.0;
  const double rho_c = model.reducing_density;
  const double T_ref =
      c.reference_temperature > 0.0 ? c.reference_temperature : 1.5 * model.reducing_temperature;
  const double scale = model.published_critical_pressure * at.rho / (rho_c * rho_c);
  const double chi = scale / at.p_rho;
  const double chi_ref = scale / pressure_at(model, T_ref, at.rho).p_rho * T_ref / at.T;
  if (!(chi > chi_ref)) return 0.0;
  const double xi = c.amplitude * power_of((chi - chi_ref) / c.gamma_amplitude, 0.63 / c.exponent);
  const double y = c.cutoff * xi;
  const double ratio = at.rho / rho_c;
  const double omega =
      2.0 / std::numbers::pi * ((at.cp - at.cv) / at.cp * std::atan(y) + at.cv / at.cp * y);
  const double omega_0 =
      2.0 / std::numbers::pi * (1.0 - exp_of(-1.0 / (1.0 / y + y * y / (3.0 * ratio * ratio))));
  return at.rho * at.cp * c.R0 * boltzmann * at.T / (6.0 * std::numbers::pi * viscosity * xi) *
         (omega - omega_0);
}

/// Temperature and density at which the reference fluid has the same residual Helmholtz energy and
/// compressibility factor [mclinden2000, Eqs. 5 and 6]; Newton in the reduced variables.
bool conformal_state(const ConductivityModel::ReferenceFluid& reference, const Derivatives& wanted,
                     double& tau, double& delta) noexcept {
  for (int i = 0; i < 60; ++i) {
    const Derivatives r = reference.helmholtz.residual(tau, delta);
    const double f = r.a - wanted.a;
    const double g = r.d - wanted.d;
    // Slopes by ln tau and ln delta.
    const double f_t = r.t, f_d = r.d, g_t = r.dt, g_d = r.d + r.dd;
    const double det = f_t * g_d - f_d * g_t;
    double step_t = -(f * g_d - g * f_d) / det;
    double step_d = -(g * f_t - f * g_t) / det;
    if (!std::isfinite(step_t) || !std::isfinite(step_d)) return false;
    const double size = std::fmax(std::fabs(step_t), std::fabs(step_d)) / 0.1;
    if (size > 1.0) {
      step_t /= size;
      step_d /= size;
    }
    tau *= exp_of(step_t);
    delta *= exp_of(step_d);
    if (std::fabs(step_t) + std::fabs(step_d) < 1e-11) return true;
  }
  return false;
}

std::optional<double> corresponding_states(const ConductivityModel& c, const Model& model,
                                           const Point& at, double viscosity) noexcept {
  const double R = model.gas_constant * model.molar_mass;
  const double dilute =
      kinetic_viscosity(at.T, model.molar_mass * 1000.0, c.sigma, c.epsilon_over_k);
  const double tau = model.reducing_temperature / at.T;
  const double delta = at.rho / model.reducing_density;
  const double cp0 = R * (1.0 - model.helmholtz.ideal(tau, log_of(tau), 0.0).tt);
  double value =
      dilute / model.molar_mass * (power_sum(c.internal, at.T) * (cp0 - 2.5 * R) + 15.0 / 4.0 * R);
  const auto& reference = c.reference;
  double tau_0 = tau;
  double delta_0 = delta;
  if (!conformal_state(reference, model.helmholtz.residual(tau, delta), tau_0, delta_0)) {
    return std::nullopt;
  }
  const double T_0 = reference.temperature / tau_0;
  const double rho_0 = delta_0 * reference.density;
  const double rho = at.rho / model.molar_mass;
  const double shape = power_sum(c.shape, rho / c.shape_density);
  const double background =
      residual_sum(reference.conductivity, reference.conductivity_temperature / T_0,
                   rho_0 * shape * reference.molar_mass / reference.conductivity_density);
  const double h = rho_0 / rho;
  value += background * std::sqrt(at.T / T_0 * reference.molar_mass / model.molar_mass) *
           power_of(h, -2.0 / 3.0);
  return value + critical_part(c, model, at, viscosity);
}

}  // namespace

std::optional<double> conductivity_at(const Model& model, const Point& at) noexcept {
  if (!model.transport.conductivity) return std::nullopt;
  const ConductivityModel& c = *model.transport.conductivity;
  const auto viscosity = viscosity_at(model, at);
  if (!viscosity) return std::nullopt;
  double value = 0.0;
  if (c.form == ConductivityModel::Form::corresponding_states) {
    const auto found = corresponding_states(c, model, at, *viscosity);
    if (!found) return std::nullopt;
    value = *found;
  } else {
    value = power_sum(c.dilute, at.T / c.dilute_temperature);
    if (c.dilute_viscosity > 0.0) {
      value += c.dilute_viscosity * dilute_viscosity(*model.transport.viscosity, at.T);
    }
    value += residual_sum(c.residual, c.reducing_temperature / at.T, at.rho / c.reducing_density);
    value += critical_part(c, model, at, *viscosity);
  }
  if (!(value > 0.0 && value < 100.0)) return std::nullopt;
  return value;
}

std::optional<double> surface_tension_at(const Model& model, double T) noexcept {
  if (!model.transport.surface_tension) return std::nullopt;
  const auto& s = *model.transport.surface_tension;
  const double theta = 1.0 - T / s.temperature;
  if (!(theta > 0.0)) return std::nullopt;
  const double value = power_sum(s.terms, theta);
  if (!(value >= 0.0)) return std::nullopt;
  return value;
}

}  // namespace cw::fluid::detail
