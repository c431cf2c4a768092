#include "twin/oil.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/units.h"
#include "twin/test_support.h"

namespace cw::twin {
namespace {

// From memory of published charts of R-410A in polyol-ester oil of viscosity grade 68: about 10 %
// at 60 degC and 1 MPa, 25..35 % at 20 degC and 1 MPa, a few percent at 80 degC and 0.6 MPa.
TEST(Oil, order_of_magnitude_of_published_charts) {
  const TransportTable& table = test::transport("R-410A");
  EXPECT_NEAR(dissolved_fraction(1.0e6, from_celsius(60.0).value, table), 0.10, 0.04);
  EXPECT_NEAR(dissolved_fraction(1.0e6, from_celsius(20.0).value, table), 0.32, 0.10);
  EXPECT_NEAR(dissolved_fraction(0.6e6, from_celsius(80.0).value, table), 0.04, 0.02);
}

TEST(Oil, more_with_pressure_less_with_temperature_and_bounded) {
  const TransportTable& table = test::transport("R-410A");
  for (double t = -30.0; t < 120.0; t += 5.0) {
    double before = 0.0;
    for (double p = 1e4; p < 4e6; p *= 1.05) {
      const double f = dissolved_fraction(p, from_celsius(t).value, table);
      EXPECT_GE(f, before);
      EXPECT_LE(f, 0.5);
      EXPECT_LE(dissolved_fraction(p, from_celsius(t + 1.0).value, table), f + 1e-12)
          << t << " " << p;
      before = f;
    }
  }
}

// The equation itself, from the fraction back to the pressure.
TEST(Oil, solves_flory_and_huggins) {
  const TransportTable& table = test::transport("R-32");
  const double T = from_celsius(40.0).value;
  const double saturation = test::dew_pressure_at("R-32", 40.0);
  for (const double share : {0.01, 0.1, 0.3, 0.6, 0.8}) {
    const double f = dissolved_fraction(share * saturation, T, table);
    EXPECT_NEAR(std::log(f) + 1.0 - f + 0.2 * (1.0 - f) * (1.0 - f), std::log(share), 1e-3)
        << share;
  }
}

}  // namespace
}  // namespace cw::twin
