#include "fluid/table.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <limits>
#include <random>
#include <string>

#include "fluid/detail/table_data.h"
#include "fluid/saturation.h"

namespace cw::fluid {
namespace {

class TableTest : public testing::TestWithParam<const char*> {
 protected:
  const Refrigerant& fluid() const { return **find_refrigerant(GetParam()); }
  const Table& table() const { return **table_of(fluid()); }
  double pressure(double part) const {
    return table().lowest_pressure() *
           std::pow(table().highest_pressure() / table().lowest_pressure(), part);
  }

  /// Calls `check(exact)` for random liquid and vapour states of the table's range, crowded towards
  /// saturation, half of them evenly over the pressure and half over its logarithm.
  template <class Check>
  void each_state(int n, Check&& check) const {
    std::mt19937_64 random(20);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const double coldest = bubble_temperature(fluid(), {table().lowest_pressure()})->value - 14.9;
    for (int i = 0; i < n; ++i) {
      const double x = unit(random);
      const double p = i % 4 < 2
                           ? pressure(x)
                           : table().lowest_pressure() * (1.0 - x) + table().highest_pressure() * x;
      const double part = std::pow(unit(random), 2.5);
      const bool vapour = i % 2 == 0;
      const double T =
          vapour ? dew_temperature(fluid(), {p})->value + 1e-6 + 99.9 * part
                 : bubble_temperature(fluid(), {p})->value * (1 - part) + coldest * part - 1e-6;
      const auto exact = state_from(fluid(), InputPair::T_p, T, p);
      if (!exact) {
        // Hotter than the equation goes: the table must refuse too.
        TableState out;
        EXPECT_FALSE(table().from_p_T(p, T, out)) << T;
        continue;
      }
      check(*exact);
    }
  }
};

struct Worst {
  double T = 0.0, rho = 0.0, h = 0.0, s = 0.0, cp = 0.0;
  void take(const TableState& got, const FluidState& exact) {
    T = std::fmax(T, std::fabs(got.T / exact.T - 1.0));
    rho = std::fmax(rho, std::fabs(got.rho / exact.rho - 1.0));
    h = std::fmax(h, std::fabs(got.h / exact.h - 1.0));
    s = std::fmax(s, std::fabs(got.s / exact.s - 1.0));
    cp = std::fmax(cp, std::fabs(got.cp / *exact.cp - 1.0));
  }
};

std::string text_of(const Worst& worst) {
  char out[120];
  std::snprintf(out, sizeof out, "T %.1e rho %.1e h %.1e s %.1e cp %.1e", worst.T, worst.rho,
                worst.h, worst.s, worst.cp);
  return out;
}

TEST_P(TableTest, AgreesWithTheEquation) {
  Worst ph, pT;
  double partials = 0.0, quick = 0.0;
  each_state(20000, [&](const FluidState& exact) {
    TableState out;
    Partials slopes;
    double w = 0.0;
    ASSERT_TRUE(table().from_p_h(exact.p, exact.h, out, slopes, w)) << exact.T << " " << exact.p;
    ASSERT_EQ(out.phase, exact.phase) << exact.T << " " << exact.p;
    ph.take(out, exact);
    DensityState density;
    ASSERT_TRUE(table().from_p_h(exact.p, exact.h, density));
    quick = std::fmax(quick, std::fabs(density.T / exact.T - 1.0));
    quick = std::fmax(quick, std::fabs(density.rho / exact.rho - 1.0));
    EXPECT_NEAR(density.drho_dp_h, slopes.drho_dp_h, 1e-14 * slopes.drho_dp_h);
    EXPECT_NEAR(density.drho_dh_p, slopes.drho_dh_p, -1e-14 * slopes.drho_dh_p);
    partials = std::fmax(partials, std::fabs(slopes.drho_dp_h / exact.partials.drho_dp_h - 1.0));
    partials = std::fmax(partials, std::fabs(slopes.drho_dh_p / exact.partials.drho_dh_p - 1.0));
    partials = std::fmax(partials, std::fabs(w / *exact.w - 1.0));
    ASSERT_TRUE(table().from_p_T(exact.p, exact.T, out));
    ASSERT_EQ(out.phase, exact.phase);
    pT.take(out, exact);
  });
  EXPECT_LT(ph.T, 1e-7);
  EXPECT_LT(ph.rho, 1e-7);
  EXPECT_LT(ph.s, 1e-7);
  EXPECT_LT(ph.cp, 2e-6);
  EXPECT_LT(partials, 2e-6);
  EXPECT_LT(quick, 1e-7);
  EXPECT_LT(pT.h, 5e-7);
  EXPECT_LT(pT.rho, 5e-7);
  EXPECT_LT(pT.s, 5e-7);
  EXPECT_LT(pT.cp, 1e-5);
  RecordProperty("p_h", text_of(ph));
  RecordProperty("p_T", text_of(pT));
  RecordProperty("derivatives", std::to_string(partials * 1e9) + "e-9");
}

TEST_P(TableTest, TwoPhaseAgreesWithTheEquation) {
  std::mt19937_64 random(21);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 3000; ++i) {
    const double p = pressure(unit(random));
    const double q = unit(random);
    const auto exact = state_from(fluid(), InputPair::p_q, p, q);
    ASSERT_TRUE(exact);
    TableState out;
    Partials slopes;
    double w = 1.0;
    ASSERT_TRUE(table().from_p_q(p, q, out));
    EXPECT_NEAR(out.T, exact->T, 1e-9 * exact->T);
    EXPECT_NEAR(out.rho, exact->rho, 1e-9 * exact->rho);
    EXPECT_NEAR(out.h, exact->h, 1e-9 * exact->h);
    EXPECT_NEAR(out.s, exact->s, 1e-9 * exact->s);
    ASSERT_TRUE(table().from_p_h(p, exact->h, out, slopes, w));
    EXPECT_EQ(out.phase, Phase::two_phase);
    EXPECT_NEAR(out.q, q, 1e-8);
    EXPECT_EQ(w, 0.0);
    DensityState density;
    ASSERT_TRUE(table().from_p_h(p, exact->h, density));
    EXPECT_EQ(density.T, out.T);
    EXPECT_EQ(density.rho, out.rho);
    EXPECT_EQ(density.drho_dp_h, slopes.drho_dp_h);
    EXPECT_EQ(density.drho_dh_p, slopes.drho_dh_p);
    EXPECT_NEAR(slopes.drho_dh_p / exact->partials.drho_dh_p, 1.0, 1e-7);
    EXPECT_NEAR(slopes.drho_dp_h / exact->partials.drho_dp_h, 1.0, 2e-6);
    ASSERT_TRUE(table().from_T_q(exact->T, q, out));
    EXPECT_NEAR(out.p, p, 1e-8 * p);
    ASSERT_TRUE(table().from_rho_h(exact->rho, exact->h, out)) << p << " " << q;
    EXPECT_NEAR(out.p, p, 1e-7 * p);
  }
}

TEST_P(TableTest, SaturationLinesAgreeWithTheEquation) {
  for (int i = 0; i <= 200; ++i) {
    const double p = pressure(0.0001 + 0.9998 * i / 200.0);
    const auto exact = saturation_state(fluid(), {p});
    SaturationState out;
    ASSERT_TRUE(exact && table().saturation(p, out));
    for (const bool vapour : {false, true}) {
      const auto& a = vapour ? out.vapour : out.liquid;
      const auto& b = vapour ? exact->vapour : exact->liquid;
      EXPECT_NEAR(a.T, b.T, 1e-10 * b.T);
      EXPECT_NEAR(a.rho, b.rho, 1e-9 * b.rho);
      EXPECT_NEAR(a.h, b.h, 1e-9 * b.h);
      EXPECT_NEAR(a.s, b.s, 1e-9 * b.s);
      EXPECT_NEAR(a.dT_dp, b.dT_dp, 2e-7 * b.dT_dp);
      EXPECT_NEAR(a.drho_dp, b.drho_dp, 2e-6 * std::fabs(b.drho_dp));
      EXPECT_NEAR(a.dh_dp, b.dh_dp, 2e-6 * std::fabs(b.dh_dp) + 1e-9);
    }
  }
}

TEST_P(TableTest, DensityAndEnthalpyFindTheState) {
  each_state(2000, [&](const FluidState& exact) {
    TableState out;
    ASSERT_TRUE(table().from_rho_h(exact.rho, exact.h, out)) << exact.T << " " << exact.p;
    EXPECT_NEAR(out.rho, exact.rho, 1e-8 * exact.rho);
    EXPECT_NEAR(out.T, exact.T, 1e-6 * exact.T);
  });
}

TEST_P(TableTest, ContinuousAcrossCellsAndPhases) {
  const Table& t = table();
  const auto jump = [](const TableState& a, const TableState& b) {
    return std::fmax(std::fabs(a.T / b.T - 1.0),
                     std::fmax(std::fabs(a.rho / b.rho - 1.0), std::fabs(a.s / b.s - 1.0)));
  };
  double worst = 0.0;
  for (int exponent = 14; exponent < 23; ++exponent) {
    for (int part = 0; part < 64; ++part) {
      const double edge = std::ldexp(1.0 + part / 64.0, exponent);
      for (const double x : {-0.5, -0.01, 0.3, 1.01, 1.2}) {
        TableState l, v;
        if (!t.from_p_q(edge, 0.0, l) || !t.from_p_q(edge, 1.0, v)) continue;
        const double h = l.h + x * (v.h - l.h);
        TableState a, b;
        if (!t.from_p_h(std::nextafter(edge, 0.0), h, a) || !t.from_p_h(edge, h, b)) continue;
        worst = std::fmax(worst, jump(a, b));
      }
    }
  }
  EXPECT_LT(worst, 2e-7);
  worst = 0.0;
  for (int i = 0; i < 500; ++i) {  // across the dome, and along w through all cells
    const double p = pressure(i / 500.0);
    TableState l, v, a, b;
    ASSERT_TRUE(t.from_p_q(p, 0.0, l) && t.from_p_q(p, 1.0, v));
    ASSERT_TRUE(t.from_p_h(p, l.h - 1e-6, a) && t.from_p_h(p, l.h + 1e-6, b));
    worst = std::fmax(worst, jump(a, b));
    ASSERT_TRUE(t.from_p_h(p, v.h - 1e-6, a) && t.from_p_h(p, v.h + 1e-6, b));
    worst = std::fmax(worst, jump(a, b));
  }
  EXPECT_LT(worst, 2e-7);
}

TEST_P(TableTest, RefusesWhatIsOutside) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  TableState out;
  out.T = -7.0;
  const double p = pressure(0.5);
  for (const double bad : {nan, infinity, -infinity, 0.0, -1.0, 1e300, 5e-324}) {
    EXPECT_FALSE(table().from_p_h(bad, 3e5, out));
    EXPECT_FALSE(table().from_p_T(bad, 300.0, out));
    EXPECT_FALSE(table().from_p_q(bad, 0.5, out));
    EXPECT_FALSE(table().from_T_q(bad, 0.5, out));
    EXPECT_FALSE(table().from_rho_h(bad, 3e5, out));
    if (bad != 0.0 && bad != 5e-324) {
      EXPECT_FALSE(table().from_p_h(p, bad * 1e9, out));
      EXPECT_FALSE(table().from_p_q(p, bad, out));
    }
    EXPECT_FALSE(table().from_p_T(p, bad, out));
  }
  EXPECT_FALSE(table().from_p_q(p, 1.0 + 1e-9, out));
  EXPECT_FALSE(table().from_p_h(0.999 * table().lowest_pressure(), 3e5, out));
  EXPECT_FALSE(table().from_p_h(1.001 * table().highest_pressure(), 3e5, out));
  EXPECT_EQ(out.T, -7.0);
  DensityState density;
  density.rho = -7.0;
  EXPECT_FALSE(table().from_p_h(nan, 3e5, density));
  EXPECT_FALSE(table().from_p_h(p, nan, density));
  EXPECT_FALSE(table().from_p_h(p, 1e7, density));
  EXPECT_EQ(density.rho, -7.0);
}

INSTANTIATE_TEST_SUITE_P(Fluids, TableTest,
                         testing::Values("R410A", "R32", "R454B", "R407C", "R134a", "R22"));

// The tables are made of additions, multiplications, divisions, square roots and bit shifts alone,
// so every machine and compiler must arrive at these numbers. They change when an equation or the
// shape of the tables changes, and only then.
std::uint64_t made_checksum(const char* name) {
  auto made = detail::make_table((**find_refrigerant(name)).model());
  return Table(std::move(made.value())).checksum();
}
TEST(TableChecksum, IsTheSameEverywhere) {
  EXPECT_EQ(made_checksum("R-410A"), 0xcddd3c9bb1e251b2u);
  EXPECT_EQ(made_checksum("R-32"), 0xbc149471bd0efc59u);
}

TEST(TableOf, NitrogenHasNone) {
  const auto table = table_of(**find_refrigerant("nitrogen"));
  ASSERT_FALSE(table);
  EXPECT_EQ(table.error().code, ErrorCode::unsupported);
}

}  // namespace
}  // namespace cw::fluid
