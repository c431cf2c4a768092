#include "twin/frost.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/units.h"

namespace cw::twin {
namespace {

double kelvin(double t_degC) { return t_degC + zero_celsius; }

// Thresholds by hand from Zhu's polynomials at 0 degC: 0.44293, 0.58183, 0.82476; none from 6 degC
// on.
TEST(Frost, zones) {
  EXPECT_EQ(frost_zone(kelvin(0.0), 0.44), FrostZone::none);
  EXPECT_EQ(frost_zone(kelvin(0.0), 0.45), FrostZone::mild);
  EXPECT_EQ(frost_zone(kelvin(0.0), 0.59), FrostZone::moderate);
  EXPECT_EQ(frost_zone(kelvin(0.0), 0.83), FrostZone::severe);
  EXPECT_EQ(frost_zone(kelvin(6.0), 0.99), FrostZone::none);
  // At -10 degC: severe from 0.82476 + 0.19073 + 0.119709 - 0.021523 = 1.1137: never.
  EXPECT_EQ(frost_zone(kelvin(-10.0), 1.0), FrostZone::moderate);
  EXPECT_EQ(frost_zone_growth(FrostZone::severe), 3.6e-7);
}

// A severe hour at 3.6e-7 m/s of 30 kg/m3 is 1.296 mm or 38.9 g/m2 [liang2020]; the same water
// through grow() has the same mass and, denser, less thickness.
TEST(Frost, published_growth_as_mass) {
  FrostLayer layer;
  const double flux = frost_zone_growth(FrostZone::severe) * 30.0;
  for (int i = 0; i < 3600; ++i) layer = grow(layer, flux, kelvin(-6.0), 1.0);
  EXPECT_NEAR(layer.mass, 0.03888, 1e-6);
  EXPECT_LT(layer.thickness(), 1.296e-3);
  EXPECT_GT(layer.thickness(), 0.1e-3);
}

// Hayashi: 650 exp(0.277 t): 162.7 kg/m3 at -5, 40.7 at -10 degC, inside the rounding's 10 %.
TEST(Frost, density_of_new_frost) {
  EXPECT_NEAR(new_frost_density(kelvin(-5.0)), 162.7, 0.1 * 162.7);
  EXPECT_NEAR(new_frost_density(kelvin(-8.0)), 70.9, 0.1 * 70.9);
  EXPECT_GE(new_frost_density(kelvin(-30.0)), 30.0);
  EXPECT_LE(new_frost_density(kelvin(0.0)), 400.0);
}

// Korn: rho = 50 (1 + y), dy/dt = (3.77 - y)/8000 s. From 50 kg/m3: after 8000 s 50 (1 + 3.77 (1 -
// 1/e)) = 169.2; in the end 238.5.
TEST(Frost, densification) {
  FrostLayer layer{.mass = 0.1, .density = 50.0};
  FrostLayer once = grow(layer, 0.0, kelvin(-5.0), 8000.0);
  EXPECT_NEAR(once.density, 169.15, 0.05);
  for (int i = 0; i < 8000; ++i) layer = grow(layer, 0.0, kelvin(-5.0), 1.0);
  EXPECT_NEAR(layer.density, once.density, 1e-6);  // the step is exact
  EXPECT_NEAR(grow(layer, 0.0, kelvin(-5.0), 1e6).density, 238.5, 1e-6);
  EXPECT_EQ(layer.mass, 0.1);
}

// Yonko and Sepsy by hand: 100 kg/m3 -> 0.02422 + 0.07214 + 0.011797 = 0.108157.
TEST(Frost, conductivity) {
  EXPECT_NEAR(frost_conductivity(100.0), 0.108157, 1e-9);
  EXPECT_NEAR(frost_conductivity(300.0), 0.02422 + 0.21642 + 0.106173, 1e-9);
}

TEST(Frost, mass_is_kept_between_growth_and_melting) {
  FrostLayer layer;
  double arrived = 0.0;
  for (int i = 0; i < 5000; ++i) {
    const double flux = 2e-5 * (1.0 + std::sin(0.01 * i));
    layer = grow(layer, flux, kelvin(-3.0 - 0.001 * i), 0.5);
    arrived += 0.5 * flux;
  }
  EXPECT_NEAR(layer.mass, arrived, 1e-12);
  double drained = 0.0, heat = 0.0;
  for (int i = 0; i < 100000 && layer.mass > 0.0; ++i) {
    const Melt melted = melt(layer, 25.0, kelvin(-2.0));
    drained += melted.drained;
    heat += melted.heat_used;
    EXPECT_LE(melted.heat_used, 25.0);
  }
  EXPECT_EQ(layer.mass, 0.0);
  EXPECT_NEAR(drained, arrived, 1e-9);
  EXPECT_NEAR(heat, arrived * (333.5e3 + 2.0 * 2100.0), 1e-6 * heat);
}

TEST(Frost, air_flow_falls_as_the_gap_closes) {
  EXPECT_DOUBLE_EQ(air_flow_factor(0.0, 1.5e-3), 1.0);
  double before = 1.1;
  for (double thickness = 0.0; thickness < 2e-3; thickness += 1e-6) {
    const double factor = air_flow_factor(thickness, 1.5e-3);
    EXPECT_LE(factor, before);
    EXPECT_LT(before - factor, 0.11 + 0.01);
    before = factor;
  }
  EXPECT_NEAR(before, 0.1, 0.01);
  // Half of the gap closed: 60 to 75 % of the flow (from memory of frosted coils on their fans).
  const double half = air_flow_factor(0.375e-3, 1.5e-3);
  EXPECT_GT(half, 0.55);
  EXPECT_LT(half, 0.80);
}

TEST(Frost, warm_surface_takes_no_water) {
  const FrostLayer layer{.mass = 0.05, .density = 120.0};
  EXPECT_EQ(grow(layer, 1e-4, kelvin(0.5), 10.0).mass, 0.05);
}

}  // namespace
}  // namespace cw::twin
