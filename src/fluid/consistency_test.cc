// What must hold between properties whatever the fluid: one suite over every refrigerant and a grid
// of states. Derivatives are compared with central differences, hence the tolerances of 1e-6.
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "fluid/saturation.h"
#include "fluid/state.h"

namespace cw::fluid {
namespace {

class Consistency : public testing::TestWithParam<std::string_view> {
 protected:
  const Refrigerant& fluid() const { return **find_refrigerant(GetParam()); }

  FluidState state(InputPair pair, double first, double second) const {
    const auto found = state_from(fluid(), pair, first, second);
    EXPECT_TRUE(found) << (found ? "" : found.error().text());
    return found ? *found : FluidState{};
  }

  /// States of one phase: liquid, vapour and supercritical, from just off saturation outwards.
  std::vector<FluidState> single_phase_states() const {
    std::vector<FluidState> states;
    const double T_c = fluid().critical_temperature().value;
    const double p_c = fluid().critical_pressure().value;
    for (const double reduced_T : {0.62, 0.7, 0.8, 0.9, 0.97, 1.02, 1.1, 1.2}) {
      for (const double reduced_p : {0.003, 0.02, 0.1, 0.3, 0.6, 0.9, 1.1, 1.5, 3.0}) {
        const double T = reduced_T * T_c;
        if (T < fluid().minimum_temperature().value || T > fluid().maximum_temperature().value) {
          continue;
        }
        const auto found = state_from(fluid(), InputPair::T_p, T, reduced_p * p_c);
        EXPECT_TRUE(found) << found.error().text();
        if (found && found->phase != Phase::two_phase) states.push_back(*found);
      }
    }
    EXPECT_GT(states.size(), 40u);
    return states;
  }

