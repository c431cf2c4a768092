#include <cmath>

#include "fluid/detail/math.h"
#include "fluid/detail/model.h"
#include "fluid/detail/point.h"
#include "fluid/detail/transport.h"

namespace cw::fluid::detail {
namespace {

constexpr double avogadro = 6.02214076e23;  // 1/mol, exact

double power_sum(const std::vector<PowerItem>& items, double x) noexcept {
  double sum = 0.0;
  const double ln_x = log_of(x);
  for (const PowerItem& item : items) sum += item.a * exp_of(item.n * ln_x);
  return sum;
}

double polynomial(const std::vector<double>& c, double x) noexcept {
  double sum = 0.0;
  for (std::size_t i = c.size(); i-- > 0;) sum = sum * x + c[i];
  return sum;
}

double dilute_gas(const ViscosityModel& v, double T) noexcept {
  if (!v.dilute.empty()) return power_sum(v.dilute, T);
  if (v.collision.empty()) {
    return kinetic_viscosity(T, v.dilute_molar_mass, v.sigma, v.epsilon_over_k);
  }
  const double ln_T = log_of(T / v.epsilon_over_k);
  double ln_omega = 0.0;
  for (const PowerItem& item : v.collision) {
    double power = 1.0;
    for (int i = 0; i < static_cast<int>(item.n); ++i) power *= ln_T;
    ln_omega += item.a * power;
  }
  return v.prefactor * std::sqrt(v.dilute_molar_mass * T) / (v.sigma * v.sigma * exp_of(ln_omega));
}

double residual_part(const ViscosityModel& v, double T, double rho_molar) noexcept {
  const double tau = v.reducing_temperature / T;
  const double delta = rho_molar / v.reducing_density;
  const double ln_tau = log_of(tau);
  const double ln_delta = log_of(delta);
  double sum = 0.0;
  for (const DensityItem& item : v.residual) {
    const double damping = item.g == 0.0 ? 0.0 : item.g * exp_of(item.l * ln_delta);
    sum += item.a * exp_of(item.t * ln_tau + item.d * ln_delta + damping);
  }
  if (!v.free_volume.empty()) {
    const double close_packed =
        power_sum(v.close_packed_over, tau) / power_sum(v.close_packed_under, tau);
    sum += v.free_volume[0] * exp_of(v.free_volume[1] * ln_delta + v.free_volume[2] * ln_tau) *
           (1.0 / (close_packed - delta) - 1.0 / close_packed);
  }
  return sum;
}

/// eta = eta_0 (1 + C (exp(f) - 1)) with f a polynomial in the reduced entropy density x, one for
/// gas-like and one for liquid-like x, joined by a steep logistic step [bell2016].
double entropy_scaled(const ViscosityModel& v, const Model& model, const Point& at) noexcept {
  const Derivatives r =
      model.helmholtz.residual(model.reducing_temperature / at.T, at.rho / model.reducing_density);
  const double x = at.rho * model.gas_constant * (r.t - r.a) / v.critical_entropy_density;
  // Lennard-Jones parameters by the method of Chung from the published critical constants.
  const double rho_c = model.reducing_density / model.molar_mass / 1000.0;  // mol/l
  const double sigma = 0.809 / power_of(rho_c, 1.0 / 3.0);
  const double dilute = kinetic_viscosity(at.T, model.molar_mass * 1000.0, sigma,
                                          model.reducing_temperature / 1.2593);
  const double step = 1.0 / (1.0 + exp_of(-100.0 * (x - v.crossover)));
  const double f = step * polynomial(v.liquid, x) + (1.0 - step) * polynomial(v.vapour, x);
  return dilute * (1.0 + v.scale * (exp_of(f) - 1.0));
}

}  // namespace

double kinetic_viscosity(double T, double molar_mass, double sigma,
                         double epsilon_over_k) noexcept {
  const double t = T / epsilon_over_k;
  const double omega = 1.16145 * power_of(t, -0.14874) + 0.52487 * exp_of(-0.77320 * t) +
                       2.16178 * exp_of(-2.43787 * t);  // [neufeld1972]
  return 2.6692e-8 * std::sqrt(molar_mass * T) / (sigma * sigma * omega);
}

double dilute_viscosity(const ViscosityModel& v, double T) noexcept { return dilute_gas(v, T); }

std::optional<double> viscosity_at(const Model& model, const Point& at) noexcept {
  if (!model.transport.viscosity) return std::nullopt;
  const ViscosityModel& v = *model.transport.viscosity;
  double value = 0.0;
  if (v.form == ViscosityModel::Form::entropy_scaling) {
    value = entropy_scaled(v, model, at);
  } else {
    const double rho = at.rho / model.molar_mass;
    value = dilute_gas(v, at.T);
    if (!v.rainwater_friend.empty()) {
      const double second = power_sum(v.rainwater_friend, at.T / v.epsilon_over_k);
      const double sigma = v.sigma * 1e-9;
      value += value * second * avogadro * sigma * sigma * sigma * rho;
    }
    value += residual_part(v, at.T, rho);
  }
  if (!(value > 0.0 && value < 1.0)) return std::nullopt;
  return value;
}

}  // namespace cw::fluid::detail
