#include "base/units.h"

#include <gtest/gtest.h>

#include <random>
#include <type_traits>

namespace cw {
namespace {

// What must not compile: the sum of two temperatures, a gauge reading where an absolute pressure is
// meant, a bare number compared with a temperature.
template <class A, class B>
concept Addable = requires(A a, B b) {
  a + b;
};
template <class A, class B>
concept Comparable = requires(A a, B b) {
  a < b;
};

static_assert(Addable<Kelvin, KelvinDelta>);
static_assert(!Addable<Kelvin, Kelvin>);
static_assert(Addable<Pascal, PascalDelta>);
static_assert(!Addable<Pascal, Pascal>);
static_assert(Comparable<Pascal, Pascal>);
static_assert(!Comparable<Pascal, PascalDelta>);
static_assert(!Comparable<Kelvin, double>);
static_assert(!std::is_convertible_v<double, Kelvin>);
static_assert(!std::is_convertible_v<PascalDelta, Pascal>);

TEST(Units, DifferencesAndSums) {
  EXPECT_DOUBLE_EQ((Kelvin{300.0} - Kelvin{290.5}).value, 9.5);
  EXPECT_DOUBLE_EQ((Kelvin{300.0} + KelvinDelta{10.0}).value, 310.0);
  EXPECT_DOUBLE_EQ((Kelvin{300.0} - KelvinDelta{10.0}).value, 290.0);
  EXPECT_DOUBLE_EQ((Pascal{3e6} - Pascal{1e6}).value, 2e6);
  EXPECT_DOUBLE_EQ((Pascal{101325.0} + PascalDelta{1e6}).value, 1101325.0);
  EXPECT_LT(Kelvin{1.0}, Kelvin{2.0});
}

TEST(Units, Celsius) {
  EXPECT_DOUBLE_EQ(from_celsius(0.0).value, 273.15);
  EXPECT_NEAR(to_celsius(Kelvin{273.16}), 0.01, 1e-13);  // triple point of water
  std::mt19937 random(9);
  std::uniform_real_distribution<double> celsius(-80.0, 160.0);
  for (int round = 0; round < 1000; ++round) {
    const double t_degC = celsius(random);
    // One rounding at about 400 K each way.
    EXPECT_NEAR(to_celsius(from_celsius(t_degC)), t_degC, 1e-13);
  }
}

TEST(StandardPressure, FollowsThePublishedTable) {
  // ASHRAE Handbook Fundamentals ch. 1, table 1 "Standard atmospheric data" [kPa], from memory. The
  // formula stays within 0.01 % of the table, which is printed to the pascal.
  const struct {
    double altitude, kPa;
  } table[] = {{-500.0, 107.478}, {0.0, 101.325},   {500.0, 95.461},
               {1000.0, 89.875},  {2000.0, 79.495}, {3000.0, 70.108}};
  for (const auto& row : table) {
    EXPECT_NEAR(standard_pressure_at(Metre{row.altitude}).value, 1e3 * row.kPa,
                1e-4 * 1e3 * row.kPa)
        << row.altitude;
  }
}

TEST(StandardPressure, FallsWithAltitudeAndIsClampedOutsideItsRange) {
  double below = standard_pressure_at(Metre{-5000.0}).value;
  for (int z = -4900; z <= 11000; z += 100) {
    const double p = standard_pressure_at(Metre{static_cast<double>(z)}).value;
    EXPECT_LT(p, below);
    below = p;
  }
  EXPECT_EQ(standard_pressure_at(Metre{20000.0}), standard_pressure_at(Metre{11000.0}));
  EXPECT_EQ(standard_pressure_at(Metre{-9000.0}), standard_pressure_at(Metre{-5000.0}));
}

}  // namespace
}  // namespace cw
