#include <cmath>

#include "base/text.h"
#include "fluid/detail/ancillary.h"
#include "fluid/detail/density.h"
#include "fluid/detail/math.h"
#include "fluid/detail/point.h"
#include "fluid/detail/saturation_solver.h"

namespace cw::fluid::detail {
namespace {

constexpr std::size_t guess_nodes = 96;
// Saturation of pure fluids is solved up to 1 - T/T_c = 9e-6 (3 mK below T_c, 0.99994 p_c). There
// the coexisting densities carry rounding of 1e-7; closer, it soon exceeds their difference.
constexpr double closest_x = 3e-3;

/// Critical point of the equation: dp/drho = d2p/drho2 = 0, Newton from the published one.
bool find_critical_point(const Model& model, double& T, double& rho) noexcept {
  const auto residuals = [&](double tau, double delta, double& b, double& g) {
    const Derivatives r = model.helmholtz.residual(tau, delta);
    b = 1.0 + 2.0 * r.d + r.dd;
    g = 2.0 * r.d + 4.0 * r.dd + model.helmholtz.residual_ddd(tau, delta);
  };
  double tau = model.reducing_temperature / T;
  double delta = rho / model.reducing_density;
  for (int i = 0; i < 60; ++i) {
    double b = 0.0, g = 0.0, b1 = 0.0, g1 = 0.0, b2 = 0.0, g2 = 0.0;
    constexpr double h = 1e-6;
    residuals(tau, delta, b, g);
    residuals(tau + h, delta, b1, g1);
    residuals(tau, delta + h, b2, g2);
    const double b_tau = (b1 - b) / h, b_delta = (b2 - b) / h;
    const double g_tau = (g1 - g) / h, g_delta = (g2 - g) / h;
    const double det = b_tau * g_delta - b_delta * g_tau;
    double step_tau = (-b * g_delta + g * b_delta) / det;
    double step_delta = (-g * b_tau + b * g_tau) / det;
    const double size = std::fmax(std::fabs(step_tau) / 0.01, std::fabs(step_delta) / 0.05);
    if (size > 1.0) {
      step_tau /= size;
      step_delta /= size;
    }
    tau += step_tau;
    delta += step_delta;
    if (std::fabs(step_tau) + std::fabs(step_delta) < 1e-11) {
      T = model.reducing_temperature / tau;
      rho = delta * model.reducing_density;
      return std::isfinite(T) && std::isfinite(rho);
    }
  }
  return false;
}

Error failed(const Model& model, const char* what) {
  return Error{ErrorCode::no_convergence, model.name + ": " + what, "data/fluids", ""};
}

/// Walks from 0.95 T_c, where the ancillaries are good, along x to both ends.
Status fill_guess(Model& model) {
  CoexistenceGuess& guess = model.coexistence_guess;
  double T_c = model.critical_temperature;
  double rho_c = model.reducing_density;
  if (!find_critical_point(model, T_c, rho_c)) return failed(model, "no critical point");
  guess.critical_temperature = T_c;
  guess.critical_density = rho_c;
  // Two nodes beyond the lowest temperature, so that the cubic has its neighbours.
  guess.step = std::sqrt(1.0 - model.minimum_temperature / T_c) / (guess_nodes - 3);
  guess.ln_liquid.assign(guess_nodes, log_of(rho_c));
  guess.ln_vapour.assign(guess_nodes, log_of(rho_c));
  const auto solve = [&](std::size_t i, double rho_l, double rho_v) {
    const double x = guess.step * static_cast<double>(i);
    if (!coexistence(model, T_c * (1.0 - x * x), rho_l, rho_v)) return false;
    guess.ln_liquid[i] = log_of(rho_l);
    guess.ln_vapour[i] = log_of(rho_v);
    return true;
  };
  const auto start = static_cast<std::size_t>(std::sqrt(0.05) / guess.step);
  for (const std::size_t i : {start, start + 1}) {
    const double x = guess.step * static_cast<double>(i);
    const double T = T_c * (1.0 - x * x);
    if (!solve(i, model.liquid_density.at(T), model.vapour_density.at(T))) {
      return failed(model, "no saturation at 0.95 of the critical temperature");
    }
  }
  const auto next = [&](std::size_t i, std::size_t a, std::size_t b) {
    return solve(i, exp_of(2.0 * guess.ln_liquid[a] - guess.ln_liquid[b]),
                 exp_of(2.0 * guess.ln_vapour[a] - guess.ln_vapour[b]));
  };
  for (std::size_t i = start + 2; i < guess_nodes; ++i) {
    if (!next(i, i - 1, i - 2)) return failed(model, "saturation lost towards low temperatures");
  }
  for (std::size_t i = start - 1; i > 0; --i) {
    if (!next(i, i + 1, i + 2)) return failed(model, "saturation lost towards the critical point");
  }
  return Done{};
}

/// Where a published pressure curve stops rising: T_r, or below it the maximum that the bubble
/// curve of R-407C has (n theta^0.54 with positive n).
double end_of_rise(const Ancillary& pressure, double from) noexcept {
  double low = from;
  double high = pressure.temperature * (1.0 - 1e-9);
  if (pressure.log_slope(high) > 0.0) return pressure.temperature;
  while (high - low > 1e-9) {
    const double middle = 0.5 * (low + high);
    (pressure.log_slope(middle) > 0.0 ? low : high) = middle;
  }
  return low;
}

/// Highest pressure to which the saturated states of a blend fitted as one fluid behave as physics
/// says: both roots there, density of the liquid falling and of the vapour rising with pressure,
/// bubble enthalpy rising. The published curves and the equation part company close to the critical
/// point.
void find_state_limit(Model& model) noexcept {
  const double top = model.bubble_temperature.highest();
  Saturation last;
  model.highest_state_pressure = top;
  model.highest_state_temperature = model.highest_saturation_temperature;
  double good = 0.0;
  for (double p = 0.8 * top; p <= top; p += 0.0002 * top) {
    Saturation now;
    if (!saturation_at_pressure(model, p, now)) break;
    const double h = point_at(model, now.T_bubble, now.rho_l).h;
    if (last.rho_l > 0.0) {
      const double h_last = point_at(model, last.T_bubble, last.rho_l).h;
      if (!(now.rho_l < last.rho_l && now.rho_v > last.rho_v && h > h_last)) break;
    }
    last = now;
    good = p;
  }
  model.highest_state_pressure = good;
  model.highest_state_temperature = last.T_bubble;
}

void add_shift(const Model& model, ReferenceShift& shift, bool found, const Saturation& at,
               double h, double s, double tolerance_h, double tolerance_s) {
  if (!found) return;
  const Point liquid = point_at(model, at.T_bubble, at.rho_l);
  shift.available = true;
  shift.h = h - liquid.h;
  shift.s = s - liquid.s;
  if (std::fabs(shift.h) < tolerance_h && std::fabs(shift.s) < tolerance_s) shift.h = shift.s = 0.0;
}

}  // namespace

void prepare_references(Model& model) noexcept {
  Saturation at;
  // The published constants of most equations are those of the IIR state to their printed digits;
  // they are then taken as they stand.
  bool found = saturation_at_temperature(model, 273.15, at);
  add_shift(model, model.iir, found, at, 200e3, 1000.0, 1.0, 0.02);
  found = saturation_at_temperature(model, 233.15, at);
  add_shift(model, model.ashrae, found, at, 0.0, 0.0, 0.0, 0.0);
  found = saturation_at_pressure(model, 101325.0, at);
  add_shift(model, model.nbp, found, at, 0.0, 0.0, 0.0, 0.0);
}

Status prepare_pure(Model& model) {
  if (const Status filled = fill_guess(model); !filled) return filled.error();
  const CoexistenceGuess& guess = model.coexistence_guess;
  model.critical_temperature = guess.critical_temperature;
  model.critical_pressure =
      pressure_at(model, guess.critical_temperature, guess.critical_density).p;
  const double top = model.critical_temperature * (1.0 - closest_x * closest_x);
  model.highest_saturation_temperature = top;
  model.highest_state_temperature = top;
  const auto pressure = [&](double T, double& slope) {
    double rho_l = guess.liquid(T);
    double rho_v = guess.vapour(T);
    if (!coexistence(model, T, rho_l, rho_v)) return 0.0;
    slope = clapeyron_slope(model, T, rho_l, rho_v);
    return pressure_at(model, T, rho_v).p;
  };
  double slope = 0.0;
  const double lowest = pressure(model.minimum_temperature, slope);
  const double highest = pressure(top, slope);
  if (!(lowest > 0.0 && highest > lowest)) return failed(model, "saturation ends not found");
  bool converged = true;
  double T = model.minimum_temperature;
  model.bubble_temperature = Curve(lowest, highest, [&](double p) {
    // Newton in ln p over 1/T, nearly a straight line.
    for (int i = 0; i < 50; ++i) {
      const double at = pressure(T, slope);
      if (!(at > 0.0)) break;
      const double next = T / (1.0 + at * log_of(at / p) / (slope * T));
      const double last = T;
      T = std::fmin(std::fmax(next, model.minimum_temperature), top);
      if (std::fabs(T - last) <= 1e-12 * T) return T;
    }
    converged = false;
    return T;
  });
  if (!converged) return failed(model, "saturation curve did not converge");
  model.dew_temperature = model.bubble_temperature;
  model.highest_state_pressure = highest;
  prepare_references(model);
  return Done{};
}

Status prepare_pseudo_pure(Model& model) {
  if (const Status filled = fill_guess(model); !filled) return filled.error();
  const double from = 0.9 * model.critical_temperature;
  const double top =
      std::fmin(end_of_rise(model.bubble_pressure, from), end_of_rise(model.dew_pressure, from));
  model.highest_saturation_temperature = top;
  const double highest = std::fmin(model.bubble_pressure.at(top), model.dew_pressure.at(top));
  const auto curve = [&](const Ancillary& pressure) {
    double guess = model.minimum_temperature;
    return Curve(pressure.at(model.minimum_temperature), highest,
                 [&](double p) { return guess = ancillary_temperature(pressure, p, guess, top); });
  };
  model.bubble_temperature = curve(model.bubble_pressure);
  model.dew_temperature = curve(model.dew_pressure);
  find_state_limit(model);
  prepare_references(model);
  return Done{};
}

}  // namespace cw::fluid::detail
