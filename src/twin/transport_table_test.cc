#include "twin/transport_table.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "fluid/state.h"
#include "twin/test_support.h"

namespace cw::twin {
namespace {

using fluid::InputPair;

class Transport : public testing::TestWithParam<const char*> {};

TEST_P(Transport, follows_the_equation_of_state_between_the_nodes) {
  const auto& refrigerant = test::refrigerant(GetParam());
  const TransportTable& table = test::transport(GetParam());
  for (double share = 0.0213; share < 0.9; share *= 1.0731) {
    const double p = share * refrigerant.critical_pressure().value;
    SCOPED_TRACE(share);
    SaturationTransport s;
    table.at(p, s);
    const auto liquid = fluid::state_from(refrigerant, InputPair::p_q, p, 0.0).value();
    const auto vapour = fluid::state_from(refrigerant, InputPair::p_q, p, 1.0).value();
    // Heat capacities run towards their pole at the critical point, the others are gentler.
    const bool high = share > 0.6;
    for (const auto& [ours, theirs] : {std::pair{s.rho_l, liquid.rho},
                                       {s.rho_g, vapour.rho},
                                       {s.h_lg, vapour.h - liquid.h},
                                       {s.T_bubble, liquid.T},
                                       {s.T_dew, vapour.T}}) {
      EXPECT_NEAR(ours, theirs, (high ? 1e-3 : 2e-5) * theirs);
    }
    EXPECT_NEAR(s.cp_l, *liquid.cp, (high ? 3e-2 : 5e-5) * s.cp_l);
    EXPECT_NEAR(s.cp_g, *vapour.cp, (high ? 3e-2 : 5e-5) * s.cp_g);
    if (liquid.mu && vapour.mu) {
      EXPECT_NEAR(s.mu_l, liquid.mu->value, 1e-3 * s.mu_l);
      EXPECT_NEAR(s.mu_g, vapour.mu->value, 1e-3 * s.mu_g);
    }
    // Conductivities by corresponding states have corners.
    if (liquid.k) {
      EXPECT_NEAR(s.k_l, liquid.k->value, 2e-3 * s.k_l);
    }
    if (vapour.k) {
      EXPECT_NEAR(s.k_g, vapour.k->value, 2e-3 * s.k_g);
    }
    EXPECT_NEAR(s.p_reduced, share, 1e-12);
  }
}

TEST_P(Transport, slopes_are_those_of_the_lines) {
  const TransportTable& table = test::transport(GetParam());
  for (double share = 0.05; share < 0.9; share += 0.1) {
    const double p = share * table.critical_pressure(), step = 1e-4 * p;
    SaturationTransport low, high, s;
    table.at(p, s);
    table.at(p - step, low);
    table.at(p + step, high);
    EXPECT_NEAR(s.dT_dew, (high.T_dew - low.T_dew) / (2.0 * step), 1e-3 * s.dT_dew);
    EXPECT_NEAR(s.dT_bubble, (high.T_bubble - low.T_bubble) / (2.0 * step), 1e-3 * s.dT_bubble);
  }
}

INSTANTIATE_TEST_SUITE_P(Refrigerants, Transport,
                         testing::Values("R-410A", "R-32", "R-454B", "R-407C", "R-134a", "R-22"),
                         [](const auto& made) {
                           std::string name(made.param);
                           std::erase(name, '-');
                           return name;
                         });

TEST(TransportTable, says_what_it_estimated) {
  EXPECT_TRUE(test::transport("R-410A").note().empty());
  EXPECT_NE(test::transport("R-454B").note().find("estimated from its components"),
            std::string::npos);
  EXPECT_NE(test::transport("R-32").note().find("extrapolated"), std::string::npos);
}

TEST(TransportTable, clamps_every_pressure) {
  const TransportTable& table = test::transport("R-410A");
  SaturationTransport end, s;
  table.at(table.highest_pressure(), end);
  table.at(1e9, s);
  EXPECT_EQ(s.rho_l, end.rho_l);
  table.at(table.lowest_pressure(), end);
  for (const double p : {0.0, -1e5, std::numeric_limits<double>::quiet_NaN()}) {
    table.at(p, s);
    EXPECT_EQ(s.rho_g, end.rho_g);
    EXPECT_TRUE(std::isfinite(s.T_dew));
  }
}

}  // namespace
}  // namespace cw::twin
