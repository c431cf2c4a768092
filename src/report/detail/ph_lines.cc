#include "report/detail/ph_lines.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "fluid/saturation.h"

namespace cw::detail {
namespace {

using fluid::FluidState;
using fluid::InputPair;
using fluid::Phase;
using fluid::ReferenceState;
using fluid::Refrigerant;

constexpr int grid_size = 160;
constexpr int bisections = 30;

using Evaluate = std::function<std::optional<PhPoint>(double)>;

std::vector<double> linear_grid(double from, double to, int cells) {
  std::vector<double> out;
  for (int i = 0; i <= cells; ++i) out.push_back(from + (to - from) * i / cells);
  return out;
}
std::vector<double> log_grid(double from, double to, int cells) {
  std::vector<double> out = linear_grid(std::log(from), std::log(to), cells);
  for (double& x : out) x = std::exp(x);
  out.front() = from;
  out.back() = to;
  return out;
}
/// Denser towards the upper end, where saturation lines meet.
std::vector<double> saturation_grid(double from, double to) {
  std::vector<double> out;
  for (int i = 0; i <= grid_size; ++i) {
    const double t = 1.0 - static_cast<double>(i) / grid_size;
    out.push_back(std::exp(std::log(to) - t * t * t * std::log(to / from)));
  }
  out.front() = from;
  out.back() = to;
  return out;
}

/// The last point of a curve before it ends between `good` and `bad`.
PhPoint end_between(double good, double bad, const Evaluate& f, PhPoint at_good) {
  for (int i = 0; i < bisections; ++i) {
    const double middle = 0.5 * (good + bad);
    if (const auto point = f(middle)) {
      good = middle;
      at_good = *point;
    } else {
      bad = middle;
    }
  }
  return at_good;
}

/// Points between two of a curve until they lie close in enthalpy: near the critical point an
/// isotherm runs far in enthalpy over little pressure.
void refine(double a, double b, PhPoint at_a, PhPoint at_b, const Evaluate& f, double longest_step,
            int depth, std::vector<PhPoint>& out) {
  if (depth == 0 || std::fabs(at_b.h - at_a.h) <= longest_step) return;
  const double middle = 0.5 * (a + b);
  const auto point = f(middle);
  if (!point) return;
  refine(a, middle, at_a, *point, f, longest_step, depth - 1, out);
  out.push_back(*point);
  refine(middle, b, *point, at_b, f, longest_step, depth - 1, out);
}

/// The pieces of a curve over a grid; where it exists on one side of a cell only, up to its end.
std::vector<std::vector<PhPoint>> trace(const std::vector<double>& grid, double longest_step,
                                        const Evaluate& f) {
  std::vector<std::vector<PhPoint>> pieces;
  std::optional<PhPoint> before;
  for (std::size_t i = 0; i < grid.size(); ++i) {
    const std::optional<PhPoint> here = f(grid[i]);
    if (here) {
      if (before) {
        refine(grid[i - 1], grid[i], *before, *here, f, longest_step, 8, pieces.back());
      } else {
        pieces.emplace_back();
        if (i > 0) pieces.back().push_back(end_between(grid[i], grid[i - 1], f, *here));
      }
      pieces.back().push_back(*here);
    } else if (before) {
      pieces.back().push_back(end_between(grid[i - 1], grid[i], f, *before));
    }
    before = here;
  }
  return pieces;
}

/// Enthalpies of both saturation lines up to the critical point. Above the pressure to which the
/// phases can be computed apart they are drawn on, with equal slope, to where they meet:
/// h = h_c -+ D ((p_c - p)/(p_c - p_top))^b.
class SaturationLines {
 public:
  struct Pair {
    double liquid, vapour;
  };

