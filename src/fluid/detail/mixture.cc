#include "fluid/detail/mixture.h"

#include <cmath>
#include <utility>

#include "fluid/detail/math.h"
#include "fluid/detail/saturation_solver.h"

namespace cw::fluid::detail {
namespace {

/// x1 x2 / (beta^2 x1 + x2) and its derivative by x1 at x2 = 1 - x1.
struct Mixed {
  double value;
  double slope;
};
Mixed mixed(double x1, double beta) noexcept {
  const double x2 = 1.0 - x1;
  const double b = beta * beta;
  const double below = b * x1 + x2;
  return {x1 * x2 / below, ((x2 - x1) * below - x1 * x2 * (b - 1.0)) / (below * below)};
}

double cube_root(double x) noexcept { return power_of(x, 1.0 / 3.0); }

}  // namespace

Reducing mixture_reducing(const BinaryMixture& m, double x1) noexcept {
  const double x2 = 1.0 - x1;
  const Mixed t = mixed(x1, m.beta_T);
  const double t12 =
      2.0 * m.beta_T * m.gamma_T * std::sqrt(m.critical_temperature[0] * m.critical_temperature[1]);
  Reducing out;
  out.T = x1 * x1 * m.critical_temperature[0] + x2 * x2 * m.critical_temperature[1] +
          t12 * t.value;  // [kunz2012, Eq. 16]
  out.T_x =
      2.0 * x1 * m.critical_temperature[0] - 2.0 * x2 * m.critical_temperature[1] + t12 * t.slope;
  const Mixed v = mixed(x1, m.beta_v);
  const double sum =
      1.0 / cube_root(m.critical_density[0]) + 1.0 / cube_root(m.critical_density[1]);
  const double v12 = 2.0 * m.beta_v * m.gamma_v * 0.125 * sum * sum * sum;
  const double volume = x1 * x1 / m.critical_density[0] + x2 * x2 / m.critical_density[1] +
                        v12 * v.value;  // [kunz2012, Eq. 17]
  const double volume_x =
      2.0 * x1 / m.critical_density[0] - 2.0 * x2 / m.critical_density[1] + v12 * v.slope;
  out.rho = 1.0 / volume;
  out.rho_x = -volume_x / (volume * volume);
  return out;
}

MixturePhase mixture_phase(const BinaryMixture& m, double T, double rho, double x1) noexcept {
  const double x2 = 1.0 - x1;
  const Reducing r = mixture_reducing(m, x1);
  const double tau = r.T / T;
  const double delta = rho / r.rho;
  const double ln_tau = log_of(tau);
  const double ln_delta = log_of(delta);
  const Derivatives a = m.component[0].residual(tau, delta, ln_tau, ln_delta);
  const Derivatives b = m.component[1].residual(tau, delta, ln_tau, ln_delta);
  const Derivatives c = m.departure.residual(tau, delta, ln_tau, ln_delta);
  const auto blend = [&](double of_a, double of_b, double of_c) {
    return x1 * of_a + x2 * of_b + x1 * x2 * of_c;
  };
  const double alpha = blend(a.a, b.a, c.a);
  const double alpha_d = blend(a.d, b.d, c.d);
  const double alpha_t = blend(a.t, b.t, c.t);
  const double alpha_x = a.a - b.a + (x2 - x1) * c.a;
  MixturePhase out;
  out.p = rho * m.gas_constant * T * (1.0 + alpha_d);
  out.p_rho = m.gas_constant * T * (1.0 + 2.0 * alpha_d + blend(a.dd, b.dd, c.dd));
  // d(n alpha)/dn_i at constant T and V [kunz2012, Table B4]; n d/dn_1 = x2 d/dx1 for two
  // components.
  const double common = alpha_x + alpha_t * r.T_x / r.T - alpha_d * r.rho_x / r.rho;
  const double base = alpha + alpha_d + log_of(rho);
  out.ln_f[0] = base + x2 * common + log_of(x1);
  out.ln_f[1] = base - x1 * common + log_of(x2);
  return out;
}

bool solve_mixture(const BinaryMixture& m, double T, bool bubble, MixturePoint& point) noexcept {
  // Unknowns: relative changes of both densities and the trace composition.
  double last = HUGE_VAL;
  for (int i = 0; i < 40; ++i) {
    const double x_l = bubble ? m.x1 : point.x_other;
    const double x_v = bubble ? point.x_other : m.x1;
    const MixturePhase l = mixture_phase(m, T, point.rho_l, x_l);
    const MixturePhase v = mixture_phase(m, T, point.rho_v, x_v);
    if (!(l.p_rho > 0.0 && v.p_rho > 0.0)) return false;
    constexpr double h = 1e-7;
    const MixturePhase l_rho = mixture_phase(m, T, point.rho_l * (1.0 + h), x_l);
    const MixturePhase v_rho = mixture_phase(m, T, point.rho_v * (1.0 + h), x_v);
    const MixturePhase other_x = bubble ? mixture_phase(m, T, point.rho_v, x_v + h)
                                        : mixture_phase(m, T, point.rho_l, x_l + h);
    const double sign = bubble ? -1.0 : 1.0;
    const MixturePhase& other = bubble ? v : l;
    double a[3][4];
    for (int row = 0; row < 3; ++row) {
      const auto of = [&](const MixturePhase& phase) {
        return row == 0 ? phase.p / v.p : phase.ln_f[static_cast<std::size_t>(row - 1)];
      };
      a[row][0] = (of(l_rho) - of(l)) / h;
      a[row][1] = -(of(v_rho) - of(v)) / h;
      a[row][2] = sign * (of(other_x) - of(other)) / h;
      a[row][3] = -(of(l) - of(v));
    }
    double step[3];
    if (!solve_3(a, step)) return false;
    const double size = std::fmax(std::fabs(step[0]) / 0.05,
                                  std::fmax(std::fabs(step[1]) / 0.2, std::fabs(step[2]) / 0.05));
    const double scale = size > 1.0 ? 1.0 / size : 1.0;
    point.rho_l *= 1.0 + scale * step[0];
    point.rho_v *= 1.0 + scale * step[1];
    point.x_other += scale * step[2];
    if (!(point.x_other > 1e-6 && point.x_other < 1.0 - 1e-6)) return false;
    const double change = std::fabs(step[0]) + std::fabs(step[1]) + std::fabs(step[2]);
    if (change < 1e-13 || (change < 1e-8 && change >= 0.5 * last)) {
      point.p = mixture_phase(m, T, point.rho_v, bubble ? point.x_other : m.x1).p;
      return point.rho_l > 1.02 * point.rho_v && point.p > 0.0;
    }
    last = change;
  }
  return false;
}

bool solve_3(double a[3][4], double out[3]) noexcept {
  for (int k = 0; k < 3; ++k) {
    int pivot = k;
    for (int r = k + 1; r < 3; ++r) {
      if (std::fabs(a[r][k]) > std::fabs(a[pivot][k])) pivot = r;
    }
    if (!(std::fabs(a[pivot][k]) > 0.0)) return false;
    for (int c = 0; c < 4; ++c) std::swap(a[k][c], a[pivot][c]);
    for (int r = k + 1; r < 3; ++r) {
      const double f = a[r][k] / a[k][k];
      for (int c = k; c < 4; ++c) a[r][c] -= f * a[k][c];
    }
  }
  for (int k = 2; k >= 0; --k) {
    double sum = a[k][3];
    for (int c = k + 1; c < 3; ++c) sum -= a[k][c] * out[c];
    out[k] = sum / a[k][k];
  }
  return std::isfinite(out[0]) && std::isfinite(out[1]) && std::isfinite(out[2]);
}

namespace {

/// Starting values from the prepared line, cubic over x. @param T below the lines' end.
MixturePoint from_line(const BinaryMixture& m, const BinaryMixture::Line& line, double T) noexcept {
  const double x = std::sqrt(std::fmax(0.0, 1.0 - T / m.line_critical_temperature)) / m.step -
                   static_cast<double>(m.first_node);
  const double last = static_cast<double>(line.nodes.size() - 3);
  const double cell = std::fmin(std::fmax(std::floor(x), 1.0), last);
  const auto i = static_cast<std::size_t>(cell);
  const double t = x - cell;
  std::array<double, 4> value{};
  for (std::size_t k = 0; k < 4; ++k) {
    const double a = line.nodes[i - 1][k], b = line.nodes[i][k], c = line.nodes[i + 1][k],
                 d = line.nodes[i + 2][k];
    value[k] = b + t * ((c - a / 3.0 - b / 2.0 - d / 6.0) +
                        t * ((a + c) / 2.0 - b + t * ((b - c) / 2.0 + (d - a) / 6.0)));
  }
  return {exp_of(value[0]), exp_of(value[1]), exp_of(value[2]), value[3]};
}

/// The line's point at T; also refuses a root that is not the one next to the prepared line.
bool on_line(const BinaryMixture& m, bool bubble, double T, MixturePoint& out) noexcept {
  const MixturePoint guess = from_line(m, bubble ? m.bubble : m.dew, T);
  out = guess;
  return solve_mixture(m, T, bubble, out) && std::fabs(out.p / guess.p - 1.0) < 0.01 &&
         std::fabs(out.rho_l / guess.rho_l - 1.0) < 0.02;
}

/// The same at a pressure: Newton over T with the slope of the prepared curve.
bool at_pressure(const Model& model, bool bubble, double p, double& T, MixturePoint& out) noexcept {
  const Curve& curve = bubble ? model.bubble_temperature : model.dew_temperature;
  T = curve.inside(p);
  const double slope = curve.slope(p);
  for (int i = 0; i < 12; ++i) {
    if (!on_line(model.mixture, bubble, T, out)) return false;
    const double step = (p - out.p) * slope;
    T += step;
    if (std::fabs(step) < 1e-12 * T) return true;
  }
  return false;
}

}  // namespace

bool line_pressure(const BinaryMixture& m, bool bubble, double T, double& p) noexcept {
  MixturePoint point;
  if (!on_line(m, bubble, T, point)) return false;
  p = point.p;
  return true;
}

bool mixture_at_temperature(const Model& model, double T, Saturation& out) noexcept {
  MixturePoint bubble;
  MixturePoint dew;
  if (!on_line(model.mixture, true, T, bubble) || !on_line(model.mixture, false, T, dew)) {
    return false;
  }
  out = {T, T, bubble.p, dew.p, bubble.rho_l * model.molar_mass, dew.rho_v * model.molar_mass};
  return true;
}

bool mixture_at_pressure(const Model& model, double p, Saturation& out) noexcept {
  MixturePoint bubble;
  MixturePoint dew;
  out.p_bubble = out.p_dew = p;
  if (!at_pressure(model, true, p, out.T_bubble, bubble) ||
      !at_pressure(model, false, p, out.T_dew, dew)) {
    return false;
  }
  out.rho_l = bubble.rho_l * model.molar_mass;
  out.rho_v = dew.rho_v * model.molar_mass;
  return true;
}

}  // namespace cw::fluid::detail