  /// Pressures over the two-phase region.
  std::vector<double> pressures() const {
    std::vector<double> list;
    for (const double reduced : {0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.92, 0.97}) {
      const double p = reduced * fluid().critical_pressure().value;
      if (p > saturation_range(fluid()).lowest &&
          p < 0.995 * highest_state_pressure(fluid()).value) {
        list.push_back(p);
      }
    }
    return list;
  }
};

void near(double value, double expected, double relative, const char* what) {
  EXPECT_NEAR(value, expected, relative * std::fabs(expected)) << what;
}

TEST_P(Consistency, EnergiesBelongTogether) {
  for (const FluidState& at : single_phase_states()) {
    SCOPED_TRACE(std::to_string(at.T) + " K " + std::to_string(at.p) + " Pa");
    EXPECT_NEAR(at.h, at.u + at.p / at.rho, 1e-9 * (std::fabs(at.h) + 1e5));
    EXPECT_GT(*at.cv, 0.0);
    EXPECT_GT(*at.cp, *at.cv);
    EXPECT_GT(*at.w, 0.0);
  }
}

TEST_P(Consistency, DerivativesAlongIsobarAndIsotherm) {
  for (const FluidState& at : single_phase_states()) {
    SCOPED_TRACE(std::to_string(at.T) + " K " + std::to_string(at.p) + " Pa");
    const double dT = 1e-4 * at.T;
    const auto warm = state_from(fluid(), InputPair::T_p, at.T + dT, at.p);
    const auto cold = state_from(fluid(), InputPair::T_p, at.T - dT, at.p);
    const double dp = 1e-4 * at.p;
    const auto high = state_from(fluid(), InputPair::T_p, at.T, at.p + dp);
    const auto low = state_from(fluid(), InputPair::T_p, at.T, at.p - dp);
    if (!warm || !cold || !high || !low) continue;  // over the edge of the range
    if (warm->phase != cold->phase || high->phase != low->phase) continue;
    const double tolerance = at.T / fluid().critical_temperature().value > 0.95 &&
                                     at.T / fluid().critical_temperature().value < 1.05
                                 ? 2e-4
                                 : 2e-5;
    near((warm->h - cold->h) / (2 * dT), *at.cp, tolerance, "cp = dh/dT|p");
    near(at.T * (warm->s - cold->s) / (2 * dT), *at.cp, tolerance, "cp = T ds/dT|p");
    // Maxwell: ds/dp|T = -dv/dT|p; g = h - T s: dg/dp|T = v, dg/dT|p = -s.
    const double dv_dT = (1 / warm->rho - 1 / cold->rho) / (2 * dT);
    near((high->s - low->s) / (2 * dp), -dv_dT, 20 * tolerance, "ds/dp|T = -dv/dT|p");
    const auto g = [](const FluidState& s) { return s.h - s.T * s.s; };
    EXPECT_NEAR((g(*high) - g(*low)) / (2 * dp) * at.rho, 1.0,
                tolerance + 1e-11 * std::fabs(at.h) * at.rho / dp);
    EXPECT_NEAR((g(*warm) - g(*cold)) / (2 * dT), -at.s, tolerance * (std::fabs(at.s) + 100.0));
  }
}

TEST_P(Consistency, SoundSpeedAndPartials) {
  for (const FluidState& at : single_phase_states()) {
    SCOPED_TRACE(std::to_string(at.T) + " K " + std::to_string(at.p) + " Pa");
    // c^2 = dp/drho|s = 1/(drho/dp|h + drho/dh|p / rho), since dh = dp/rho at constant s.
    const double slope = at.partials.drho_dp_h + at.partials.drho_dh_p / at.rho;
    near(1.0 / std::sqrt(slope), *at.w, 1e-10, "w");
    near(1.0 / at.partials.dT_dh_p, *at.cp, 1e-10, "cp");
    const double dp = 1e-5 * at.p;
    const auto high = state_from(fluid(), InputPair::p_h, at.p + dp, at.h);
    const auto low = state_from(fluid(), InputPair::p_h, at.p - dp, at.h);
    if (!high || !low || high->phase != low->phase) continue;
    const double floor = 1e-13 * at.rho / dp;
    EXPECT_NEAR((high->rho - low->rho) / (2 * dp), at.partials.drho_dp_h,
                2e-5 * std::fabs(at.partials.drho_dp_h) + 100 * floor);
    EXPECT_NEAR((high->T - low->T) / (2 * dp), at.partials.dT_dp_h,
                2e-5 * std::fabs(at.partials.dT_dp_h) + 1e-11 * at.T / dp);
  }
}

TEST_P(Consistency, TwoPhasePartials) {
  for (const double p : pressures()) {
    for (const double q : {0.05, 0.3, 0.7, 0.95}) {
      SCOPED_TRACE(std::to_string(p) + " Pa, q " + std::to_string(q));
      const FluidState at = state(InputPair::p_q, p, q);
      const double dp = 1e-5 * p;
      const FluidState high = state(InputPair::p_h, p + dp, at.h);
      const FluidState low = state(InputPair::p_h, p - dp, at.h);
      near((high.rho - low.rho) / (2 * dp), at.partials.drho_dp_h, 2e-5, "drho/dp|h");
      near((high.T - low.T) / (2 * dp), at.partials.dT_dp_h, 2e-5, "dT/dp|h");
      const double dh = 100.0;
      const double up = state(InputPair::p_h, p, at.h + dh).rho;
      const double down = state(InputPair::p_h, p, at.h - dh).rho;
      near((up - down) / (2 * dh), at.partials.drho_dh_p, 2e-4, "drho/dh|p");
    }
  }
}

TEST_P(Consistency, SaturationLine) {
  const Refrigerant& r = fluid();
  for (const double p : pressures()) {
    SCOPED_TRACE(p);
    const auto lines = saturation_state(r, {p});
    ASSERT_TRUE(lines) << lines.error().text();
    const auto& l = lines->liquid;
    const auto& v = lines->vapour;
    EXPECT_GT(l.rho, v.rho);
    EXPECT_GT(v.h, l.h);
    if (r.kind() == FluidKind::pure) {
      EXPECT_EQ(l.T, v.T);
      // Clapeyron: dp/dT = dh / (T dv); and equal Gibbs energy.
      near(l.dT_dp, l.T * (1 / v.rho - 1 / l.rho) / (v.h - l.h), 1e-7, "Clapeyron");
      EXPECT_NEAR(l.h - l.T * l.s, v.h - v.T * v.s, 1e-8 * std::fabs(v.h));
    } else {
      EXPECT_LT(l.T, v.T);
    }
    const double dp = 1e-4 * p;
    const auto high = saturation_state(r, {p + dp});
    const auto low = saturation_state(r, {p - dp});
    ASSERT_TRUE(high && low);
    near((high->liquid.T - low->liquid.T) / (2 * dp), l.dT_dp, 1e-5, "dT/dp bubble");
    near((high->vapour.T - low->vapour.T) / (2 * dp), v.dT_dp, 1e-5, "dT/dp dew");
    near((high->liquid.h - low->liquid.h) / (2 * dp), l.dh_dp, 1e-4, "dh/dp bubble");
    near((high->liquid.rho - low->liquid.rho) / (2 * dp), l.drho_dp, 1e-4, "drho/dp bubble");
    near((high->vapour.rho - low->vapour.rho) / (2 * dp), v.drho_dp, 1e-4, "drho/dp dew");
  }
}

TEST_P(Consistency, RoundTripsOfEveryPair) {
  std::vector<FluidState> states = single_phase_states();
  for (const double p : pressures()) {
    for (const double q : {0.0, 0.001, 0.25, 0.5, 0.999, 1.0}) {
      states.push_back(state(InputPair::p_q, p, q));
    }
  }
  for (const FluidState& at : states) {
    SCOPED_TRACE(std::to_string(at.T) + " K " + std::to_string(at.p) + " Pa q " +
                 std::to_string(at.q.value_or(-1.0)));
    struct Input {
      const char* name;
      InputPair pair;
      double first, second;
    };
    std::vector<Input> inputs = {
        {"p_h", InputPair::p_h, at.p, at.h},       {"p_s", InputPair::p_s, at.p, at.s},
        {"h_s", InputPair::h_s, at.h, at.s},       {"rho_h", InputPair::rho_h, at.rho, at.h},
        {"rho_u", InputPair::rho_u, at.rho, at.u}, {"T_rho", InputPair::T_rho, at.T, at.rho}};
    if (at.q) {
      inputs.push_back({"p_q", InputPair::p_q, at.p, *at.q});
      inputs.push_back({"T_q", InputPair::T_q, at.T, *at.q});
    } else {
      inputs.push_back({"T_p", InputPair::T_p, at.T, at.p});
    }
    for (const Input& input : inputs) {
      const auto back = state_from(fluid(), input.pair, input.first, input.second);
      ASSERT_TRUE(back) << input.name << ": " << back.error().text();
      if (input.pair == InputPair::h_s && at.q && fluid().kind() != FluidKind::pure) {
        // Under the lever rule an isentrope close to the bubble line may meet one enthalpy twice.
        EXPECT_NEAR(back->h, at.h, 1e-7 * (std::fabs(at.h) + 1e5)) << input.name;
        EXPECT_NEAR(back->s, at.s, 1e-7 * (std::fabs(at.s) + 1e3)) << input.name;
        continue;
      }
      EXPECT_NEAR(back->T, at.T, 1e-8 * at.T) << input.name;
      // Density of a nearly incompressible liquid fixes the pressure only loosely.
      EXPECT_NEAR(back->p, at.p, 1e-7 * at.p + 1e-9 * at.rho * 1e5) << input.name;
      EXPECT_NEAR(back->rho, at.rho, 3e-7 * at.rho) << input.name;
      EXPECT_NEAR(back->h, at.h, 1e-7 * (std::fabs(at.h) + 1e4)) << input.name;
    }
  }
}

TEST_P(Consistency, ContinuousAndMonotonicThroughTheDome) {
  for (const double p : pressures()) {
    const auto lines = saturation_state(fluid(), {p});
    ASSERT_TRUE(lines);
    const double from = lines->liquid.h - 20e3;
    const double to = lines->vapour.h + 20e3;
    double last_T = 0.0, last_rho = 1e9, last_s = -1e9;
    const int n = 300;
    for (int i = 0; i <= n; ++i) {
      const double h = from + (to - from) * i / n;
      const auto at = state_from(fluid(), InputPair::p_h, p, h);
      if (!at) continue;  // below the lowest temperature
      EXPECT_GE(at->T, last_T - 1e-9) << p << " " << h;
      EXPECT_LT(at->rho, last_rho * (1 + 1e-12)) << p << " " << h;
      EXPECT_GT(at->s, last_s) << p << " " << h;
      last_T = at->T;
      last_rho = at->rho;
      last_s = at->s;
    }
    for (const bool vapour : {false, true}) {  // no jump on either line
      const double h = vapour ? lines->vapour.h : lines->liquid.h;
      const FluidState a = state(InputPair::p_h, p, h - 1e-3);
      const FluidState b = state(InputPair::p_h, p, h + 1e-3);
      EXPECT_NEAR(a.T, b.T, 2e-5);
      EXPECT_NEAR(a.rho, b.rho, 2e-5 * a.rho);
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Fluids, Consistency, testing::ValuesIn(refrigerant_names()),
                         [](const auto& one) {
                           std::string name(one.param);
                           std::erase(name, '-');
                           return name;
                         });

}  // namespace
}  // namespace cw::fluid