  static Result<SaturationLines> of(const Refrigerant& refrigerant, ReferenceState reference) {
    SaturationLines out(refrigerant, reference);
    out.p_top_ = highest_state_pressure(refrigerant).value;
    out.p_critical_ = std::max(refrigerant.critical_pressure().value, out.p_top_ * 1.000001);
    const auto top = saturation_state(refrigerant, {out.p_top_}, reference);
    if (!top) return top.error();
    const double gap = out.p_critical_ - out.p_top_;
    out.h_critical_ = 0.5 * (top->liquid.h + top->vapour.h);
    out.half_width_ = 0.5 * (top->vapour.h - top->liquid.h);
    const auto exponent = [&](double slope) {
      return std::clamp(slope * gap / out.half_width_, 0.2, 1.0);
    };
    out.liquid_exponent_ = exponent(top->liquid.dh_dp);
    out.vapour_exponent_ = exponent(-top->vapour.dh_dp);
    return out;
  }

  std::optional<Pair> at(double p) const {
    if (p <= p_top_) {
      const auto state = saturation_state(*refrigerant_, {p}, reference_);
      if (!state) return std::nullopt;
      return Pair{state->liquid.h, state->vapour.h};
    }
    const double left = std::max(0.0, (p_critical_ - p) / (p_critical_ - p_top_));
    return Pair{h_critical_ - half_width_ * std::pow(left, liquid_exponent_),
                h_critical_ + half_width_ * std::pow(left, vapour_exponent_)};
  }
  PhPoint critical() const { return {h_critical_, p_critical_}; }

 private:
  SaturationLines(const Refrigerant& refrigerant, ReferenceState reference)
      : refrigerant_(&refrigerant), reference_(reference) {}

  const Refrigerant* refrigerant_;
  ReferenceState reference_;
  double p_top_ = 0.0;
  double p_critical_ = 0.0;
  double h_critical_ = 0.0;
  double half_width_ = 0.0;
  double liquid_exponent_ = 0.5;
  double vapour_exponent_ = 0.5;
};

void add_pieces(std::vector<PhCurve>& curves, PhKind kind, double value,
                std::vector<std::vector<PhPoint>> pieces) {
  for (std::vector<PhPoint>& piece : pieces) {
    if (piece.size() > 1) curves.push_back({kind, value, false, std::move(piece)});
  }
}

/// Multiples of `step` (display units) within a range, in SI.
std::vector<double> multiples(double low, double high, double step, const Unit& unit) {
  std::vector<double> out;
  for (double k = std::ceil(low / step); k * step <= high; k += 1.0) {
    out.push_back(unit.to_si(k * step));
  }
  return out;
}

/// 1, 2, 5 times a power of ten at or below (or at or above) x.
double round_125(double x, bool up) {
  const double power = std::pow(10.0, std::floor(std::log10(x)));
  constexpr double steps[] = {1.0, 2.0, 5.0, 10.0};
  double below = power;
  for (const double step : steps) {
    if (up && step * power >= x * (1.0 - 1e-9)) return step * power;
    if (step * power <= x * (1.0 + 1e-9)) below = step * power;
  }
  return below;
}

class Tracer {
 public:
  Tracer(const Refrigerant& refrigerant, ReferenceState reference, const PhRange& range,
         const SaturationLines& lines)
      : refrigerant_(refrigerant), reference_(reference), range_(range), lines_(lines) {
    p_low_ = std::max(range.p_low, saturation_range(refrigerant).lowest);
    longest_step_ = (range.h_high - range.h_low) / 100.0;
  }

  std::vector<PhCurve> all() {
    saturation_lines();
    for (const double q : range_.quality) quality_line(q);
    for (const double T : range_.T) isotherm(T);
    for (const double s : range_.s) isentrope(s);
    for (const double rho : range_.rho) isochore(rho);
    const double T_end = refrigerant_.maximum_temperature().value;
    single_phase_isotherm(PhKind::limit, T_end, range_.p_low, range_.p_high, nullptr, nullptr);
    return std::move(curves_);
  }

 private:
  void saturation_lines() {
    PhCurve bubble{PhKind::bubble, 0.0, false, {}};
    PhCurve dew{PhKind::dew, 1.0, false, {}};
    for (const double p : saturation_grid(p_low_, range_.critical.p)) {
      const auto at = lines_.at(p);
      if (!at) continue;
      bubble.points.push_back({at->liquid, p});
      dew.points.push_back({at->vapour, p});
    }
    curves_.push_back(std::move(bubble));
    curves_.push_back(std::move(dew));
  }

