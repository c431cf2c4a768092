#include "fluid/detail/point.h"

#include <cmath>

#include "fluid/detail/math.h"

namespace cw::fluid::detail {

Point point_at(const Model& model, double T, double rho) noexcept {
  const double tau = model.reducing_temperature / T;
  const double delta = rho / model.reducing_density;
  const double ln_tau = log_of(tau);
  const double ln_delta = log_of(delta);
  const Derivatives r = model.helmholtz.residual(tau, delta, ln_tau, ln_delta);
  const Derivatives i = model.helmholtz.ideal(tau, ln_tau, ln_delta);
  const double RT = model.gas_constant * T;
  Point out;
  out.T = T;
  out.rho = rho;
  out.p = rho * RT * (1.0 + r.d);
  out.p_rho = RT * (1.0 + 2.0 * r.d + r.dd);
  const double slope = 1.0 + r.d - r.dt;
  out.p_T = rho * model.gas_constant * slope;
  out.u = RT * (i.t + r.t);
  out.h = out.u + RT * (1.0 + r.d);
  out.s = model.gas_constant * ((i.t + r.t) - (i.a + r.a));
  out.cv = -model.gas_constant * (i.tt + r.tt);
  out.cp = out.cv + RT * model.gas_constant * slope * slope / out.p_rho;
  const double w2 = out.p_rho * out.cp / out.cv;
  out.w = w2 > 0.0 ? std::sqrt(w2) : 0.0;
  return out;
}

PressureSlope pressure_at(const Model& model, double T, double rho) noexcept {
  const double tau = model.reducing_temperature / T;
  const Derivatives r = model.helmholtz.residual(tau, rho / model.reducing_density);
  const double RT = model.gas_constant * T;
  return {rho * RT * (1.0 + r.d), RT * (1.0 + 2.0 * r.d + r.dd)};
}

}  // namespace cw::fluid::detail
