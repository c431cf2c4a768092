#include "twin/expansion_valve.h"

#include <algorithm>
#include <cmath>

#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double linear_below = 2e3;      // [Pa] half width of the rounded root
constexpr double least_subcooling = 1.5;  // [K], lower end of Li's range
constexpr double factor = 1.066, opening_exponent = 0.8006, subcooling_exponent = 0.0609;
constexpr double limiting_ratio = 3.0 * (1.17 / 1.4) * 0.84;  // k = 1.17: R-410A as an ideal gas
constexpr double least_opening = 1e-4;  // the power's infinite slope at 0 is cut off here

/// C = stretch(z) * subcooled(dT): the two factors of Li's power form.
double subcooled(double subcooling, double T_critical) noexcept {
  const double above = soft_positive(subcooling - least_subcooling, 0.5).value;
  const double critical_degC = std::fmax(T_critical - 273.15, 1.0);
  return factor *
         std::exp(subcooling_exponent * std::log((least_subcooling + above) / critical_degC));
}

/// z^0.8006 with a linear start below least_opening, and its slope.
Joined stretch(double opening) noexcept {
  const double z = std::fmax(opening, least_opening);
  const double power = std::exp(opening_exponent * std::log(z));
  if (opening >= least_opening) return {power, opening_exponent * power / z};
  if (!(opening > 0.0)) return {0.0, 0.0};
  // A parabola through 0 that meets value and slope of the power at least_opening.
  const double u = opening / least_opening;
  const double b = opening_exponent - 1.0;
  return {power * u * (1.0 - b + b * u), power * (1.0 - b + 2.0 * b * u) / least_opening};
}

/// Flow per area, opening stretch and root of dp from one side: subcooled() Y sqrt(2 rho).
struct Upstream {
  double value;
  double by_ratio;  ///< slope with p_out/p_in
};
Upstream upstream(const ValveSide& from, double ratio, double T_critical) noexcept {
  const double base =
      subcooled(from.subcooling, T_critical) * std::sqrt(2.0 * std::fmax(from.rho, 0.0));
  const double r = std::clamp(ratio, 0.0, 1.0);
  return {base * (1.0 - (1.0 - r) / limiting_ratio),
          ratio > 0.0 && ratio < 1.0 ? base / limiting_ratio : 0.0};
}

struct PerStretch {
  double flow, by_pa, by_pb;
};

/// Flow and slopes for area 1 and stretch 1.
PerStretch per_stretch(const ValveSide& a, const ValveSide& b, double T_critical) noexcept {
  const double dp = a.p - b.p;
  const double squared = dp * dp + linear_below * linear_below;
  const double root4 = std::sqrt(std::sqrt(squared));
  const double root = dp / root4;
  const double root_slope = (1.0 - 0.5 * dp * dp / squared) / root4;
  // The upstream side decides; between -2 and 2 kPa both count in part.
  const double u = 0.5 * (1.0 + dp / linear_below);
  const double weight = smooth_step(u);
  const double weight_slope = smooth_step_slope(u) / (2.0 * linear_below);
  Upstream from_a{0.0, 0.0}, from_b{0.0, 0.0};
  if (weight > 0.0) from_a = upstream(a, b.p / std::fmax(a.p, 1.0), T_critical);
  if (weight < 1.0) from_b = upstream(b, a.p / std::fmax(b.p, 1.0), T_critical);
  const double both = weight * from_a.value + (1.0 - weight) * from_b.value;
  const double by_dp = both * root_slope + weight_slope * (from_a.value - from_b.value) * root;
  const double pa = std::fmax(a.p, 1.0), pb = std::fmax(b.p, 1.0);
  const double a_part = weight * from_a.by_ratio * root;
  const double b_part = (1.0 - weight) * from_b.by_ratio * root;
  return {both * root, by_dp - a_part * b.p / (pa * pa) + b_part / pb,
          -by_dp + a_part / pa - b_part * a.p / (pb * pb)};
}

}  // namespace

double flow_coefficient(double opening, double subcooling, double T_critical) noexcept {
  return stretch(opening).value * subcooled(subcooling, T_critical);
}

double coefficient_growth(double subcooling) noexcept {
  const Joined above = soft_positive(subcooling - least_subcooling, 0.5);
  return subcooling_exponent * above.slope / (least_subcooling + above.value);
}

ValveFlow valve_flow(const ExpansionValve& valve, double opening, const ValveSide& a,
                     const ValveSide& b, double T_critical) noexcept {
  const PerStretch per = per_stretch(a, b, T_critical);
  const Joined open = stretch(opening);
  const double scale = valve.area * (open.value + valve.leak_share);
  return {per.flow * scale, per.by_pa * scale, per.by_pb * scale,
          per.flow * valve.area * open.slope};
}

double opening_for(const ExpansionValve& valve, double m_dot, const ValveSide& a,
                   const ValveSide& b, double T_critical) noexcept {
  constexpr double widest = 10.0;
  const double per = per_stretch(a, b, T_critical).flow * valve.area;
  const double wanted = per != 0.0 ? m_dot / per - valve.leak_share : 0.0;
  if (!(wanted > 0.0)) return 0.0;
  const double power = std::pow(least_opening, opening_exponent);
  if (wanted < power) {  // the parabola of stretch()
    const double bend = opening_exponent - 1.0, rise = 1.0 - bend;
    const double under = rise * rise + 4.0 * bend * wanted / power;
    return least_opening * 2.0 * (wanted / power) / (rise + std::sqrt(std::fmax(under, 0.0)));
  }
  return std::fmin(std::pow(wanted, 1.0 / opening_exponent), widest);
}

ExpansionValve size_valve(double m_dot, const ValveSide& a, const ValveSide& b, double opening,
                          double T_critical) noexcept {
  ExpansionValve valve{.area = 1.0};
  const double per = valve_flow(valve, opening, a, b, T_critical).m_dot;
  valve.area = per != 0.0 ? std::fabs(m_dot / per) : 0.0;
  return valve;
}

}  // namespace cw::twin
