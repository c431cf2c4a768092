#include "twin/moist_surface.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "air/moist_air.h"
#include "base/units.h"

namespace cw::twin {
namespace {

constexpr double p0 = standard_atmosphere;

double ratio_at(double t_degC, double relative) {
  return air::moist_air(from_celsius(t_degC), {p0}, air::Humidity::relative, relative)
      .value()
      .humidity_ratio.value;
}

TEST(MoistSurface, saturation_follows_the_handbook) {
  double worst = 0.0;
  for (double t = -60.0; t <= 80.0; t += 0.013) {
    const double exact = air::saturation_pressure(from_celsius(t)).value().value;
    worst = std::fmax(worst, std::fabs(water_saturation(t + zero_celsius).p / exact - 1.0));
    if (t < 79.0) {
      const double step = 1e-3, T = t + zero_celsius;
      EXPECT_NEAR(water_saturation(T).slope,
                  (water_saturation(T + step).p - water_saturation(T - step).p) / (2 * step),
                  2e-4 * water_saturation(T).slope);
    }
  }
  EXPECT_LT(worst, 5e-4);
}

// Dry limit: one stream against a wall of constant temperature, Q = (1 - exp(-NTU)) C (T - T_w).
TEST(MoistSurface, dry_wall_is_effectiveness_of_one_stream) {
  const AirSide air{300.15, 0.005, p0, 0.2, 150.0};
  const AirHeat heat = air_heat(air, 290.15);
  const double C = 0.2 * (1006.0 + 1860.0 * 0.005);
  EXPECT_EQ(heat.water, 0.0);
  EXPECT_EQ(heat.latent, 0.0);
  EXPECT_NEAR(heat.sensible, (1.0 - std::exp(-150.0 / C)) * C * 10.0, 1e-9);
  EXPECT_NEAR(heat.T_out, 300.15 - heat.sensible / C, 1e-12);
  EXPECT_LT(air_heat(air, 320.15).sensible, 0.0);
}

// Wet limit: the method of the enthalpy potential (Threlkeld; ASHRAE Systems and Equipment, coils):
// Q = m (1 - exp(-NTU)) (h_air - h_saturated at the wall), which takes Le = 1. With Le = 0.865 more
// water comes down; the totals of the two agree within 6 %.
TEST(MoistSurface, wet_wall_against_the_enthalpy_potential) {
  for (const auto& [t, relative] : {std::pair{27.0, 0.5}, {27.0, 0.7}, {32.0, 0.6}, {24.0, 0.9}}) {
    for (const double wall : {5.0, 9.0}) {
      const double w = ratio_at(t, relative);
      const AirSide air{t + zero_celsius, w, p0, 0.2, 250.0};
      const AirHeat heat = air_heat(air, wall + zero_celsius);
      const double NTU = 250.0 / (0.2 * (1006.0 + 1860.0 * w));
      const double potential = air::enthalpy_of(from_celsius(t), {w}).value -
                               air::enthalpy_of(from_celsius(wall), {ratio_at(wall, 1.0)}).value;
      const double Q = 0.2 * (1.0 - std::exp(-NTU)) * potential;
      EXPECT_NEAR((heat.sensible + heat.latent) / Q, 1.0, 0.06)
          << t << " " << relative << " wall " << wall;
    }
  }
}

// What the wall takes is what the air loses: enthalpies of moist air (Eq. 30), condensate leaving
// at the wall's temperature.
TEST(MoistSurface, energy_balance) {
  const AirSide air{300.15, 0.0135, p0, 0.2, 250.0};
  for (const double wall : {5.0, 10.0, -8.0}) {
    const AirHeat heat = air_heat(air, wall + zero_celsius);
    const double in = air::enthalpy_of({air.T}, {air.w}).value,
                 out = air::enthalpy_of({heat.T_out}, {heat.w_out}).value;
    const double leaves = wall < 0.0 ? -333.5e3 + 2100.0 * wall : 4186.0 * wall;
    const double balance = 0.2 * (in - out) - heat.water * leaves;
    EXPECT_NEAR(heat.sensible + heat.latent, balance, 1e-9 * balance) << wall;
    EXPECT_NEAR(heat.water, 0.2 * (air.w - heat.w_out), 1e-15);
  }
}

TEST(MoistSurface, frost_gives_its_heat_of_fusion) {
  const AirSide air{275.15, ratio_at(2.0, 0.85), p0, 0.2, 250.0};
  const AirHeat frost = air_heat(air, 265.15);
  ASSERT_GT(frost.water, 0.0);
  EXPECT_NEAR(frost.latent / frost.water, 2.834e6, 0.01e6);  // sublimation, ASHRAE ch. 1
}

TEST(MoistSurface, never_more_water_than_there_is_and_a_continuous_onset) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 20000; ++i) {
    const double t = -30.0 + 75.0 * unit(random);
    const AirSide air{t + zero_celsius, ratio_at(t, unit(random)), p0, 1e-3 + unit(random),
                      2000.0 * unit(random) * unit(random)};
    const double wall = t - 40.0 * unit(random) + 20.0 * unit(random);
    const AirHeat heat = air_heat(air, wall + zero_celsius);
    EXPECT_GE(heat.water, 0.0);
    EXPECT_GE(heat.w_out, 0.0);
    EXPECT_LE(heat.water, air.m_dot * air.w);
    EXPECT_LE(heat.dQ_dTw, 0.0);
    const double step = 1e-4;
    const AirHeat more = air_heat(air, wall + step + zero_celsius),
                  less = air_heat(air, wall - step + zero_celsius);
    const double slope = (more.sensible + more.latent - less.sensible - less.latent) / (2 * step);
    EXPECT_NEAR(heat.dQ_dTw, slope, 0.01 * std::fabs(slope) + 1e-3) << t << " wall " << wall;
  }
}

}  // namespace
}  // namespace cw::twin
