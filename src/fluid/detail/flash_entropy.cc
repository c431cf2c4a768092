// Enthalpy and entropy given: along the isentrope, enthalpy rises with pressure (dh/dp = v).
#include <cmath>

#include "fluid/detail/bracket.h"
#include "fluid/detail/flash.h"
#include "fluid/detail/flash_errors.h"

namespace cw::fluid::detail {
namespace {

double enthalpy_of(const Model& model, const Found& found) noexcept {
  if (found.phase != Phase::two_phase) return found.point.h;
  const Saturation& at = found.saturation;
  const double l = point_at(model, at.T_bubble, at.rho_l).h;
  return l + found.q * (point_at(model, at.T_dew, at.rho_v).h - l);
}

/// A place on the isentrope: enthalpy, and density as 1/(dh/dp). Where p is too low or too high to
/// reach the entropy, a huge enthalpy says so and the density is zero (entropy falls with pressure
/// along both ends of the temperature range).
struct Along {
  double h = 0.0;
  double rho = 0.0;
};
Along along_isentrope(const Model& model, double p, double s) {
  if (const auto found = find_p_energy(model, p, Energy::s, s, false)) {
    if (found->phase != Phase::two_phase) return {found->point.h, found->point.rho};
    const Saturation& at = found->saturation;
    return {enthalpy_of(model, *found), 1.0 / ((1.0 - found->q) / at.rho_l + found->q / at.rho_v)};
  }
  const double cold = single_phase_root(model, model.minimum_temperature, p);
  const bool too_cold = !(cold > 0.0) || s <= point_at(model, model.minimum_temperature, cold).s;
  return {too_cold ? -1e9 : 1e9, 0.0};
}

/// Pressure at which the isentrope crosses the bubble line; zero when it does not.
double bubble_crossing(const Model& model, double s) {
  const double low = std::fmax(model.bubble_temperature.lowest(), model.dew_temperature.lowest());
  const double high = model.highest_state_pressure;
  const auto off = [&](double ln_p) {
    Saturation at;
    const double p = std::fmin(std::fmax(std::exp(ln_p), low), high);
    if (!saturation_at_pressure(model, p, at)) return 0.0;
    return point_at(model, at.T_bubble, at.rho_l).s - s;
  };
  const double f_low = off(std::log(low));
  const double f_high = off(std::log(high));
  if (!(f_low < 0.0 && f_high > 0.0)) return 0.0;
  const double ln_p = bracketed_root(off, std::log(low), f_low, std::log(high), f_high, 1e-14);
  return std::fmin(std::fmax(std::exp(ln_p), low), high);
}

}  // namespace

Result<Found> find_h_s(const Model& model, double h, double s) {
  if (!std::isfinite(h) || !std::isfinite(s)) return not_finite(model);
  double p_low = lowest_pressure;
  double p_high = model.maximum_pressure;
  // The equation and the published pressure curves of pseudo-pure fluids are not strictly
  // consistent, so that enthalpy may turn back a little in the two-phase part: liquid states are
  // told by the crossing of the bubble line.
  const double crossing = model.kind == FluidKind::pure ? 0.0 : bubble_crossing(model, s);
  if (crossing > 0.0) {
    (along_isentrope(model, crossing, s).h <= h ? p_low : p_high) = crossing;
  }
  const double slack = 1e-8 * (std::fabs(h) + 1e5);
  if (along_isentrope(model, p_low, s).h > h + slack ||
      along_isentrope(model, p_high, s).h < h - slack) {
    return entropy_not_reached(model, h, s);
  }
  // Newton with dh/dp = 1/rho; bisection in ln p where it leaves the bracket or creeps.
  double p = std::sqrt(p_low * p_high);
  double last = HUGE_VAL;
  for (int i = 0; i < 120; ++i) {
    const Along at = along_isentrope(model, p, s);
    const double difference = at.h - h;
    (difference > 0.0 ? p_high : p_low) = p;
    double next = at.rho > 0.0 ? p - difference * at.rho : -1.0;
    const double step = std::fabs(next - p);
    if (!(next >= p_low && next <= p_high) || step > 0.5 * last) {
      next = std::sqrt(p_low * p_high);
      last = HUGE_VAL;
    } else {
      last = step;
    }
    const double change = std::fabs(next - p);
    p = next;
    if (change <= 1e-14 * p || std::fabs(difference) <= 1e-15 * (std::fabs(h) + 1e5)) break;
  }
  const auto found = find_p_energy(model, p, Energy::s, s);
  if (!found) return found.error();
  if (std::fabs(enthalpy_of(model, *found) - h) > slack) return entropy_not_reached(model, h, s);
  return found;
}

}  // namespace cw::fluid::detail
