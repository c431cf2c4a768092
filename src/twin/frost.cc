#include "twin/frost.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double fusion = 333.5e3;  // [J/kg]
constexpr double cp_ice = 2100.0;   // [J/(kg K)] near 0 degC
constexpr double lightest = 30.0;   // [kg/m3], reference density of [liang2020]
constexpr double heaviest_new = 400.0;
constexpr double korn_unit = 50.0, korn_end = 3.77, korn_time = 8000.0;

double cubic(double t, double a, double b, double c, double d) noexcept {
  return a + t * (b + t * (c + t * d));
}

}  // namespace

double new_frost_density(double T_surface) noexcept {
  const double t = std::clamp(T_surface - zero_celsius, -60.0, 0.0);
  const double hayashi = 650.0 * std::exp(0.277 * t);
  // Rounded between the limits: harmonic above, smooth maximum below.
  const double capped =
      hayashi * heaviest_new / std::sqrt(hayashi * hayashi + heaviest_new * heaviest_new);
  return std::sqrt(capped * capped + lightest * lightest);
}

FrostLayer grow(FrostLayer layer, double water_flux, double T_surface, double dt) noexcept {
  const double time = std::fmax(dt, 0.0);
  if (layer.mass > 0.0 && layer.density > 0.0) {
    const double y = layer.density / korn_unit - 1.0;
    if (y < korn_end) {
      layer.density = korn_unit * (1.0 + korn_end - (korn_end - y) * std::exp(-time / korn_time));
    }
  }
  if (T_surface >= zero_celsius) return layer;
  const double added = std::fmax(water_flux, 0.0) * time;
  if (!(added > 0.0)) return layer;
  const double volume = layer.thickness() + added / new_frost_density(T_surface);
  layer.mass += added;
  layer.density = layer.mass / volume;
  return layer;
}

double frost_conductivity(double density) noexcept {
  const double rho = std::clamp(density, 0.0, 573.0);
  return 0.02422 + rho * (7.214e-4 + rho * 1.1797e-6);  // [yonko1967]
}

double air_flow_factor(double thickness, double fin_pitch) noexcept {
  constexpr double always_open =
      0.12;  // share of the gap: frost is porous, coils leak at the edges
  const double open =
      std::fmax(1.0 - 2.0 * std::fmax(thickness, 0.0) / std::fmax(fin_pitch, 1e-6), 0.0);
  const double gap =
      std::sqrt((open * open + always_open * always_open) / (1.0 + always_open * always_open));
  // Loss coefficient r of the gap over the clean one's; the fan gives 1 - (2/3) f^2 of its shut-off
  // pressure, the clean coil and duct take a third of it at f = 1: r' f^2 = 1 - (2/3) f^2 with half
  // of the loss outside the frosted gap.
  const double r = 0.5 + 0.5 / (gap * gap * gap);
  return std::sqrt(1.0 / (2.0 / 3.0 + r / 3.0));
}

Melt melt(FrostLayer& layer, double heat, double T_surface) noexcept {
  const double given = std::fmax(heat, 0.0);
  if (!(layer.mass > 0.0)) return {0.0, 0.0};
  const double cold = std::fmax(zero_celsius - T_surface, 0.0);
  const double need = fusion + cp_ice * cold;
  const double drained = std::fmin(given / need, layer.mass);
  layer.mass -= drained;
  if (!(layer.mass > 0.0)) layer = {};
  return {drained, drained * need};
}

FrostZone frost_zone(double T, double relative_humidity) noexcept {
  const double t = T - zero_celsius;
  if (!(t < 6.0)) return FrostZone::none;
  // [zhu2015], thresholds of relative humidity.
  if (relative_humidity >= cubic(t, 0.82476, -0.019073, 1.19709e-3, 2.1523e-5))
    return FrostZone::severe;
  if (relative_humidity >= cubic(t, 0.58183, -8.8032e-3, 6.1817e-4, -7.755e-7))
    return FrostZone::moderate;
  if (relative_humidity >= cubic(t, 0.44293, -7.0366e-3, 7.325e-5, -3.3726e-6))
    return FrostZone::mild;
  return FrostZone::none;
}

double frost_zone_growth(FrostZone zone) noexcept {
  switch (zone) {
    case FrostZone::none:
      return 0.0;
    case FrostZone::mild:
      return 0.7e-7;
    case FrostZone::moderate:
      return 2.5e-7;
    case FrostZone::severe:
      return 3.6e-7;
  }
  return 0.0;
}

}  // namespace cw::twin
