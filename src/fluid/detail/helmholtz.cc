#include "fluid/detail/helmholtz.h"

#include <algorithm>
#include <cstring>

#include "fluid/detail/math.h"

namespace cw::fluid::detail {
namespace {

double integer_power(double x, int n) noexcept {
  double result = 1.0;
  for (; n > 0; --n) result *= x;
  return result;
}

inline Pair load(const double* from) noexcept {
  Pair out;
  std::memcpy(&out, from, sizeof out);
  return out;
}

/// Sums over one group of terms v = n tau^t delta^d.
struct Sums {
  double v = 0.0, vd = 0.0, vdd = 0.0, vt = 0.0, vtt = 0.0, vdt = 0.0;
};

}  // namespace

Helmholtz::Helmholtz(std::vector<PowerTerm> power, std::vector<GaussianTerm> gaussian)
    : power_(std::move(power)), gaussian_(std::move(gaussian)) {
  std::stable_sort(power_.begin(), power_.end(), [](const PowerTerm& a, const PowerTerm& b) {
    return a.l != b.l ? a.l < b.l : a.m < b.m;
  });
  for (std::size_t i = 0; i < power_.size();) {
    Group group{power_[i].l, power_[i].m, n_.size(), 0};
    for (; i < power_.size() && power_[i].l == group.l && power_[i].m == group.m; ++i) {
      n_.push_back(power_[i].n);
      t_.push_back(power_[i].t);
      d_.push_back(power_[i].d);
    }
    if (n_.size() % 2 != 0) {  // a term that adds nothing
      n_.push_back(0.0);
      t_.push_back(0.0);
      d_.push_back(0.0);
    }
    group.end = n_.size();
    groups_.push_back(group);
  }
}

Derivatives Helmholtz::residual(double tau, double delta, double ln_tau,
                                double ln_delta) const noexcept {
  Derivatives out;
  const Pair lt = {ln_tau, ln_tau};
  const Pair ld = {ln_delta, ln_delta};
  for (const Group& group : groups_) {
    Pair v = {}, vd = {}, vdd = {}, vt = {}, vtt = {}, vdt = {};
    for (std::size_t i = group.begin; i < group.end; i += 2) {
      const Pair t = load(&t_[i]);
      const Pair d = load(&d_[i]);
      Pair x = t * lt + d * ld;
      const Pair floor = {-700.0, -700.0};
      x = x < floor ? floor : x;
      const Pair term = load(&n_[i]) * exp_kernel<Pair, PairBits>(x);
      const Pair term_d = term * d;
      const Pair term_t = term * t;
      v += term;
      vd += term_d;
      vt += term_t;
      vdd += term_d * d;
      vdt += term_d * t;
      vtt += term_t * t;
    }
    const Sums s{v[0] + v[1],   vd[0] + vd[1],   vdd[0] + vdd[1],
                 vt[0] + vt[1], vtt[0] + vtt[1], vdt[0] + vdt[1]};
    // With the factor e = exp(-delta^l - tau^m): d -> d - c, c = l delta^l, and alike for tau.
    double e = 1.0;
    double c = 0.0;
    double k = 0.0;
    if (group.l > 0) {
      const double power = integer_power(delta, group.l);
      c = group.l * power;
      e = -power;
    }
    if (group.m > 0.0) {
      const double power = exp_of(group.m * ln_tau);
      k = group.m * power;
      e = group.l > 0 ? e - power : -power;
    }
    if (group.l > 0 || group.m > 0.0) e = exp_of(e);
    const double vd1 = s.vd - c * s.v;
    const double vt1 = s.vt - k * s.v;
    out.a += e * s.v;
    out.d += e * vd1;
    out.t += e * vt1;
    out.dd += e * (s.vdd - 2.0 * c * s.vd + c * c * s.v - vd1 - group.l * c * s.v);
    out.tt += e * (s.vtt - 2.0 * k * s.vt + k * k * s.v - vt1 - group.m * k * s.v);
    out.dt += e * (s.vdt - c * s.vt - k * vd1);
  }
  for (const GaussianTerm& g : gaussian_) {
    const double x = delta - g.epsilon;
    const double y = tau - g.gamma;
    const double v = g.n * exp_of(g.t * ln_tau + g.d * ln_delta - g.eta * x * x - g.beta * y * y);
    const double d = g.d - 2.0 * g.eta * delta * x;
    const double t = g.t - 2.0 * g.beta * tau * y;
    out.a += v;
    out.d += v * d;
    out.t += v * t;
    out.dd += v * (d * d - d - 2.0 * g.eta * delta * (2.0 * delta - g.epsilon));
    out.tt += v * (t * t - t - 2.0 * g.beta * tau * (2.0 * tau - g.gamma));
    out.dt += v * d * t;
  }
  return out;
}

Derivatives Helmholtz::residual(double tau, double delta) const noexcept {
  return residual(tau, delta, log_of(tau), log_of(delta));
}

double Helmholtz::residual_ddd(double tau, double delta) const noexcept {
  // v = f exp(...): with q = delta dln(v)/ddelta, q1 = delta dq/ddelta, q2 = delta dq1/ddelta,
  // delta^3 v'''/v = q^3 + 3 q q1 + q2 - 3 (q^2 + q1) + 2 q.
  const double ln_tau = log_of(tau);
  const double ln_delta = log_of(delta);
  double sum = 0.0;
  const auto add = [&](double v, double q, double q1, double q2) {
    sum += v * (q * q * q + 3.0 * q * q1 + q2 - 3.0 * (q * q + q1) + 2.0 * q);
  };
  for (const PowerTerm& p : power_) {
    const double dl = p.l > 0 ? integer_power(delta, p.l) : 0.0;
    const double tm = p.m > 0.0 ? exp_of(p.m * ln_tau) : 0.0;
    const double v = p.n * exp_of(p.t * ln_tau + p.d * ln_delta - dl - tm);
    add(v, p.d - p.l * dl, -p.l * p.l * dl, -p.l * p.l * p.l * dl);
  }
  for (const GaussianTerm& g : gaussian_) {
    const double x = delta - g.epsilon;
    const double y = tau - g.gamma;
    const double v = g.n * exp_of(g.t * ln_tau + g.d * ln_delta - g.eta * x * x - g.beta * y * y);
    add(v, g.d - 2.0 * g.eta * delta * x, -2.0 * g.eta * delta * (2.0 * delta - g.epsilon),
        -2.0 * g.eta * delta * (4.0 * delta - g.epsilon));
  }
  return sum;
}

Derivatives Helmholtz::ideal(double tau, double ln_tau, double ln_delta) const noexcept {
  Derivatives out;
  out.a = ln_delta + lead_constant + lead_tau * tau + log_tau * ln_tau;
  out.d = 1.0;
  out.dd = -1.0;
  out.t = lead_tau * tau + log_tau;
  out.tt = -log_tau;
  for (const IdealTerm& p : ideal_power) {
    const double v = p.n * exp_of(p.t * ln_tau);
    out.a += v;
    out.t += p.t * v;
    out.tt += p.t * (p.t - 1.0) * v;
  }
  for (const IdealTerm& p : einstein) {
    const double x = p.t * tau;
    const double e = exp_of(-x);
    const double rest = 1.0 - e;
    const double quotient = x / rest;
    out.a += p.n * log_of(rest);
    out.t += p.n * quotient * e;
    out.tt -= p.n * quotient * quotient * e;
  }
  return out;
}

Result<Helmholtz> read_residual(const DataFile& file) {
  const auto power = file.rows("residual", "power", 5);
  if (!power) return power.error();
  std::vector<Helmholtz::PowerTerm> terms;
  for (const auto& row : *power) {
    terms.push_back({row[0], row[1], row[2], static_cast<int>(row[3]), row[4]});
  }
  std::vector<Helmholtz::GaussianTerm> bells;
  if (file.has("residual", "gaussian")) {
    const auto rows = file.rows("residual", "gaussian", 7);
    if (!rows) return rows.error();
    for (const auto& r : *rows) bells.push_back({r[0], r[1], r[2], r[3], r[4], r[5], r[6]});
  }
  return Helmholtz(std::move(terms), std::move(bells));
}

Result<Helmholtz> read_helmholtz(const DataFile& file) {
  const auto lead = file.rows("ideal", "lead", 2);
  if (!lead) return lead.error();
  const auto log_tau = file.number("ideal", "log_tau");
  if (!log_tau) return log_tau.error();
  auto out = read_residual(file);
  if (!out) return out;
  out->lead_constant = (*lead)[0][0];
  out->lead_tau = (*lead)[0][1];
  out->log_tau = *log_tau;
  for (const char* key : {"power", "einstein"}) {
    if (!file.has("ideal", key)) continue;
    const auto rows = file.rows("ideal", key, 2);
    if (!rows) return rows.error();
    auto& list = key[0] == 'p' ? out->ideal_power : out->einstein;
    for (const auto& row : *rows) list.push_back({row[0], row[1]});
  }
  return out;
}

}  // namespace cw::fluid::detail
