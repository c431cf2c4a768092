#include "twin/moist_surface.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double triple_point_degC = 0.01;
constexpr double log_triple =
    6.416171711;  // ln of 611.66 Pa, Eqs. 5 and 6 of [ashrae2017] at 0.01 degC
constexpr double vapour_ratio = 0.621945;  // molar masses of water and dry air [ashrae2017, Eq. 20]
constexpr double cp_air = 1006.0, cp_vapour = 1860.0;  // [J/(kg K)] [ashrae2017, Eq. 30]
constexpr double onset = 1e-5;                         // [kg/kg], about 0.03 K of dew point

/// ln(p/p_triple) = s (a0 + a1 s + a2 s^2)/(1 + b s), s = (t - 0.01 degC)/100: our fit to
/// [ashrae2017, Eqs. 5 and 6] over -100..1 (ice) and -1..150 degC (water), within 3.1e-5.
struct LogFit {
  double a0, a1, a2, b;

  Joined at(double s) const noexcept {
    const double top = a0 + s * (a1 + s * a2);
    const double per = 1.0 / (1.0 + b * s);
    const double value = s * top * per;
    return {value, (top + s * (a1 + 2.0 * s * a2) - value * b) * per};
  }
};
constexpr LogFit over_ice{8.234029016175425, -0.06384856406214215, -0.015581673674831535,
                          0.36200492612792917};
constexpr LogFit over_water{7.2640077439168635, -0.33039092269581694, 0.04632009103311635,
                            0.36561554386528416};

}  // namespace

Saturation water_saturation(double T) noexcept {
  const double t = std::clamp(T - zero_celsius, -100.0, 150.0);
  const double s = (t - triple_point_degC) * 0.01;
  constexpr double half_corner = 0.002;  // of s: 0.2 K
  Joined log_p;
  if (s <= -half_corner) {
    log_p = over_ice.at(s);
  } else if (s >= half_corner) {
    log_p = over_water.at(s);
  } else {
    const Joined ice = over_ice.at(s), water = over_water.at(s);
    const double u = 0.5 * (1.0 + s / half_corner);
    const double weight = smooth_step(u);
    log_p = {ice.value + weight * (water.value - ice.value),
             ice.slope + weight * (water.slope - ice.slope) +
                 smooth_step_slope(u) / (2.0 * half_corner) * (water.value - ice.value)};
  }
  const double p = std::exp(log_triple + log_p.value);
  return {p, 0.01 * p * log_p.slope};
}

SaturatedAir saturated_air(double T, double p) noexcept {
  const Saturation s = water_saturation(T);
  // Where water boils there is no such air; the ratio is held large and finite there.
  const double rest = std::fmax(p - s.p, 0.05 * std::fabs(p) + 1.0);
  return {vapour_ratio * s.p / rest, vapour_ratio * s.slope * (rest + s.p) / (rest * rest)};
}

AirStream::AirStream(const AirSide& side) noexcept : air(side) {
  constexpr double lewis_power = 1.1015;  // 0.865^(-2/3)
  m_dot = std::fmax(air.m_dot, 1e-12);
  C = m_dot * (cp_air + cp_vapour * air.w);
  const double NTU = std::fmax(air.UA_dry, 0.0) / C;
  reach = 1.0 - std::exp(-NTU);
  wet_reach = 1.0 - std::exp(-lewis_power * NTU);
  unsaturated = saturated_air(air.T, air.p).w > air.w;
}

AirHeat air_heat(const AirSide& air, double T_wall) noexcept {
  return air_heat(AirStream(air), T_wall);
}

AirHeat air_heat(const AirStream& stream, double T_wall) noexcept {
  constexpr double evaporation = 2501e3, fusion = 333.5e3;  // [J/kg] at 0 degC
  constexpr double cp_water = 4186.0, cp_ice = 2100.0;
  const AirSide& air = stream.air;
  const double m = stream.m_dot;
  const double C = stream.C;
  const double reach = stream.reach;
  const double wet_reach = stream.wet_reach;

  AirHeat out{};
  out.sensible = reach * C * (air.T - T_wall);
  out.T_out = air.T - reach * (air.T - T_wall);
  out.w_out = air.w;
  out.dQ_dTw = -reach * C;
  if (stream.unsaturated && T_wall >= air.T) return out;
  const SaturatedAir wall = saturated_air(T_wall, air.p);
  const Joined excess = soft_onset(air.w - wall.w, onset);
  if (excess.value > 0.0) {
    // From vapour of the leaving air to water or, below 0 degC, ice at the wall: with the sensible
    // part above, which cools all the vapour that came, the enthalpies balance exactly.
    const double t_wall = T_wall - zero_celsius;
    const double u = 0.5 - t_wall;
    const double frozen = smooth_step(u);
    const double fused = fusion + (cp_water - cp_ice) * t_wall;
    const double heat =
        evaporation + cp_vapour * (out.T_out - zero_celsius) - cp_water * t_wall + frozen * fused;
    const double heat_slope =
        cp_vapour * reach - cp_water + frozen * (cp_water - cp_ice) - smooth_step_slope(u) * fused;
    out.water = m * wet_reach * excess.value;
    out.w_out = air.w - wet_reach * excess.value;
    out.latent = out.water * heat;
    const double water_slope = -m * wet_reach * excess.slope * wall.slope;
    out.dQ_dTw += water_slope * heat + out.water * heat_slope;
  }
  return out;
}

}  // namespace cw::twin
