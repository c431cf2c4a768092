// Input pairs with the density: the phase follows from the place on the isochore.
#include <cmath>

#include "fluid/detail/bracket.h"
#include "fluid/detail/flash.h"
#include "fluid/detail/flash_errors.h"

namespace cw::fluid::detail {
namespace {

double energy_of(const Point& point, Energy energy) noexcept {
  return energy == Energy::h ? point.h : energy == Energy::s ? point.s : point.u;
}

Found single(const Model& model, double T, double rho) {
  Found out;
  out.T = T;
  out.point = point_at(model, T, rho);
  out.p = out.point.p;
  if (T >= model.critical_temperature) {
    out.phase = out.p >= model.critical_pressure ? Phase::supercritical : Phase::vapour;
  } else {
    out.phase = rho > model.coexistence_guess.critical_density ? Phase::liquid : Phase::vapour;
  }
  return out;
}

double quality(const Saturation& at, double rho) noexcept {
  return (1.0 / rho - 1.0 / at.rho_l) / (1.0 / at.rho_v - 1.0 / at.rho_l);
}

Found two_phase(const Saturation& at, double rho) {
  Found out;
  out.phase = Phase::two_phase;
  out.p = at.p_dew;
  out.q = std::fmin(1.0, std::fmax(0.0, quality(at, rho)));
  out.T = at.T_bubble + out.q * (at.T_dew - at.T_bubble);
  out.saturation = at;
  return out;
}

/// Two-phase energy at p and rho; nan where the saturation solver fails.
double mixed_energy(const Model& model, double p, double rho, Energy energy,
                    Saturation& at) noexcept {
  if (!saturation_at_pressure(model, p, at)) return std::nan("");
  const Point l = point_at(model, at.T_bubble, at.rho_l);
  const Point v = point_at(model, at.T_dew, at.rho_v);
  const double q = quality(at, rho);
  return energy_of(l, energy) + q * (energy_of(v, energy) - energy_of(l, energy));
}

double lowest_saturation_pressure(const Model& model) noexcept {
  return std::fmax(model.bubble_temperature.lowest(), model.dew_temperature.lowest());
}

/// Checks a single-phase result on an isochore against the equation's range.
Result<Found> checked(const Model& model, Found found) {
  if (!(found.p >= lowest_pressure && found.p <= model.maximum_pressure)) {
    return pressure_too_high(model, found.p);
  }
  if (found.T > model.highest_state_temperature && found.T < model.critical_temperature &&
      found.p > model.highest_state_pressure && found.p < 1.0005 * model.critical_pressure) {
    return near_critical_error(model);
  }
  return found;
}

/// Pressure at which the isochore leaves the two-phase region, and its temperature there. At the
/// lowest saturation pressure or below: no two-phase part (zero).
struct Exit {
  double p = 0.0;
  double T = 0.0;
};
Exit leave_two_phase(const Model& model, double rho) {
  const double low = lowest_saturation_pressure(model);
  const double high = model.highest_state_pressure;
  Saturation first;
  Saturation last;
  if (!saturation_at_pressure(model, low, first) || !saturation_at_pressure(model, high, last)) {
    return {};
  }
  if (rho <= first.rho_v || rho >= first.rho_l) return {};
  if (rho >= last.rho_v && rho <= last.rho_l) return {high, last.T_dew};
  const bool vapour = rho < last.rho_v;
  // Compared as logarithms of pressure and density, over which the lines are nearly straight.
  const auto off = [&](double ln_p) {
    Saturation at;
    if (!saturation_at_pressure(model, std::fmin(std::exp(ln_p), high), at)) return 0.0;
    return std::log((vapour ? at.rho_v : at.rho_l) / rho);
  };
  const double f_low = std::log((vapour ? first.rho_v : first.rho_l) / rho);
  const double f_high = std::log((vapour ? last.rho_v : last.rho_l) / rho);
  const double p =
      std::exp(bracketed_root(off, std::log(low), f_low, std::log(high), f_high, 1e-15));
  Saturation at;
  if (!saturation_at_pressure(model, std::fmin(p, high), at)) return {};
  return {std::fmin(p, high), vapour ? at.T_dew : at.T_bubble};
}

Result<Found> find_mixed(const Model& model, double rho, Energy energy, double value, double p_exit,
                         double at_exit) {
  const double p_low = lowest_saturation_pressure(model);
  Saturation at;
  const double lowest = mixed_energy(model, p_low, rho, energy, at);
  if (!(value >= lowest)) {
    return isochore_outside(model, energy, value, lowest,
                            energy_of(point_at(model, model.maximum_temperature, rho), energy),
                            rho);
  }
  const auto off = [&](double ln_p) {
    return mixed_energy(model, std::fmin(std::fmax(std::exp(ln_p), p_low), p_exit), rho, energy,
                        at) -
           value;
  };
  const double ln_p = bracketed_root(off, std::log(p_low), lowest - value, std::log(p_exit),
                                     at_exit - value, 1e-16);
  const double p = std::fmin(std::fmax(std::exp(ln_p), p_low), p_exit);
  if (!saturation_at_pressure(model, p, at)) return not_converged(model, "saturation");
  return two_phase(at, rho);
}

}  // namespace

Result<Found> find_T_rho(const Model& model, double T, double rho) {
  if (auto error = check_T(model, T)) return *error;
  if (auto error = check_rho(model, rho)) return *error;
  if (T > model.highest_state_temperature) return checked(model, single(model, T, rho));
  Saturation at;
  if (!saturation_at_temperature(model, T, at)) return not_converged(model, "saturation");
  if (rho >= at.rho_l || rho <= at.rho_v) return checked(model, single(model, T, rho));
  if (model.kind == FluidKind::pure) return two_phase(at, rho);
  // Blends: between the dew and the bubble pressure of T, where the glide passes T at the quality
  // that the density asks for.
  const double p_low = std::fmax(at.p_dew, lowest_saturation_pressure(model));
  const double p_high = std::fmin(at.p_bubble, model.highest_state_pressure);
  const auto off = [&](double p) {
    Saturation there;
    if (!saturation_at_pressure(model, p, there)) return 0.0;
    return there.T_bubble + quality(there, rho) * (there.T_dew - there.T_bubble) - T;
  };
  const double f_low = off(p_low);
  const double f_high = off(p_high);
  constexpr double rounding = 1e-9;  // K; at the ends of the glide the sign may go either way
  if (f_low > rounding || f_high < -rounding) return near_critical_error(model);
  const double p = f_low >= 0.0    ? p_low
                   : f_high <= 0.0 ? p_high
                                   : bracketed_root(off, p_low, f_low, p_high, f_high, 1e-16);
  if (!saturation_at_pressure(model, p, at)) return not_converged(model, "saturation");
  Found found = two_phase(at, rho);
  found.T = T;
  return found;
}

Result<Found> find_rho_energy(const Model& model, double rho, Energy energy, double value) {
  if (auto error = check_rho(model, rho)) return *error;
  if (!std::isfinite(value)) return not_finite(model);
  const Exit exit = leave_two_phase(model, rho);
  double T_low = model.minimum_temperature;
  if (exit.p > 0.0) {
    Saturation at;
    const double at_exit = mixed_energy(model, exit.p, rho, energy, at);
    if (value <= at_exit) return find_mixed(model, rho, energy, value, exit.p, at_exit);
    T_low = exit.T;
  }
  double T_high = model.maximum_temperature;
  const double low = energy_of(point_at(model, T_low, rho), energy);
  const double high = energy_of(point_at(model, T_high, rho), energy);
  const double slack = 1e-9 * (std::fabs(value) + std::fabs(high - low));
  if (!(value >= low - slack && value <= high + slack)) {
    return isochore_outside(model, energy, value, low, high, rho);
  }
  double T =
      T_low + (T_high - T_low) * std::fmin(1.0, std::fmax(0.0, (value - low) / (high - low)));
  double last = HUGE_VAL;
  for (int i = 0; i < 100; ++i) {
    const Point point = point_at(model, T, rho);
    const double difference = energy_of(point, energy) - value;
    (difference > 0.0 ? T_high : T_low) = T;
    double next = T - difference / (energy == Energy::h ? point.h_T() : point.cv);
    const bool creeps = i > 1 && std::fabs(next - T) > 0.5 * last && last > 1e-9 * T;
    if (creeps || !(next >= T_low && next <= T_high)) next = 0.5 * (T_low + T_high);
    const double step = std::fabs(next - T);
    T = next;
    if (step <= 1e-15 * T || (i > 6 && step <= 1e-12 * T && step >= last)) break;
    last = step;
  }
  return checked(model, single(model, T, rho));
}

}  // namespace cw::fluid::detail
