#include "fluid/detail/helmholtz.h"

#include <algorithm>
#include <cstring>
#include <utility>

#include "base/contract.h"
#include "fluid/detail/math.h"

namespace cw::fluid::detail {
namespace {

double integer_power(double x, int n) noexcept {
  double result = 1.0;
  for (; n > 0; --n) result *= x;
  return result;
}

CW_INLINE void load(const double* from, Quad& to) noexcept { std::memcpy(&to, from, sizeof to); }

CW_INLINE double sum_of(const Quad& x) noexcept { return (x[0] + x[1]) + (x[2] + x[3]); }

/// What a sum over power terms reads: arrays of `size` terms, a multiple of four.
struct Terms {
  const double* n;
  const double* t;
  const double* d;
  const double* exponent;  ///< -delta^l - tau^m
  const double* c;         ///< l delta^l
  const double* lc;        ///< l^2 delta^l
  const double* k;         ///< m tau^m
  const double* mk;        ///< m^2 tau^m
  std::size_t size;
};

/// With v = n tau^t delta^d exp(exponent), D = d - c, T = t - k:
/// delta v' = v D, delta^2 v'' = v (D^2 - D - l c), and alike for tau.
CW_WIDE void add_power_terms(const Terms& terms, double ln_tau, double ln_delta,
                             Derivatives& out) noexcept {
  Quad a = {}, ad = {}, at = {}, add = {}, adt = {}, att = {};
  for (std::size_t i = 0; i < terms.size; i += 4) {
    Quad n, t, d, x, c, lc, v;
    load(terms.n + i, n);
    load(terms.t + i, t);
    load(terms.d + i, d);
    load(terms.exponent + i, x);
    load(terms.c + i, c);
    load(terms.lc + i, lc);
    x = t * ln_tau + d * ln_delta + x;
    x = x < -700.0 ? -700.0 + 0.0 * x : x;
    exp_quad(x, v);
    v *= n;
    const Quad D = d - c;
    const Quad vD = v * D;
    a += v;
    ad += vD;
    add += vD * D - vD - v * lc;
    if (terms.k == nullptr) {
      const Quad vt = v * t;
      at += vt;
      att += vt * t - vt;
      adt += vD * t;
    } else {
      Quad k, mk;
      load(terms.k + i, k);
      load(terms.mk + i, mk);
      const Quad T = t - k;
      const Quad vT = v * T;
      at += vT;
      att += vT * T - vT - v * mk;
      adt += vD * T;
    }
  }
  out = {sum_of(a), sum_of(ad), sum_of(at), sum_of(add), sum_of(adt), sum_of(att)};
}

}  // namespace

Helmholtz::Helmholtz(std::vector<PowerTerm> power, std::vector<GaussianTerm> gaussian)
    : power_(std::move(power)), gaussian_(std::move(gaussian)) {
  CW_REQUIRE(power_.size() <= most_terms);
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
    group.end = n_.size();
    groups_.push_back(group);
    if (group.m > 0.0) tau_exponentials_ = true;
  }
  for (; n_.size() % 4 != 0; ++groups_.back().end) {  // terms that add nothing
    n_.push_back(0.0);
    t_.push_back(0.0);
    d_.push_back(0.0);
  }
}

void Helmholtz::set_einstein(std::vector<IdealTerm> terms) {
  while (terms.size() % 4 != 0) terms.push_back({0.0, 1.0});
  einstein = std::move(terms);
}

Derivatives Helmholtz::residual(double tau, double delta, double ln_tau,
                                double ln_delta) const noexcept {
  double exponent[most_terms], c[most_terms], lc[most_terms], k[most_terms], mk[most_terms];
  double power = 1.0;  // delta^l; groups come in the order of l
  int power_of_delta = 0;
  for (const Group& group : groups_) {
    for (; power_of_delta < group.l; ++power_of_delta) power *= delta;
    double e = group.l > 0 ? -power : 0.0;
    const double group_c = group.l * power;
    const double group_lc = group.l * group_c;
    double group_k = 0.0;
    if (group.m > 0.0) {
      const double tau_power = exp_of(group.m * ln_tau);
      e -= tau_power;
      group_k = group.m * tau_power;
    }
    for (std::size_t i = group.begin; i < group.end; ++i) {
      exponent[i] = e;
      c[i] = group_c;
      lc[i] = group_lc;
      k[i] = group_k;
      mk[i] = group.m * group_k;
    }
  }
  Derivatives out;
  add_power_terms({n_.data(), t_.data(), d_.data(), exponent, c, lc,
                   tau_exponentials_ ? k : nullptr, mk, n_.size()},
                  ln_tau, ln_delta, out);
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

namespace {

/// n ln(1 - exp(-t tau)) with derivatives.
CW_WIDE void add_einstein_terms(const Helmholtz::IdealTerm* terms, std::size_t size, double tau,
                                Derivatives& out) noexcept {
  Quad a = {}, at = {}, att = {};
  for (std::size_t i = 0; i < size; i += 4) {
    const Quad n = {terms[i].n, terms[i + 1].n, terms[i + 2].n, terms[i + 3].n};
    const Quad x = Quad{terms[i].t, terms[i + 1].t, terms[i + 2].t, terms[i + 3].t} * tau;
    Quad e, ln_rest;
    const Quad minus_x = x < 700.0 ? -x : -700.0 + 0.0 * x;
    exp_quad(minus_x, e);
    const Quad rest = 1.0 - e;
    log_quad(rest, ln_rest);
    const Quad quotient = x / rest;
    a += n * ln_rest;
    at += n * (quotient * e);
    att += n * (quotient * quotient * e);
  }
  out.a += sum_of(a);
  out.t += sum_of(at);
  out.tt -= sum_of(att);
}

}  // namespace

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
  add_einstein_terms(einstein.data(), einstein.size(), tau, out);
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
    std::vector<Helmholtz::IdealTerm> list;
    for (const auto& row : *rows) list.push_back({row[0], row[1]});
    if (key[0] == 'p') {
      out->ideal_power = std::move(list);
    } else {
      out->set_einstein(std::move(list));
    }
  }
  return out;
}

}  // namespace cw::fluid::detail