  void quality_line(double q) {
    add_pieces(curves_, PhKind::quality, q,
               trace(saturation_grid(p_low_, range_.critical.p), longest_step_,
                     [&](double p) -> std::optional<PhPoint> {
                       const auto at = lines_.at(p);
                       if (!at) return std::nullopt;
                       return PhPoint{at->liquid + q * (at->vapour - at->liquid), p};
                     }));
  }

  void isotherm(double T) {
    const auto bubble = state_from(refrigerant_, InputPair::T_q, T, 0.0, reference_);
    const auto dew = state_from(refrigerant_, InputPair::T_q, T, 1.0, reference_);
    if (!bubble || !dew) {
      single_phase_isotherm(PhKind::isotherm, T, range_.p_low, range_.p_high, nullptr, nullptr);
      return;
    }
    if (dew->p > range_.p_low) {
      single_phase_isotherm(PhKind::isotherm, T, range_.p_low, dew->p, nullptr, &*dew);
      two_phase_isotherm(T, *bubble, *dew);
    }
    single_phase_isotherm(PhKind::isotherm, T, std::max(bubble->p, range_.p_low), range_.p_high,
                          bubble->p > range_.p_low ? &*bubble : nullptr, nullptr);
  }

  /// `first` and `last`, where given, are saturated states at the ends.
  void single_phase_isotherm(PhKind kind, double T, double p_from, double p_to,
                             const FluidState* first, const FluidState* last) {
    const std::vector<double> grid = log_grid(p_from, p_to, grid_size);
    add_pieces(curves_, kind, T,
               trace(grid, longest_step_, [&](double p) -> std::optional<PhPoint> {
                 if (first != nullptr && p == grid.front()) return PhPoint{first->h, first->p};
                 if (last != nullptr && p == grid.back()) return PhPoint{last->h, last->p};
                 return single_phase(state_from(refrigerant_, InputPair::T_p, T, p, reference_));
               }));
  }

  void two_phase_isotherm(double T, const FluidState& bubble, const FluidState& dew) {
    PhCurve curve{PhKind::isotherm, T, true, {}};
    curve.points.push_back({bubble.h, bubble.p});
    // With glide the pressure falls from bubble to dew point at constant temperature.
    if (bubble.p - dew.p > 1e-6 * dew.p) {
      for (const double p : log_grid(bubble.p, dew.p, 24)) {
        const auto at = saturation_state(refrigerant_, {p}, reference_);
        if (!at || !(at->vapour.T > at->liquid.T)) continue;
        const double q = std::clamp((T - at->liquid.T) / (at->vapour.T - at->liquid.T), 0.0, 1.0);
        curve.points.push_back({at->liquid.h + q * (at->vapour.h - at->liquid.h), p});
      }
    }
    curve.points.push_back({dew.h, dew.p});
    curves_.push_back(std::move(curve));
  }

  void isentrope(double s) {
    add_pieces(
        curves_, PhKind::isentrope, s,
        trace(log_grid(range_.p_low, range_.p_high, grid_size), longest_step_, [&](double p) {
          return gas(state_from(refrigerant_, InputPair::p_s, p, s, reference_));
        }));
  }

  void isochore(double rho) {
    add_pieces(curves_, PhKind::isochore, rho,
               trace(linear_grid(refrigerant_.minimum_temperature().value,
                                 refrigerant_.maximum_temperature().value, grid_size),
                     longest_step_, [&](double T) {
                       return gas(state_from(refrigerant_, InputPair::T_rho, T, rho, reference_));
                     }));
  }

  static std::optional<PhPoint> single_phase(const Result<FluidState>& state) {
    if (!state || state->phase == Phase::two_phase) return std::nullopt;
    return PhPoint{state->h, state->p};
  }
  static std::optional<PhPoint> gas(const Result<FluidState>& state) {
    if (!state || state->phase == Phase::liquid) return std::nullopt;
    return single_phase(state);
  }

