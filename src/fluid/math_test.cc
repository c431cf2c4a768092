#include "fluid/detail/math.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace cw::fluid::detail {
namespace {

TEST(Math, ExpAgreesWithTheLibrary) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> argument(-60.0, 60.0);
  for (int i = 0; i < 200000; ++i) {
    const double x = argument(random);
    ASSERT_NEAR(exp_of(x) / std::exp(x), 1.0, 5e-16) << x;
  }
  EXPECT_EQ(exp_of(0.0), 1.0);
  EXPECT_GT(exp_of(-1e9), 0.0);
  EXPECT_TRUE(std::isfinite(exp_of(1e9)));
}

TEST(Math, QuadsAgreeWithScalarsBitForBit) {
  std::mt19937_64 random(8);
  std::uniform_real_distribution<double> argument(-300.0, 300.0);
  for (int i = 0; i < 20000; ++i) {
    const Quad x = {argument(random), argument(random), argument(random), argument(random)};
    Quad y;
    exp_quad(x, y);
    Quad back;
    log_quad(y, back);
    for (int lane = 0; lane < 4; ++lane) {
      ASSERT_EQ(y[lane], exp_of(x[lane]));
      ASSERT_EQ(back[lane], log_of(y[lane]));
    }
  }
}

TEST(Math, LogAgreesWithTheLibrary) {
  std::mt19937_64 random(9);
  std::uniform_real_distribution<double> exponent(-30.0, 30.0);
  for (int i = 0; i < 200000; ++i) {
    const double x = std::exp(exponent(random));
    const double expected = std::log(x);
    ASSERT_NEAR(log_of(x), expected, 4.5e-16 * std::fabs(expected)) << x;
  }
  EXPECT_EQ(log_of(1.0), 0.0);
  EXPECT_NEAR(log_of(1.0 + 1e-9), std::log1p(1e-9), 1e-16);
}

}  // namespace
}  // namespace cw::fluid::detail
