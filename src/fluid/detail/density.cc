#include "fluid/detail/density.h"

#include <cmath>

#include "fluid/detail/point.h"

namespace cw::fluid::detail {
namespace {

/// Newton in [low, high] where p rises through the wanted value; bisection where Newton leaves it.
double bracketed(const Model& model, double T, double p, double low, double high,
                 double start) noexcept {
  double rho = start;
  for (int i = 0; i < 100; ++i) {
    const PressureSlope at = pressure_at(model, T, rho);
    const double difference = at.p - p;
    (difference > 0.0 ? high : low) = rho;
    double next = rho - difference / at.p_rho;
    if (!(at.p_rho > 0.0 && next > low && next < high)) {
      next = low > 0.0 ? 0.5 * (low + high) : 0.1 * high;
    }
    if (std::fabs(next - rho) <= 2e-15 * rho || high - low <= 2e-16 * high) return next;
    rho = next;
  }
  return rho;
}

}  // namespace

double liquid_density(const Model& model, double T, double p, double bound) noexcept {
  PressureSlope at = pressure_at(model, T, bound);
  if (at.p > p) return 0.0;
  const double low = bound;
  double high = bound;
  const double densest = 8.0 * model.reducing_density;
  while (at.p <= p) {
    const double step = at.p_rho > 0.0 ? 1.2 * (p - at.p) / at.p_rho : 0.0;
    high += std::fmin(std::fmax(step, 1e-6 * high), 0.1 * high);
    if (high > densest) return 0.0;
    at = pressure_at(model, T, high);
  }
  const double start = at.p_rho > 0.0 ? high - (at.p - p) / at.p_rho : high;
  return bracketed(model, T, p, low, high, start > low && start < high ? start : high);
}

double vapour_density(const Model& model, double T, double p, double bound) noexcept {
  const PressureSlope at = pressure_at(model, T, bound);
  if (at.p < p) return 0.0;
  const double ideal = p / (model.gas_constant * T);
  return bracketed(model, T, p, 0.0, bound, ideal < bound ? ideal : 0.5 * bound);
}

double density_near(const Model& model, double T, double p, double start) noexcept {
  double rho = start;
  double last = HUGE_VAL;
  for (int i = 0; i < 50; ++i) {
    const PressureSlope at = pressure_at(model, T, rho);
    if (!(at.p_rho > 0.0)) return 0.0;
    const double step = (p - at.p) / at.p_rho;
    rho += step;
    if (!(std::fabs(rho - start) <= 0.1 * start)) return 0.0;
    if (std::fabs(step) <= 1e-15 * rho || (i > 5 && std::fabs(step) >= last)) return rho;
    last = std::fabs(step);
  }
  return rho;
}

}  // namespace cw::fluid::detail
