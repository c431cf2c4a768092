#include "fluid/detail/flash.h"

#include <cmath>

#include "base/text.h"
#include "fluid/detail/bracket.h"
#include "fluid/detail/density.h"
#include "fluid/detail/flash_errors.h"

namespace cw::fluid::detail {
namespace {

double energy_of(const Point& point, Energy energy) noexcept {
  return energy == Energy::h ? point.h : energy == Energy::s ? point.s : point.u;
}

/// Slope of h or s with temperature along an isobar.
double isobaric_slope(const Point& point, Energy energy) noexcept {
  return energy == Energy::h ? point.cp : point.cp / point.T;
}

Phase single_phase(const Model& model, double T, double p, bool liquid) noexcept {
  if (T >= model.critical_temperature) {
    return p >= model.critical_pressure ? Phase::supercritical : Phase::vapour;
  }
  return liquid ? Phase::liquid : Phase::vapour;
}

/// The box around the critical point in which phases cannot be told apart.
bool near_critical(const Model& model, double T, double p) noexcept {
  return T > model.highest_state_temperature && T < model.critical_temperature &&
         p > model.highest_state_pressure && p < 1.0005 * model.critical_pressure;
}

Found single(const Model& model, double T, double rho, bool liquid) {
  Found out;
  out.T = T;
  out.point = point_at(model, T, rho);
  out.p = out.point.p;
  out.phase = single_phase(model, T, out.p, liquid);
  return out;
}

Found two_phase(const Saturation& at, double p, double q) {
  Found out;
  out.phase = Phase::two_phase;
  out.p = p;
  out.q = q;
  out.T = at.T_bubble + q * (at.T_dew - at.T_bubble);
  out.saturation = at;
  return out;
}

bool is_low_pressure(const Model& model, double p) noexcept {
  return p < std::fmax(model.bubble_temperature.lowest(), model.dew_temperature.lowest());
}

/// Which roots an isobar takes: those of one phase, or whichever belongs to the temperature.
enum class Side { liquid, vapour, any };

double root_on(const Model& model, Side side, double T, double p) noexcept {
  switch (side) {
    case Side::liquid:
      return liquid_root(model, T, p);
    case Side::vapour:
      return vapour_root(model, T, p);
    case Side::any:
      break;
  }
  return single_phase_root(model, T, p);
}

/// Safeguarded Newton for h or s over temperature at constant pressure; the value rises with T.
Result<Found> isobar(const Model& model, double p, Energy energy, double value, double T_low,
                     double T_high, Side side, bool strict) {
  Point point;  // the last one; the next density is sought from it where it may be trusted
  const auto at = [&](double T) {
    double rho = 0.0;
    if (point.rho > 0.0 && std::fabs(T - point.T) < 0.03 * T) {
      const double guess = point.rho - point.p_T / point.p_rho * (T - point.T);
      rho = density_near(model, T, p, guess);
      if (rho > model.coexistence_guess.vapour(T) && rho < model.coexistence_guess.liquid(T)) {
        rho = 0.0;
      }
    }
    if (!(rho > 0.0)) rho = root_on(model, side, T, p);
    return rho > 0.0 ? point_at(model, T, rho) : Point{};
  };
  const Point low = at(T_low);
  const Point high = at(T_high);
  if (!(low.rho > 0.0 && high.rho > 0.0)) return not_converged(model, "isobar ends");
  const double from = energy_of(low, energy);
  const double to = energy_of(high, energy);
  const double slack = 1e-9 * (std::fabs(value) + std::fabs(to - from));
  if (value < from - slack || value > to + slack) {
    return energy_outside(model, energy, value, from, to, p);
  }
  double T =
      T_low + (T_high - T_low) * std::fmin(1.0, std::fmax(0.0, (value - from) / (to - from)));
  double last = HUGE_VAL;
  for (int i = 0; i < 100; ++i) {
    point = at(T);
    if (!(point.rho > 0.0)) return near_critical_error(model);
    const double difference = energy_of(point, energy) - value;
    (difference > 0.0 ? T_high : T_low) = T;
    double next = T - difference / isobaric_slope(point, energy);
    // Newton must halve its steps; near an inflection of the isobar it would creep.
    const bool creeps = i > 1 && std::fabs(next - T) > 0.5 * last && last > 1e-9 * T;
    if (creeps || !(next >= T_low && next <= T_high)) next = 0.5 * (T_low + T_high);
    const double step = std::fabs(next - T);
    if (step <= 1e-15 * T || (i > 6 && step <= 1e-12 * T && step >= last)) break;
    if (T_high - T_low <= 1e-15 * T) break;
    last = step;
    T = next;
  }
  if (strict &&
      (near_critical(model, point.T, p) || std::fabs(energy_of(point, energy) - value) > slack)) {
    return near_critical_error(model);
  }
  Found found =
      single(model, point.T, point.rho, point.rho > model.coexistence_guess.critical_density);
  found.p = p;
  return found;
}

}  // namespace

double liquid_root(const Model& model, double T, double p) noexcept {
  const double bound = model.coexistence_guess.liquid(T);
  const double rho = liquid_density(model, T, p, bound);
  return rho > 0.0 ? rho : density_near(model, T, p, bound);
}

double vapour_root(const Model& model, double T, double p) noexcept {
  const double bound = model.coexistence_guess.vapour(T);
  const double rho = vapour_density(model, T, p, bound);
  return rho > 0.0 ? rho : density_near(model, T, p, bound);
}

double single_phase_root(const Model& model, double T, double p) noexcept {
  bool liquid = false;
  if (p >= model.highest_state_pressure) {
    const double T_c = model.coexistence_guess.critical_temperature;
    liquid = T < T_c ? p >= model.critical_pressure || T < model.highest_state_temperature
                     : p >= pressure_at(model, T, model.coexistence_guess.critical_density).p;
  } else if (!is_low_pressure(model, p)) {
    liquid = T < model.bubble_temperature.inside(p) + 1e-6;
  }
  return liquid ? liquid_root(model, T, p) : vapour_root(model, T, p);
}

Result<Found> find_T_p(const Model& model, double T, double p) {
  if (auto error = check_T_p(model, T, p)) return *error;
  bool liquid = false;
  if (T <= model.highest_state_temperature) {
    Saturation at;
    if (!saturation_at_temperature(model, T, at)) return not_converged(model, "saturation");
    if (model.kind == FluidKind::pure && std::fabs(p - at.p_dew) <= 1e-9 * p) {
      return on_the_line(model, T, p);
    }
    if (p >= at.p_dew && p <= at.p_bubble) {
      if (!saturation_at_pressure(model, p, at)) return near_critical_error(model);
      const double q = (T - at.T_bubble) / (at.T_dew - at.T_bubble);
      Found found = two_phase(at, p, std::fmin(1.0, std::fmax(0.0, q)));
      found.T = T;
      return found;
    }
    liquid = p > at.p_bubble;
  } else if (near_critical(model, T, p)) {
    return near_critical_error(model);
  } else if (T < model.coexistence_guess.critical_temperature) {
    liquid = p > model.critical_pressure;
  } else {
    liquid = p >= pressure_at(model, T, model.coexistence_guess.critical_density).p;
  }
  const double rho = liquid ? liquid_root(model, T, p) : vapour_root(model, T, p);
  if (!(rho > 0.0)) return not_converged(model, "density");
  Found found = single(model, T, rho, liquid);
  found.p = p;
  return found;
}

Result<Found> find_p_q(const Model& model, double p, double q) {
  if (auto error = check_p_q(model, p, q)) return *error;
  Saturation at;
  if (!saturation_at_pressure(model, p, at)) return not_converged(model, "saturation");
  return two_phase(at, p, q);
}

Result<Found> find_T_q(const Model& model, double T, double q) {
  if (auto error = check_T_q(model, T, q)) return *error;
  Saturation at;
  if (!saturation_at_temperature(model, T, at)) return not_converged(model, "saturation");
  if (q == 0.0) at.p_dew = at.p_bubble;
  if (q == 1.0) at.p_bubble = at.p_dew;
  if (at.p_bubble == at.p_dew) {
    if (model.kind == FluidKind::pure) return two_phase(at, at.p_dew, q);
    const double p = at.p_dew;
    if (p > model.highest_state_pressure) return near_critical_error(model);
    if (!saturation_at_pressure(model, p, at)) return not_converged(model, "saturation");
    Found found = two_phase(at, p, q);
    found.T = T;
    return found;
  }
  // Blends: the pressure at which the glide passes T at this quality.
  const auto off = [&](double p) {
    Saturation there;
    if (!saturation_at_pressure(model, std::fmin(p, model.highest_state_pressure), there)) {
      return 0.0;
    }
    return there.T_bubble + q * (there.T_dew - there.T_bubble) - T;
  };
  const double p_low = at.p_dew;
  const double p_high = std::fmin(at.p_bubble, model.highest_state_pressure);
  const double f_low = off(p_low);
  const double f_high = off(p_high);
  if (f_high < 0.0) return near_critical_error(model);
  const double p = f_low >= 0.0 ? p_low : bracketed_root(off, p_low, f_low, p_high, f_high, 1e-15);
  if (!saturation_at_pressure(model, p, at)) return not_converged(model, "saturation");
  Found found = two_phase(at, p, q);
  found.T = T;
  return found;
}

Result<Found> find_p_energy(const Model& model, double p, Energy energy, double value,
                            bool strict) {
  if (auto error = check_p(model, p)) return *error;
  if (!std::isfinite(value)) return not_finite(model);
  const double T_min = model.minimum_temperature;
  const double T_max = model.maximum_temperature;
  if (p > model.highest_state_pressure || is_low_pressure(model, p)) {
    return isobar(model, p, energy, value, T_min, T_max, Side::any, strict);
  }
  Saturation at;
  if (!saturation_at_pressure(model, p, at)) return not_converged(model, "saturation");
  const double liquid = energy_of(point_at(model, at.T_bubble, at.rho_l), energy);
  const double vapour = energy_of(point_at(model, at.T_dew, at.rho_v), energy);
  if (value >= liquid && value <= vapour) {
    return two_phase(at, p, (value - liquid) / (vapour - liquid));
  }
  if (value < liquid) {
    if (at.T_bubble <= T_min) return energy_outside(model, energy, value, liquid, vapour, p);
    return isobar(model, p, energy, value, T_min, at.T_bubble, Side::liquid, strict);
  }
  return isobar(model, p, energy, value, at.T_dew, T_max, Side::vapour, strict);
}

}  // namespace cw::fluid::detail
