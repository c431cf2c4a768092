#include "fluid/detail/saturation_solver.h"

#include <cmath>

#include "fluid/detail/ancillary.h"
#include "fluid/detail/density.h"
#include "fluid/detail/math.h"
#include "fluid/detail/mixture.h"
#include "fluid/detail/point.h"

namespace cw::fluid::detail {

bool coexistence(const Model& model, double T, double& rho_l, double& rho_v) noexcept {
  const double tau = model.reducing_temperature / T;
  const double ln_tau = log_of(tau);
  double dl = rho_l / model.reducing_density;
  double dv = rho_v / model.reducing_density;
  double last = HUGE_VAL;
  for (int i = 0; i < 60; ++i) {
    const double ln_l = log_of(dl);
    const double ln_v = log_of(dv);
    const Derivatives l = model.helmholtz.residual(tau, dl, ln_tau, ln_l);
    const Derivatives v = model.helmholtz.residual(tau, dv, ln_tau, ln_v);
    const double slope_l = 1.0 + 2.0 * l.d + l.dd;
    const double slope_v = 1.0 + 2.0 * v.d + v.dd;
    if (!(slope_l > 0.0 && slope_v > 0.0)) {  // between the spinodals: move apart
      if (!(slope_l > 0.0)) dl *= 1.01;
      if (!(slope_v > 0.0)) dv *= 0.97;
      continue;
    }
    const double j = dl * (1.0 + l.d) - dv * (1.0 + v.d);      // [akasaka2008, Eq. 20]
    const double k = (l.d + l.a + ln_l) - (v.d + v.a + ln_v);  // [akasaka2008, Eq. 21]
    const double x = (j / dv - k) / (1.0 / dl - 1.0 / dv);
    double step_l = x / slope_l;
    double step_v = (x + j) / slope_v;
    const double size = std::fmax(std::fabs(step_l) / (0.1 * dl), std::fabs(step_v) / (0.3 * dv));
    if (size > 1.0) {
      step_l /= size;
      step_v /= size;
    }
    dl += step_l;
    dv += step_v;
    const double change = std::fabs(step_l) / dl + std::fabs(step_v) / dv;
    if (change <= 1e-14 || (change < 1e-6 && change >= 0.5 * last)) {
      rho_l = dl * model.reducing_density;
      rho_v = dv * model.reducing_density;
      return dl > dv * (1.0 + 1e-6);
    }
    last = change;
  }
  return false;
}

double clapeyron_slope(const Model& model, double T, double rho_l, double rho_v) noexcept {
  const Point l = point_at(model, T, rho_l);
  const Point v = point_at(model, T, rho_v);
  return (v.s - l.s) / (1.0 / rho_v - 1.0 / rho_l);
}

SaturationSlopes saturation_slopes(const Model& model, const Saturation& at, const Point& l,
                                   const Point& v) noexcept {
  if (model.kind == FluidKind::pseudo_pure) {
    return {1.0 / (at.p_bubble * model.bubble_pressure.log_slope(at.T_bubble)),
            1.0 / (at.p_dew * model.dew_pressure.log_slope(at.T_dew))};
  }
  if (model.kind == FluidKind::mixture) {
    return {model.bubble_temperature.slope(at.p_bubble), model.dew_temperature.slope(at.p_dew)};
  }
  const double slope = (1.0 / v.rho - 1.0 / l.rho) / (v.s - l.s);
  return {slope, slope};
}

namespace {

/// Coexisting densities of a pure fluid from the prepared guesses.
bool pure_at_temperature(const Model& model, double T, Saturation& out) noexcept {
  out.T_bubble = out.T_dew = T;
  out.rho_l = model.coexistence_guess.liquid(T);
  out.rho_v = model.coexistence_guess.vapour(T);
  if (!coexistence(model, T, out.rho_l, out.rho_v)) return false;
  out.p_bubble = out.p_dew = pressure_at(model, T, out.rho_v).p;
  return true;
}

bool pure_at_pressure(const Model& model, double p, Saturation& out) noexcept {
  double T = model.bubble_temperature.inside(p);
  for (int i = 0; i < 20; ++i) {
    if (!pure_at_temperature(model, T, out)) return false;
    const double slope = clapeyron_slope(model, T, out.rho_l, out.rho_v);
    const double step = (p - out.p_dew) / slope;
    double next = T + step;
    if (next > model.highest_saturation_temperature) {
      next = 0.5 * (T + model.highest_saturation_temperature);
    }
    if (next < model.minimum_temperature) next = model.minimum_temperature;
    if (std::fabs(next - T) <= 1e-14 * T || (i > 3 && std::fabs(step) < 1e-11 * T)) {
      out.p_bubble = out.p_dew = p;
      return true;
    }
    T = next;
  }
  return false;
}

/// Liquid and vapour roots of the equation on the published bubble and dew curves.
bool pseudo_pure_roots(const Model& model, Saturation& out) noexcept {
  // The equation's own coexistence bounds the roots; where a published pressure lies inside its
  // loop, the root is the metastable one next to it.
  const double l = model.coexistence_guess.liquid(out.T_bubble);
  out.rho_l = liquid_density(model, out.T_bubble, out.p_bubble, l);
  if (!(out.rho_l > 0.0)) out.rho_l = density_near(model, out.T_bubble, out.p_bubble, l);
  const double v = model.coexistence_guess.vapour(out.T_dew);
  out.rho_v = vapour_density(model, out.T_dew, out.p_dew, v);
  if (!(out.rho_v > 0.0)) out.rho_v = density_near(model, out.T_dew, out.p_dew, v);
  return out.rho_l > 0.0 && out.rho_v > 0.0;
}

}  // namespace

bool saturation_at_temperature(const Model& model, double T, Saturation& out) noexcept {
  if (!(T >= model.minimum_temperature && T <= model.highest_state_temperature)) return false;
  switch (model.kind) {
    case FluidKind::pure:
      return pure_at_temperature(model, T, out);
    case FluidKind::pseudo_pure:
      out.T_bubble = out.T_dew = T;
      out.p_bubble = model.bubble_pressure.at(T);
      out.p_dew = model.dew_pressure.at(T);
      return pseudo_pure_roots(model, out);
    case FluidKind::mixture:
      return mixture_at_temperature(model, T, out);
  }
  return false;
}

bool saturation_at_pressure(const Model& model, double p, Saturation& out) noexcept {
  const Curve& bubble = model.bubble_temperature;
  const Curve& dew = model.dew_temperature;
  if (!(p >= bubble.lowest() && p >= dew.lowest() && p <= model.highest_state_pressure)) {
    return false;
  }
  out.p_bubble = out.p_dew = p;
  switch (model.kind) {
    case FluidKind::pure:
      return pure_at_pressure(model, p, out);
    case FluidKind::pseudo_pure: {
      const double top = model.highest_saturation_temperature;
      out.T_bubble = ancillary_temperature(model.bubble_pressure, p, bubble.inside(p), top);
      out.T_dew = ancillary_temperature(model.dew_pressure, p, dew.inside(p), top);
      return pseudo_pure_roots(model, out);
    }
    case FluidKind::mixture:
      return mixture_at_pressure(model, p, out);
  }
  return false;
}

}  // namespace cw::fluid::detail
