#include <cmath>

#include "fluid/detail/density.h"
#include "fluid/detail/math.h"
#include "fluid/detail/mixture.h"
#include "fluid/detail/saturation_solver.h"

namespace cw::fluid::detail {
namespace {

Error failed(const Model& model, const char* what) {
  return Error{ErrorCode::no_convergence, model.name + ": " + what, "data/fluids", ""};
}

/// At fixed composition all terms of components and departure share one tau and one delta, so that
/// the mixture is one more Helmholtz energy of the same form.
Helmholtz at_composition(const BinaryMixture& m) {
  const std::array<double, 2> x{m.x1, 1.0 - m.x1};
  const Reducing reducing = mixture_reducing(m, m.x1);
  std::vector<Helmholtz::PowerTerm> power;
  std::vector<Helmholtz::GaussianTerm> gaussian;
  for (std::size_t i = 0; i < 2; ++i) {
    for (auto term : m.component[i].power_terms()) {
      term.n *= x[i];
      power.push_back(term);
    }
    for (auto term : m.component[i].gaussian_terms()) {
      term.n *= x[i];
      gaussian.push_back(term);
    }
  }
  for (auto term : m.departure.power_terms()) {
    term.n *= x[0] * x[1];
    power.push_back(term);
  }
  Helmholtz out(std::move(power), std::move(gaussian));
  std::vector<Helmholtz::IdealTerm> einstein;
  for (std::size_t i = 0; i < 2; ++i) {
    // tau_i = q tau and ln(delta_i) = ln(delta) + ln(rho_r/rho_i).
    const Helmholtz& from = m.component[i];
    const double q = m.critical_temperature[i] / reducing.T;
    const double ln_q = log_of(q);
    // A component's ideal part was fitted with its own gas constant; the ratio keeps its cp0.
    const double w = x[i] * m.component_gas_constant[i] / m.gas_constant;
    out.lead_constant += w * (from.lead_constant + from.log_tau * ln_q) +
                         x[i] * (log_of(x[i]) + log_of(reducing.rho / m.critical_density[i]));
    out.lead_tau += w * from.lead_tau * q;
    out.log_tau += w * from.log_tau;
    for (const auto& term : from.ideal_power) {
      out.ideal_power.push_back({w * term.n * exp_of(term.t * ln_q), term.t});
    }
    for (const auto& term : from.einstein) {
      if (term.n != 0.0) einstein.push_back({w * term.n, term.t * q});
    }
  }
  out.set_einstein(std::move(einstein));
  return out;
}

std::array<double, 4> packed(const MixturePoint& point) noexcept {
  return {log_of(point.p), log_of(point.rho_l), log_of(point.rho_v), point.x_other};
}
MixturePoint unpacked(const std::array<double, 4>& v) noexcept {
  return {exp_of(v[0]), exp_of(v[1]), exp_of(v[2]), v[3]};
}

/// First point of a line, at a temperature where ideal mixing of the components is a fair guess.
bool start_line(const BinaryMixture& m, const Model& first, const Model& second, double T,
                bool bubble, MixturePoint& point) noexcept {
  const double p1 = first.bubble_pressure.at(T);
  const double p2 = second.bubble_pressure.at(T);
  const double l1 = first.liquid_density.at(T) / first.molar_mass;
  const double l2 = second.liquid_density.at(T) / second.molar_mass;
  const double x2 = 1.0 - m.x1;
  point.p = bubble ? m.x1 * p1 + x2 * p2 : 1.0 / (m.x1 / p1 + x2 / p2);
  point.x_other = bubble ? m.x1 * p1 / point.p : m.x1 * point.p / p1;
  const double x_l = bubble ? m.x1 : point.x_other;
  point.rho_l = 1.0 / (x_l / l1 + (1.0 - x_l) / l2);
  point.rho_v = 1.06 * point.p / (m.gas_constant * T);
  return solve_mixture(m, T, bubble, point);
}

/// Follows a line upwards until the phases meet and returns the temperature at which
/// (rho_l - rho_v)^2, straight in T near the end, comes to zero.
double follow_up(const BinaryMixture& m, bool bubble, double T, MixturePoint point) noexcept {
  double step = 2.0;
  double last_T = T;
  MixturePoint last = point;
  double end = 0.0;
  while (step > 1e-3) {
    MixturePoint next = point;
    if (last_T < T) {
      const auto a = packed(last), b = packed(point);
      std::array<double, 4> c{};
      for (std::size_t k = 0; k < 4; ++k) c[k] = b[k] + (b[k] - a[k]) * step / (T - last_T);
      next = unpacked(c);
    }
    const MixturePoint guess = next;
    if (!solve_mixture(m, T + step, bubble, next) ||
        std::fabs(next.rho_l / guess.rho_l - 1.0) > 0.03) {
      step *= 0.5;
      continue;
    }
    last = point;
    last_T = T;
    point = next;
    T += step;
    const double a = (last.rho_l - last.rho_v) * (last.rho_l - last.rho_v);
    const double b = (point.rho_l - point.rho_v) * (point.rho_l - point.rho_v);
    end = T + b * (T - last_T) / (a - b);
    if (end - T < 4.0 * step) step *= 0.5;
  }
  return end;
}

constexpr std::size_t line_nodes = 90;
constexpr double line_start =
    0.055;  // x = sqrt(1 - T/T_c) of the node closest to the critical point

/// Fills a line's nodes from the middle to both ends.
bool fill_line(BinaryMixture& m, BinaryMixture::Line& line, bool bubble, double T_start,
               MixturePoint start) noexcept {
  line.nodes.assign(line_nodes, {});
  const auto T_of = [&](std::size_t i) {
    const double x = m.step * static_cast<double>(m.first_node + i);
    return m.line_critical_temperature * (1.0 - x * x);
  };
  std::size_t middle = 0;
  while (middle + 2 < line_nodes && T_of(middle) > T_start) ++middle;
  for (std::size_t i = middle; i < line_nodes; ++i) {
    if (i >= middle + 2) {
      const auto &a = line.nodes[i - 2], &b = line.nodes[i - 1];
      start = unpacked({2 * b[0] - a[0], 2 * b[1] - a[1], 2 * b[2] - a[2], 2 * b[3] - a[3]});
    }
    if (!solve_mixture(m, T_of(i), bubble, start)) return false;
    line.nodes[i] = packed(start);
  }
  for (std::size_t i = middle; i-- > 0;) {
    const auto &a = line.nodes[i + 2], &b = line.nodes[i + 1];
    start = unpacked({2 * b[0] - a[0], 2 * b[1] - a[1], 2 * b[2] - a[2], 2 * b[3] - a[3]});
    if (!solve_mixture(m, T_of(i), bubble, start)) return false;
    line.nodes[i] = packed(start);
  }
  return true;
}

/// Bubble liquid and dew vapour as bounds for the single-phase roots, closed towards T_c with the
/// mean density there.
void fill_bounds(Model& model) {
  const BinaryMixture& m = model.mixture;
  CoexistenceGuess& guess = model.coexistence_guess;
  const double ln_M = log_of(model.molar_mass);
  const double mean = 0.5 * (m.bubble.nodes[0][1] + m.dew.nodes[0][2]) + ln_M;
  guess.critical_temperature = m.line_critical_temperature;
  guess.critical_density = exp_of(mean);
  guess.step = m.step;
  for (std::size_t i = 0; i < m.first_node; ++i) {
    const double part = static_cast<double>(i) / static_cast<double>(m.first_node);
    guess.ln_liquid.push_back(mean + part * (m.bubble.nodes[0][1] + ln_M - mean));
    guess.ln_vapour.push_back(mean + part * (m.dew.nodes[0][2] + ln_M - mean));
  }
  for (std::size_t i = 0; i < line_nodes; ++i) {
    guess.ln_liquid.push_back(m.bubble.nodes[i][1] + ln_M);
    guess.ln_vapour.push_back(m.dew.nodes[i][2] + ln_M);
  }
}

/// T(p) of a line by secant over ln p and 1/T.
Curve curve_of(const Model& model, bool bubble, double lowest, double highest, bool& converged) {
  const BinaryMixture& m = model.mixture;
  double T = model.minimum_temperature;
  return Curve(lowest, highest, [&, bubble](double p) {
    for (int i = 0; i < 40; ++i) {
      double here = 0.0, there = 0.0;
      const double h = 1e-3 * (T > 250.0 ? -1.0 : 1.0);
      if (!line_pressure(m, bubble, T, here) || !line_pressure(m, bubble, T + h, there)) break;
      const double slope = (log_of(there) - log_of(here)) / h;
      const double next = T / (1.0 + log_of(here / p) / (slope * T));
      const double step = next - T;
      T = std::fmin(std::fmax(next, model.minimum_temperature), model.highest_state_temperature);
      if (std::fabs(step) <= 1e-11 * T) return T;
    }
    converged = false;
    return T;
  });
}

}  // namespace

Status prepare_mixture(Model& model, const Model& first, const Model& second) {
  BinaryMixture& m = model.mixture;
  const Reducing reducing = mixture_reducing(m, m.x1);
  model.molar_mass = m.x1 * m.molar_mass[0] + (1.0 - m.x1) * m.molar_mass[1];
  model.gas_constant = m.gas_constant / model.molar_mass;
  model.reducing_temperature = reducing.T;
  model.reducing_density = reducing.rho * model.molar_mass;
  model.helmholtz = at_composition(m);

  const double T_start = 270.0;
  MixturePoint bubble;
  MixturePoint dew;
  if (!start_line(m, first, second, T_start, true, bubble) ||
      !start_line(m, first, second, T_start, false, dew)) {
    return failed(model, "no bubble or dew point at 270 K");
  }
  m.line_critical_temperature =
      std::fmax(follow_up(m, true, T_start, bubble), follow_up(m, false, T_start, dew));
  if (!(m.line_critical_temperature > T_start)) return failed(model, "critical point not found");
  const double x_end = std::sqrt(1.0 - model.minimum_temperature / m.line_critical_temperature);
  // Two nodes beyond the lowest temperature, so that the cubic has its neighbours.
  m.step = (x_end - line_start) / static_cast<double>(line_nodes - 3);
  m.first_node = static_cast<std::size_t>(std::lround(line_start / m.step));
  m.step = x_end / static_cast<double>(m.first_node + line_nodes - 3);
  if (!fill_line(m, m.bubble, true, T_start, bubble) || !fill_line(m, m.dew, false, T_start, dew)) {
    return failed(model, "bubble or dew line lost");
  }
  fill_bounds(model);

  const double x_top = m.step * (static_cast<double>(m.first_node) + 1.0);
  const double top = m.line_critical_temperature * (1.0 - x_top * x_top);
  model.highest_saturation_temperature = top;
  model.highest_state_temperature = top;
  model.critical_temperature = m.line_critical_temperature;
  double bubble_low = 0.0, bubble_top = 0.0, dew_low = 0.0, dew_top = 0.0;
  const double low = model.minimum_temperature;
  if (!line_pressure(m, true, low, bubble_low) || !line_pressure(m, true, top, bubble_top) ||
      !line_pressure(m, false, low, dew_low) || !line_pressure(m, false, top, dew_top)) {
    return failed(model, "ends of bubble and dew line not found");
  }
  // Straight on in ln p over 1/T from the last two nodes.
  const double slope = (m.bubble.nodes[0][0] - m.bubble.nodes[2][0]);
  const double x0 = static_cast<double>(m.first_node);
  model.critical_pressure =
      exp_of(m.bubble.nodes[0][0] + slope * x0 * x0 / ((x0 + 2.0) * (x0 + 2.0) - x0 * x0));
  bool converged = true;
  model.highest_state_pressure = std::fmin(bubble_top, dew_top);
  model.bubble_temperature =
      curve_of(model, true, bubble_low, model.highest_state_pressure, converged);
  model.dew_temperature = curve_of(model, false, dew_low, model.highest_state_pressure, converged);
  if (!converged) return failed(model, "saturation curve did not converge");
  prepare_references(model);
  return Done{};
}

}  // namespace cw::fluid::detail
