// Against tables computed with another implementation of the same equations (headers of the
// tests/fluid tables); a larger selection is read from ../shared/reference where it is present.
#include <gtest/gtest.h>

#include <cmath>
#include <iterator>
#include <string>

#include "fluid/detail/math.h"
#include "fluid/detail/point.h"
#include "fluid/reference_table.h"
#include "fluid/saturation.h"
#include "fluid/state.h"

namespace cw::fluid {
namespace {

using detail::Model;
using detail::Point;

struct Case {
  const char* name;    ///< refrigerant, and the committed tables' file name
  const char* shared;  ///< file name in ../shared/reference
  double tolerance;    ///< relative
};

// R-454B: pressures and densities agree to 1e-10, h and cp to 3e-10; the other implementation
// scales the logarithm of density with the components' gas constants, which shows as 3e-7 in s.
// Otherwise densities agree to 2e-12, and 1e-8 holds for all but cp of R-22 at one point near the
// critical one, where it is 1.4e-8. That is the tables': see SolverStep below.
constexpr Case cases[] = {
    {"R410A", "R410A_pseudopure", 1e-8},
    {"R407C", "R407C_pseudopure", 1e-8},
    {"R32", "R32", 1e-8},
    {"R134a", "R134a", 1e-8},
    {"R22", "R22", 1.5e-8},
    {"R125", "R125", 1e-8},
    {"R1234yf", "R1234yf", 1e-8},
    {"R454B", "R454B_mixture", 1e-6},
};

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(c));
  return text;
}

void expect_close(double value, double expected, double tolerance, const char* what) {
  if (std::isnan(expected)) return;  // the other implementation has no value
  EXPECT_NEAR(value, expected, tolerance * std::fabs(expected)) << what;
}

class Reference : public testing::TestWithParam<Case> {
 protected:
  const Refrigerant& refrigerant() const { return **find_refrigerant(GetParam().name); }

  void compare_saturation(const test::Table& table) const {
    const double tolerance = GetParam().tolerance;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      const double T = table.at(i, "T_K");
      SCOPED_TRACE(T);
      for (const bool vapour : {false, true}) {
        const auto state = state_from(refrigerant(), InputPair::T_q, T, vapour ? 1.0 : 0.0,
                                      ReferenceState::published);
        ASSERT_TRUE(state) << state.error().text();
        const std::string end = vapour ? "_v" : "_l";
        expect_close(state->p, table.at(i, vapour ? "p_dew_Pa" : "p_bubble_Pa"), tolerance, "p");
        expect_close(state->rho, table.at(i, "rho" + end), tolerance, "rho");
        expect_close(state->h, table.at(i, "h" + end), tolerance, "h");
        expect_close(state->s, table.at(i, "s" + end), tolerance, "s");
        expect_close(*state->cp, table.at(i, "cp" + end), tolerance, "cp");
        expect_close(*state->cv, table.at(i, "cv" + end), tolerance, "cv");
        expect_close(*state->w, table.at(i, "w" + end), tolerance, "w");
        compare_transport(*state, table, i, "mu" + end, "k" + end);
        if (state->sigma) expect_close(state->sigma->value, table.at(i, "sigma"), 1e-6, "sigma");
      }
    }
  }

  void compare_single(const test::Table& table) const {
    const double tolerance = GetParam().tolerance;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      const double T = table.at(i, "T_K");
      const double p = table.at(i, "p_Pa");
      SCOPED_TRACE(std::to_string(T) + " K, " + std::to_string(p) + " Pa");
      const auto state = state_from(refrigerant(), InputPair::T_p, T, p, ReferenceState::published);
      ASSERT_TRUE(state) << state.error().text();
      expect_close(state->rho, table.at(i, "rho"), tolerance, "rho");
      expect_close(state->h, table.at(i, "h"), tolerance, "h");
      expect_close(state->s, table.at(i, "s"), tolerance, "s");
      expect_close(*state->cp, table.at(i, "cp"), tolerance, "cp");
      expect_close(*state->cv, table.at(i, "cv"), tolerance, "cv");
      expect_close(*state->w, table.at(i, "w"), tolerance, "w");
      compare_transport(*state, table, i, "mu", "k");
    }
  }

  static void compare_transport(const FluidState& state, const test::Table& table, std::size_t i,
                                const std::string& mu, const std::string& k) {
    if (state.mu && table.has(mu)) expect_close(state.mu->value, table.at(i, mu), 1e-6, "mu");
    if (state.k && table.has(k)) expect_close(state.k->value, table.at(i, k), 1e-6, "k");
  }

  static std::string shared(const std::string& end) {
    return std::string(CW_SOURCE_ROOT) + "/../shared/reference/" + GetParam().shared + end;
  }
};

