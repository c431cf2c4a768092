#include "checks/spectrum.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

namespace cw {
namespace {

std::vector<double> wave(std::size_t n, double step, double period, double peak, double drift = 0) {
  std::vector<double> out;
  for (std::size_t k = 0; k < n; ++k) {
    const double t = static_cast<double>(k) * step;
    out.push_back(290.0 + drift * t + peak * std::sin(2.0 * std::numbers::pi * t / period));
  }
  return out;
}

TEST(Spectrum, FindsASineOnADrift) {
  // Closed form: a sine of peak 3 swings by 6 and carries the whole variance.
  const Swing swing = strongest_swing(wave(720, 5, 155, 3, 1e-3), 5, 40, 900);
  EXPECT_NEAR(swing.period, 155, 3);
  EXPECT_NEAR(swing.amplitude, 6.0, 0.3) << "between two bins the window loses up to 4 %";
  EXPECT_GT(swing.share, 0.85);
}

TEST(Spectrum, ASquareWaveCarriesEightNinthsByPiInItsFundamental) {
  std::vector<double> values = wave(800, 5, 200, 1);
  for (double& v : values) v = v > 290.0 ? 291.0 : 289.0;
  // 4/pi of the peak; 8/pi^2 of the variance.
  const Swing swing = strongest_swing(values, 5, 40, 900);
  EXPECT_NEAR(swing.period, 200, 3);
  EXPECT_NEAR(swing.amplitude, 8.0 / std::numbers::pi, 0.1);
  EXPECT_NEAR(swing.share, 8.0 / (std::numbers::pi * std::numbers::pi), 0.08);
}

TEST(Spectrum, NoiseHasNoShare) {
  std::mt19937 random(7);
  std::vector<double> values;
  for (int k = 0; k < 720; ++k) values.push_back(static_cast<double>(random() % 1000) * 1e-3);
  EXPECT_LT(strongest_swing(values, 5, 40, 900).share, 0.1);
  EXPECT_EQ(strongest_swing(std::vector<double>(100, 3.0), 5, 40, 300).period, 0.0);
  EXPECT_EQ(strongest_swing(std::vector<double>(5, 3.0), 5, 40, 300).period, 0.0);
}

}  // namespace
}  // namespace cw
