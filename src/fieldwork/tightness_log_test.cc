#include "fieldwork/tightness_log.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw::field {
namespace {

constexpr double pi = 3.14159265358979;

/// Two days of a test in a plant room: a swing of 8 K, sensors that see 90 % of it and half an hour
/// early, readings every 30 min with noise.
std::vector<PressureSample> two_days(double loss_per_day, double noise, double lag_seconds,
                                     std::mt19937& random) {
  std::normal_distribution<double> error(0.0, 1.0);
  const auto nitrogen = fluid::find_refrigerant("nitrogen");
  const double rho0 = fluid::state_at(**nitrogen, Kelvin{293.15}, Pascal{4.0e6})->rho;
  const double rho_per_pa = rho0 / 4.0e6;
  std::vector<PressureSample> out;
  for (int i = 0; i < 96; ++i) {
    const double t = 1800.0 * i;
    const double gas = 293.15 + 4.0 * std::sin(2 * pi * t / 86400);
    const double seen = 293.15 + 3.6 * std::sin(2 * pi * (t + lag_seconds) / 86400);
    const double rho = rho0 - rho_per_pa * loss_per_day * t / 86400;
    out.push_back({t, fluid::equation_at(**nitrogen, gas, rho).p + noise * error(random),
                   seen + 0.05 * error(random)});
  }
  return out;
}

TEST(TightnessLog, FindsTheLeakBehindTheDaySwing) {
  std::mt19937 random(1);
  const auto fit = fit_tightness_log(two_days(20e3, 2e3, 1800, random), 0.0);
  ASSERT_TRUE(fit.has_value()) << fit.error().text();
  EXPECT_NEAR(fit->loss * 86400, 20e3, 2e3);
  EXPECT_GT(fit->loss_low, 0.0);
  EXPECT_NEAR(fit->swing_removed, 15e3 * 7.3, 15e3);
  std::string because;
  EXPECT_EQ(judge_log(*fit, because), TightnessVerdict::losing);
}

TEST(TightnessLog, TightSystemStaysTight) {
  std::mt19937 random(2);
  const auto fit = fit_tightness_log(two_days(0.0, 2e3, 1800, random), 0.0);
  ASSERT_TRUE(fit.has_value());
  std::string because;
  EXPECT_EQ(judge_log(*fit, because), TightnessVerdict::tight);
  EXPECT_LT(fit->loss_high * 86400, 3e3);  // the raw pressure swings by 120 kPa
}

TEST(TightnessLog, HalfADayWithSwingCannotTell) {
  std::mt19937 random(3);
  auto samples = two_days(0.0, 2e3, 0, random);
  samples.resize(24);
  const auto fit = fit_tightness_log(samples, 0.0);
  ASSERT_TRUE(fit.has_value());
  std::string because;
  EXPECT_EQ(judge_log(*fit, because), TightnessVerdict::cannot_tell);
}

// The stated 95 % holds: of 1,000 seeds 95 % +- 3 standard deviations (2.1 %).
TEST(TightnessLog, IntervalHoldsInAThousandSeeds) {
  int inside = 0;
  for (unsigned seed = 0; seed < 1000; ++seed) {
    std::mt19937 random(seed);
    const auto fit = fit_tightness_log(two_days(10e3, 2e3, 0, random), 0.0);
    ASSERT_TRUE(fit.has_value());
    if (fit->loss_low * 86400 <= 10e3 && 10e3 <= fit->loss_high * 86400) ++inside;
  }
  EXPECT_GE(inside, 929);
  EXPECT_LE(inside, 985);
}

TEST(TightnessLog, ReadsCsvAndCountsBadRows) {
  std::string csv = "time [h],pressure [MPa(g)],pipe [degC],coil [degF]\n";
  for (int i = 0; i < 12; ++i) csv += std::to_string(i) + ",4.15,20,68\n";
  csv += "13,-,20,68\n14,4.15,900,68\n15,0.00,20,68\n";
  const auto log = read_pressure_log(csv, "x.csv", standard_atmosphere);
  ASSERT_TRUE(log.has_value()) << log.error().text();
  EXPECT_EQ(log->samples.size(), 12U);
  EXPECT_EQ(log->rejected, 3U);
  EXPECT_EQ(log->first_reject, "line 14: no pressure");
  EXPECT_TRUE(log->gauge);
  EXPECT_NEAR(log->samples[3].pressure, 4.15e6 + standard_atmosphere, 1);
  EXPECT_NEAR(log->samples[3].temperature, 293.15, 0.001);
  EXPECT_FALSE(read_pressure_log("time,pressure [MPa],pipe [degC]\n", "x", 1e5).has_value());
  EXPECT_FALSE(read_pressure_log("a,b,c\n1,2,3\n", "x", 1e5).has_value());
  EXPECT_FALSE(read_pressure_log("", "x", 1e5).has_value());
}

TEST(TightnessLog, RefusesTimesThatDoNotRise) {
  std::mt19937 random(4);
  auto samples = two_days(0.0, 1e3, 0, random);
  std::swap(samples[10], samples[11]);
  EXPECT_FALSE(fit_tightness_log(samples, 0.0).has_value());
  samples.resize(5);
  EXPECT_FALSE(fit_tightness_log(samples, 0.0).has_value());
}

}  // namespace
}  // namespace cw::field
