#include "twin/expansion_valve.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "twin/test_support.h"

namespace cw::twin {
namespace {

constexpr double T_critical = 344.494;  // R-410A
const ValveSide high{2.7e6, 975.0, 5.0};
const ValveSide low{0.93e6, 120.0, 0.0};

/// Li's polynomial for R-410A and 1.8 mm [li2013]: the form that the power form stands in for.
double polynomial(double z, double subcooling) {
  return -0.07374 + 1.5461 * z - 0.73679 * z * z + 1.09651 * z * subcooling / (T_critical - 273.15);
}

// By hand: T_c = 71.344 degC; z 0.5, 5 K: 1.066 * 0.5^0.8006 * (5/71.344)^0.0609 = 1.066 * 0.57411
// * 0.85051 = 0.52052; z 1, 15 K: 1.066 * 0.90938 = 0.96940; z 0.2, 1.5 K at the floor's rounding.
TEST(ExpansionValve, coefficient_by_hand) {
  EXPECT_NEAR(flow_coefficient(0.5, 5.0, T_critical), 0.52052, 2e-4);
  EXPECT_NEAR(flow_coefficient(1.0, 15.0, T_critical), 0.96940, 3e-4);
  EXPECT_NEAR(flow_coefficient(0.5, 0.0, T_critical), flow_coefficient(0.5, 1.0, T_critical),
              1e-12);
}

// Mathematics: the growth is the slope of the logarithm, here against central differences, whose
// own error over 0.02 K is below 1e-4 of it except at the rounded corner.
TEST(ExpansionValve, growth_of_the_coefficient) {
  constexpr double half = 0.01;  // K
  for (const double subcooling : {0.0, 0.7, 1.2, 1.5, 1.9, 3.0, 6.0, 15.0}) {
    const double above = flow_coefficient(0.4, subcooling + half, T_critical);
    const double below = flow_coefficient(0.4, subcooling - half, T_critical);
    EXPECT_NEAR(coefficient_growth(subcooling), std::log(above / below) / (2.0 * half), 1e-5)
        << subcooling;
  }
}

// Two fits of one author: within 15 % of each other where both hold.
TEST(ExpansionValve, power_form_and_polynomial_agree) {
  for (double z = 0.2; z <= 1.001; z += 0.1) {
    for (const double subcooling : {1.5, 5.0, 10.0, 15.0}) {
      EXPECT_NEAR(flow_coefficient(z, subcooling, T_critical) / polynomial(z, subcooling), 1.0,
                  0.15)
          << z << " " << subcooling;
    }
  }
}

// Whole flow by hand: 1.8 mm, z 0.5, 27 to 9.3 bar, 975 kg/m3, 5 K: Y = 1 - (1 - 0.34444)/(3 *
// 0.83571 * 0.84) = 0.68871; A = 2.5447e-6 m2; m = 0.52052 * 0.68871 * 2.5447e-6 * sqrt(2 * 975
// * 1.77e6) = 0.05359.
TEST(ExpansionValve, flow_by_hand) {
  ExpansionValve valve{.area = 0.25 * std::numbers::pi * 1.8e-3 * 1.8e-3, .leak_share = 0.0};
  EXPECT_NEAR(valve_flow(valve, 0.5, high, low, T_critical).m_dot, 0.05359, 5e-5);
}

TEST(ExpansionValve, more_opening_subcooling_and_pressure_give_more_flow) {
  const ExpansionValve valve{.area = 3e-6};
  double before = 0.0;
  for (double z = 0.0; z <= 1.5; z += 1e-4) {
    const double m = valve_flow(valve, z, high, low, T_critical).m_dot;
    EXPECT_GT(m, before) << z;
    before = m;
  }
  before = 0.0;
  for (double subcooling = 0.0; subcooling < 20.0; subcooling += 0.01) {
    const double m = valve_flow(valve, 0.4, {high.p, high.rho, subcooling}, low, T_critical).m_dot;
    EXPECT_GE(m, before);
    before = m;
  }
  // Choking is in Y: the flow still grows, ever less, as the outlet pressure falls.
  before = 0.0;
  for (double p = high.p; p > 0.5 * high.p; p -= 1e3) {
    const double m = valve_flow(valve, 0.4, high, {p, low.rho, 0.0}, T_critical).m_dot;
    EXPECT_GE(m, before) << p;
    before = m;
  }
}

TEST(ExpansionValve, flash_gas_costs_flow) {
  const SaturationTransport s = test::saturation_at("R-410A", 40.0);
  const ExpansionValve valve{.area = 3e-6};
  double before = 1.0;
  for (double x = 0.0; x <= 1.0; x += 0.05) {
    const double rho = 1.0 / (x / s.rho_g + (1.0 - x) / s.rho_l);
    const double m = valve_flow(valve, 0.4, {2.4e6, rho, 0.0}, low, T_critical).m_dot;
    EXPECT_LT(m, before);
    before = m;
  }
}

TEST(ExpansionValve, derivatives) {
  const ExpansionValve valve{.area = 3e-6};
  for (const double z : {0.0, 5e-5, 0.01, 0.3, 1.0, 1.2}) {
    for (const double dp : {-1.5e6, -3e3, -1.9e3, -200.0, 0.0, 500.0, 1.99e3, 2.5e4, 1.7e6}) {
      const ValveSide a{1.8e6, 1000.0, 5.0}, b{1.8e6 - dp, 130.0, 2.0};
      const auto at = [&](double da, double db, double dz) {
        return valve_flow(valve, z + dz, {a.p + da, a.rho, a.subcooling},
                          {b.p + db, b.rho, b.subcooling}, T_critical)
            .m_dot;
      };
      const ValveFlow flow = valve_flow(valve, z, a, b, T_critical);
      const double d = 0.5, scale = std::fabs(flow.dm_dpa) + 1e-12;
      EXPECT_NEAR(flow.dm_dpa, (at(d, 0, 0) - at(-d, 0, 0)) / (2 * d), 2e-3 * scale)
          << z << " " << dp;
      EXPECT_NEAR(flow.dm_dpb, (at(0, d, 0) - at(0, -d, 0)) / (2 * d), 2e-3 * scale)
          << z << " " << dp;
      const double e = 1e-7;
      if (z > 0.0) {
        EXPECT_NEAR(flow.dm_dopening, (at(0, 0, e) - at(0, 0, -e)) / (2 * e),
                    1e-4 * std::fabs(flow.dm_dopening) + 1e-9);
      }
    }
  }
}

TEST(ExpansionValve, flows_backwards_like_forwards) {
  const ExpansionValve valve{.area = 3e-6};
  EXPECT_DOUBLE_EQ(valve_flow(valve, 0.4, high, low, T_critical).m_dot,
                   -valve_flow(valve, 0.4, low, high, T_critical).m_dot);
  EXPECT_EQ(valve_flow(valve, 0.4, high, high, T_critical).m_dot, 0.0);
}

TEST(ExpansionValve, opening_is_the_inverse) {
  const ExpansionValve valve = size_valve(0.05, high, low, 0.5, T_critical);
  EXPECT_NEAR(valve_flow(valve, 0.5, high, low, T_critical).m_dot, 0.05, 1e-12);
  for (const double z : {3e-5, 1e-4, 0.003, 0.1, 0.5, 1.0, 1.8}) {
    const double m = valve_flow(valve, z, high, low, T_critical).m_dot;
    EXPECT_NEAR(opening_for(valve, m, high, low, T_critical), z, 1e-9) << z;
  }
  EXPECT_EQ(opening_for(valve, 0.0, high, low, T_critical), 0.0);
  EXPECT_EQ(opening_for(valve, -0.01, high, low, T_critical), 0.0);  // against the pressure
  EXPECT_EQ(opening_for(valve, 10.0, high, low, T_critical), 10.0);
  EXPECT_EQ(opening_for(valve, 0.01, high, high, T_critical), 0.0);
}

TEST(ExpansionValve, closed_valve_leaks_its_share) {
  const ExpansionValve valve{.area = 3e-6, .leak_share = 1e-4};
  const double open =
      valve_flow({.area = 3e-6, .leak_share = 0.0}, 1.0, high, low, T_critical).m_dot;
  EXPECT_NEAR(valve_flow(valve, 0.0, high, low, T_critical).m_dot, 1e-4 * open, 1e-12);
  EXPECT_EQ(valve_flow(valve, -3.0, high, low, T_critical).m_dot,
            valve_flow(valve, 0.0, high, low, T_critical).m_dot);
}

}  // namespace
}  // namespace cw::twin