  const Refrigerant& refrigerant_;
  ReferenceState reference_;
  const PhRange& range_;
  const SaturationLines& lines_;
  double p_low_ = 0.0;
  double longest_step_ = 0.0;
  std::vector<PhCurve> curves_;
};

/// @param corner  the hot low-pressure state at the lower right
void choose_lines(const Refrigerant& refrigerant, ReferenceState reference, UnitSystem units,
                  const FluidState& corner, PhRange& range) {
  const bool si = units == UnitSystem::si;
  const Unit temperature = display_unit(Dimension::temperature, units);
  const Unit entropy = display_unit(Dimension::specific_entropy, units);
  const Unit density = display_unit(Dimension::density, units);
  // At high pressure the frame's right edge is hotter than its lower corner, but not by more.
  const double hottest = std::min(refrigerant.maximum_temperature().value, corner.T + 150.0);
  range.T = multiples(temperature.from_si(refrigerant.minimum_temperature().value),
                      temperature.from_si(hottest), si ? 10.0 : 20.0, temperature);
  const auto top = saturation_state(refrigerant, highest_state_pressure(refrigerant), reference);
  if (!top) return;
  const double s_low = entropy.from_si(top->vapour.s);
  const double s_high = entropy.from_si(corner.s);
  double s_step = si ? 0.05 : 0.01;
  if (s_high - s_low > 30.0 * s_step) s_step *= 2.0;  // light gases would crowd the frame
  range.s = multiples(s_low, s_high + s_step, s_step, entropy);
  double rho = round_125(density.from_si(corner.rho), true);
  for (; density.to_si(rho) < 0.9 * top->vapour.rho; rho = round_125(rho * 1.5, true)) {
    range.rho.push_back(density.to_si(rho));
  }
  for (int i = 1; i < 10; ++i) range.quality.push_back(0.1 * i);
}

}  // namespace

Result<PhRange> ph_range(const Refrigerant& refrigerant, ReferenceState reference,
                         UnitSystem units) {
  const Unit pressure = display_unit(Dimension::pressure, units);
  const Unit energy = display_unit(Dimension::specific_energy, units);
  const double critical_T = refrigerant.critical_temperature().value;
  // From a little under the saturation pressure of the coldest evaporating temperatures (-60 degC
  // where the critical temperature is that of R-410A) to well above the critical pressure.
  const double cold = std::max(0.62 * critical_T, refrigerant.minimum_temperature().value + 1.0);
  const auto p_cold = dew_pressure(refrigerant, {cold});
  if (!p_cold) return p_cold.error();
  PhRange range;
  range.p_low = pressure.to_si(round_125(pressure.from_si(p_cold->value), false));
  range.p_low = std::max(range.p_low, 1.02 * saturation_range(refrigerant).lowest);
  range.p_high = pressure.to_si(
      round_125(pressure.from_si(1.4 * refrigerant.critical_pressure().value), true));
  const auto start = saturation_state(refrigerant, {range.p_low}, reference);
  if (!start) return start.error();
  const double hot = std::min(critical_T + 65.0, refrigerant.maximum_temperature().value);
  const auto corner = state_at(refrigerant, {hot}, {range.p_low}, reference);
  if (!corner) return corner.error();
  const double step = units == UnitSystem::si ? 10.0 : 5.0;
  range.h_low = energy.to_si(std::floor(energy.from_si(start->liquid.h) / step) * step);
  range.h_high = energy.to_si(std::ceil(energy.from_si(corner->h) / step) * step);
  const auto lines = SaturationLines::of(refrigerant, reference);
  if (!lines) return lines.error();
  range.critical = lines->critical();
  choose_lines(refrigerant, reference, units, *corner, range);
  return range;
}

std::vector<PhCurve> ph_curves(const Refrigerant& refrigerant, ReferenceState reference,
                               const PhRange& range) {
  const auto lines = SaturationLines::of(refrigerant, reference);
  if (!lines) return {};
  return Tracer(refrigerant, reference, range, *lines).all();
}

}  // namespace cw::detail