TEST_P(Reference, Saturation) {
  const auto table = test::read_table(test::test_data(lower(GetParam().name) + "_sat.csv"));
  ASSERT_GT(table.rows.size(), 5u);
  compare_saturation(table);
}

TEST_P(Reference, SinglePhase) {
  const auto table = test::read_table(test::test_data(lower(GetParam().name) + "_single.csv"));
  ASSERT_GT(table.rows.size(), 20u);
  compare_single(table);
}

/// h, s, cp, cv and w at T and rho with the residual derivatives of a density `off` beside
/// (relative).
Point with_late_derivatives(const Model& model, double T, double rho, double off) {
  const double tau = model.reducing_temperature / T;
  const double delta = rho / model.reducing_density;
  detail::Derivatives r = model.helmholtz.residual(tau, delta * (1.0 + off));
  r.d /= 1.0 + off;
  r.dt /= 1.0 + off;
  r.dd /= (1.0 + off) * (1.0 + off);
  const detail::Derivatives i =
      model.helmholtz.ideal(tau, detail::log_of(tau), detail::log_of(delta));
  const double R = model.gas_constant;
  const double slope = 1.0 + r.d - r.dt;
  Point out;
  out.h = R * T * (i.t + r.t + 1.0 + r.d);
  out.s = R * (i.t + r.t - i.a - r.a);
  out.cv = -R * (i.tt + r.tt);
  out.cp = out.cv + R * slope * slope / (1.0 + 2.0 * r.d + r.dd);
  out.w = std::sqrt(R * T * (1.0 + 2.0 * r.d + r.dd) * out.cp / out.cv);
  return out;
}

// Why single-phase h, s, cp, cv and w of the tables differ by more than rounding: the other
// implementation evaluated the derivatives of the residual energy one step of its density solver
// before the density that it printed. One number a point, found from cv, then explains the other
// four to a few 1e-13; ours are the values at the printed T and p.
class SolverStep : public Reference {};
TEST_P(SolverStep, ExplainsTheDifferences) {
  const Model& model = refrigerant().model();
  const auto table = test::read_table(test::test_data(lower(GetParam().name) + "_single.csv"));
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const double T = table.at(i, "T_K");
    const double rho = table.at(i, "rho");
    const double cv = table.at(i, "cv");
    if (std::isnan(cv)) continue;
    SCOPED_TRACE(std::to_string(T) + " K, " + std::to_string(rho) + " kg/m3");
    constexpr double step = 1e-6;
    const double at_once = with_late_derivatives(model, T, rho, 0.0).cv;
    const double later = with_late_derivatives(model, T, rho, step).cv;
    const double off = (cv - at_once) / (later - at_once) * step;
    EXPECT_LT(std::fabs(off), 1e-7);  // the solver's last step
    const Point explained = with_late_derivatives(model, T, rho, off);
    EXPECT_NEAR(explained.h, table.at(i, "h"), 2e-11 * table.at(i, "h"));
    EXPECT_NEAR(explained.s, table.at(i, "s"), 2e-11 * table.at(i, "s"));
    EXPECT_NEAR(explained.cp, table.at(i, "cp"), 2e-11 * table.at(i, "cp"));
    EXPECT_NEAR(explained.w, table.at(i, "w"), 2e-11 * table.at(i, "w"));
  }
}

TEST_P(Reference, SharedTables) {
  const auto saturation = test::read_table(shared("_sat.csv"));
  const auto single = test::read_table(shared("_single.csv"));
  if (saturation.rows.empty() || single.rows.empty()) {
    GTEST_SKIP() << "no " << shared("_sat.csv") << ": only the committed points were compared";
  }
  compare_saturation(saturation);
  compare_single(single);
}

INSTANTIATE_TEST_SUITE_P(Fluids, Reference, testing::ValuesIn(cases),
                         [](const auto& one) { return std::string(one.param.name); });
// Without the mixture, whose entropy is defined in another way.
INSTANTIATE_TEST_SUITE_P(Fluids, SolverStep,
                         testing::ValuesIn(std::begin(cases), std::end(cases) - 1),
                         [](const auto& one) { return std::string(one.param.name); });

}  // namespace
}  // namespace cw::fluid
