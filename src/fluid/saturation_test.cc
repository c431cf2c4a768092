#include "fluid/saturation.h"
#include "fluid/state.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "fluid/reference_table.h"

namespace cw::fluid {
namespace {

const Refrigerant& refrigerant(std::string_view name) {
  const auto found = find_refrigerant(name);
  EXPECT_TRUE(found.has_value()) << (found ? "" : found.error().text());
  return *found.value();
}

constexpr double psi = 6894.757293168;
Kelvin from_fahrenheit(double t) { return {(t - 32.0) / 1.8 + zero_celsius}; }
Pascal from_psig(double p) { return {p * psi + standard_atmosphere}; }

TEST(FindRefrigerant, TakesTheUsualSpellings) {
  const Refrigerant& one = refrigerant("R-410A");
  EXPECT_EQ(one.name(), "R-410A");
  for (const char* name : {"R410A", "r410a", " r-410a ", "R 410A"}) {
    EXPECT_EQ(&refrigerant(name), &one) << name;
  }
  const auto unknown = find_refrigerant("R-999");
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().code, ErrorCode::not_found);
  EXPECT_NE(unknown.error().fix.find("R-410A"), std::string::npos);
}

TEST(FindRefrigerant, EveryListedNameLoads) {
  for (const std::string_view name : refrigerant_names()) {
    EXPECT_EQ(refrigerant(name).name(), name);
  }
}

class PseudoPure : public testing::TestWithParam<const char*> {};

TEST_P(PseudoPure, ReproducesTheReferenceTable) {
  const Refrigerant& r = refrigerant(GetParam());
  std::string file = GetParam();
  const auto table = test::read_table(test::test_data(file + "_sat.csv"));
  ASSERT_FALSE(table.rows.empty());
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const double T = table.at(i, "T_K");
    const double bubble = table.at(i, "p_bubble_Pa");
    const double dew = table.at(i, "p_dew_Pa");
    EXPECT_NEAR(bubble_pressure(r, {T})->value / bubble, 1.0, 1e-12);
    EXPECT_NEAR(dew_pressure(r, {T})->value / dew, 1.0, 1e-12);
    EXPECT_NEAR(bubble_temperature(r, {bubble})->value, T, 1e-9);
    EXPECT_NEAR(dew_temperature(r, {dew})->value, T, 1e-9);
  }
}

TEST_P(PseudoPure, FastCurvesKeepTheirPromise) {
  const Refrigerant& r = refrigerant(GetParam());
  for (const bool dew : {false, true}) {
    const auto fast = dew ? dew_temperature_or_nan : bubble_temperature_or_nan;
    const auto exact = dew ? dew_temperature : bubble_temperature;
    const auto start = dew ? dew_pressure : bubble_pressure;
    const double low = start(r, r.minimum_temperature())->value;
    const double high = saturation_range(r).highest;
    ASSERT_GT(high, 0.99 * r.critical_pressure().value);
    double worst = 0.0;
    double worst_near_end = 0.0;
    double last = 0.0;
    const int n = 5000;
    for (int i = 0; i <= n; ++i) {
      const double p = i == n ? high : std::fmin(high, low * std::pow(high / low, i / double(n)));
      const double T = fast(r, p);
      const auto expected = exact(r, {p});
      ASSERT_TRUE(expected) << p;
      double& bin = p < 0.95 * high ? worst : worst_near_end;
      bin = std::fmax(bin, std::fabs(T - expected->value));
      ASSERT_GT(T, last) << p;
      last = T;
    }
    EXPECT_LT(worst, 1e-6);
    EXPECT_LT(worst_near_end, 2.5e-3);
  }
}

TEST_P(PseudoPure, RefusesWhatIsOutside) {
  const Refrigerant& r = refrigerant(GetParam());
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double p : {-1.0, 0.0, 1.0, 5e6, 1e300, nan, HUGE_VAL, -HUGE_VAL}) {
    EXPECT_TRUE(std::isnan(dew_temperature_or_nan(r, p)));
    const auto error = dew_temperature(r, {p});
    ASSERT_FALSE(error);
    EXPECT_EQ(error.error().code, ErrorCode::out_of_range);
    EXPECT_NE(error.error().message.find("runs from"), std::string::npos);
  }
  for (const double T : {-1.0, 0.0, 199.9, 400.0, nan}) {
    EXPECT_FALSE(bubble_pressure(r, {T}));
  }
}

INSTANTIATE_TEST_SUITE_P(Fluids, PseudoPure, testing::Values("r410a", "r407c"));

// Tables for the trade, read by people; the tolerances are those of the printed numbers.
TEST(PublishedSaturation, R410A) {
  const Refrigerant& r = refrigerant("R-410A");
  struct Point {
    double t_degF;
    double p_psig;
    double tolerance;
  };
  for (const Point& point : {Point{32, 100.8, 7e-3}, Point{40, 118.0, 7e-3}, Point{60, 169.6, 7e-3},
                             Point{90, 274.1, 5e-3}, Point{100, 317.2, 5e-3},
                             Point{110, 365.0, 5e-3}, Point{120, 418.0, 5e-3}}) {
    const double bubble = bubble_pressure(r, from_fahrenheit(point.t_degF))->value;
    const double dew = dew_pressure(r, from_fahrenheit(point.t_degF))->value;
    EXPECT_NEAR((bubble - standard_atmosphere) / psi, point.p_psig, point.tolerance * point.p_psig);
    EXPECT_NEAR((dew - standard_atmosphere) / psi, point.p_psig, point.tolerance * point.p_psig);
  }
  EXPECT_NEAR(to_celsius(*dew_temperature(r, from_psig(418.0))), 48.89, 0.1);
  EXPECT_NEAR(bubble_temperature(r, {standard_atmosphere})->value, 221.71, 0.01);
  EXPECT_NEAR(to_celsius(*dew_temperature(r, {standard_atmosphere})), -51.36, 0.02);
  EXPECT_NEAR(bubble_pressure(r, {200.0})->value, 29160.0, 0.0005 * 29160.0);
}

TEST(Refusals, CarryBothUnitSystems) {
  const auto& r = **find_refrigerant("R-410A");
  const auto hot = state_from(r, InputPair::T_q, 673.15, 0.5);
  ASSERT_FALSE(hot);
  EXPECT_EQ(hot.error().message,
            "R-410A: temperature 400 °C / 752 °F is outside the two-phase region, -73.15 °C to "
            "71.2588 °C / -99.67 °F to 160.266 °F");
  const auto high = bubble_temperature(r, {20e6});
  ASSERT_FALSE(high);
  EXPECT_EQ(
      high.error().message,
      "R-410A: no saturation at pressure 20000 kPa(a) / 2900.75 psi(a); the saturation line runs "
      "from 29.1603 kPa(a) to 4901.2 kPa(a) / 4.22935 psi(a) to 710.859 psi(a)");
  const auto quality = state_from(r, InputPair::T_q, 300.0, 1.5);
  ASSERT_FALSE(quality);
  EXPECT_EQ(quality.error().message, "R-410A: quality 1.5 is outside the two-phase region, 0 to 1");
}

}  // namespace
}  // namespace cw::fluid
