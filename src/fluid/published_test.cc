// Published values, read in sources other than our reference tables; "memory" marks values that are
// quoted from memory. Tolerances are those of the printed numbers.
#include <gtest/gtest.h>

#include <cmath>

#include "fluid/reference_table.h"
#include "fluid/saturation.h"
#include "fluid/state.h"

namespace cw::fluid {
namespace {

const Refrigerant& fluid(std::string_view name) { return **find_refrigerant(name); }
void close(double value, double published, double tolerance) {
  EXPECT_NEAR(value, published, tolerance * std::fabs(published));
}

TEST(Published, R410AServiceTables) {
  const auto& r = fluid("R-410A");
  // Gauge pressures of equipment service data; bubble and dew.
  close(bubble_pressure(r, from_celsius(-30))->value - 101325, 0.1722e6, 0.025);
  close(dew_pressure(r, from_celsius(-30))->value - 101325, 0.1717e6, 0.025);
  close(bubble_pressure(r, from_celsius(0))->value - 101325, 0.7044e6, 0.011);
  close(bubble_pressure(r, from_celsius(18))->value - 101325, 1.275e6, 0.007);
  close(dew_pressure(r, from_celsius(18))->value - 101325, 1.270e6, 0.007);
  close(bubble_pressure(r, from_celsius(40))->value - 101325, 2.332e6, 0.005);
  close(dew_pressure(r, from_celsius(40))->value - 101325, 2.323e6, 0.005);
  close(bubble_pressure(r, from_celsius(65))->value - 101325, 4.164e6, 0.006);
  // Producer's tables, older equation.
  close(bubble_pressure(r, from_celsius(-40))->value, 176.2e3, 0.006);
  close(bubble_pressure(r, from_celsius(-20))->value, 400.7e3, 0.003);
  const auto cold_l = state_from(r, InputPair::T_q, 243.15, 0.0);
  const auto cold_v = state_from(r, InputPair::T_q, 243.15, 1.0);
  close(cold_v->h - cold_l->h, 256.3e3, 0.015);
  close(cold_v->s - cold_l->s, 1054.0, 0.015);
  close(state_from(r, InputPair::T_q, 253.15, 1.0)->rho, 15.486, 0.006);
  close(state_from(r, InputPair::T_q, 233.15, 0.0)->rho, 1325.7, 0.012);
  const auto at_200 = state_from(r, InputPair::T_q, 200.0, 0.0);
  close(at_200->rho / r.molar_mass(), 19510.0, 5e-4);
  close(cold_l->mu->value, 238.61e-6, 0.005);
  close(cold_v->mu->value, 10.37e-6, 0.001);
  close(state_from(r, InputPair::T_q, 333.15, 0.0)->mu->value, 70.71e-6, 0.015);
  close(state_from(r, InputPair::T_q, 333.15, 1.0)->mu->value, 19.19e-6, 0.006);
  close(state_at(r, {260.32}, {0.101e6})->k->value, 0.01043, 0.012);
  close(state_at(r, {332.09}, {3.690e6})->k->value, 0.02276, 0.025);
}

TEST(Published, PureFluids) {
  struct Row {
    const char* name;
    double t_degC, p, rho_l, h_fg;
    double tolerance_p, tolerance_rho, tolerance_h;
  };
  for (const Row& row : {Row{"R-32", 0, 813.9e3, 1054.53, 317.2e3, 1.5e-3, 1e-3, 7e-3},
                         Row{"R-32", 0, 813.1e3, 1055.3, 315.3e3, 5e-4, 5e-4, 5e-4},      // memory
                         Row{"R-134a", 0, 292.8e3, 1294.8, 198.6e3, 5e-4, 5e-4, 5e-4},    // memory
                         Row{"R-22", 0, 498.0e3, 1281.5, 205.05e3, 5e-4, 5e-4, 5e-4}}) {  // memory
    const auto l = state_from(fluid(row.name), InputPair::T_q, row.t_degC + 273.15, 0.0);
    const auto v = state_from(fluid(row.name), InputPair::T_q, row.t_degC + 273.15, 1.0);
    close(l->p, row.p, row.tolerance_p);
    close(l->rho, row.rho_l, row.tolerance_rho);
    close(v->h - l->h, row.h_fg, row.tolerance_h);
  }
  close(bubble_pressure(fluid("R-32"), from_celsius(25))->value, 16.908e5, 1.5e-3);
  EXPECT_NEAR(to_celsius(*dew_temperature(fluid("R-134a"), {101325})), -26.06, 0.02);
  EXPECT_NEAR(to_celsius(*dew_temperature(fluid("R-22"), {101325})), -40.81, 0.01);  // memory
  close(fluid("R-134a").critical_temperature().value, 374.23, 1e-3);
  close(fluid("R-134a").critical_pressure().value, 4060.3e3, 1e-3);
}

TEST(Published, Transport) {
  const auto mu = [](const char* name, double T, double rho) {
    return state_from(fluid(name), InputPair::T_rho, T, rho)->mu->value;
  };
  const auto k = [](const char* name, double T, double rho) {
    return state_from(fluid(name), InputPair::T_rho, T, rho)->k->value;
  };
  const double M = fluid("R-125").molar_mass();
  close(mu("R-125", 300.0, 10596.9998 * M), 177.37e-6, 1e-3);
  close(mu("R-125", 400.0, 30.631 * M), 17.070e-6, 1e-3);
  close(k("R-125", 341.0, 600.0), 0.0565642978494, 2e-4);
  close(k("R-1234yf", 250.0, 1299.50), 0.088574, 1e-5);
  close(k("R-1234yf", 300.0, 4.671556), 0.013996, 1e-4);
  close(state_from(fluid("R-134a"), InputPair::T_q, 185.0, 0.0)->mu->value, 1.26983764e-3, 1e-4);
  close(state_from(fluid("R-134a"), InputPair::T_q, 330.0, 0.0)->k->value, 0.06746432253, 1e-4);
  close(state_from(fluid("R-407C"), InputPair::T_q, 243.15, 0.0)->mu->value, 304.18e-6, 5e-3);
  close(state_from(fluid("R-407C"), InputPair::T_q, 333.15, 1.0)->mu->value, 16.38e-6, 1e-3);
  // Check values of the nitrogen correlations [lemmon2004a, Table V], memory.
  const double M_N2 = fluid("nitrogen").molar_mass();
  close(mu("nitrogen", 300.0, 5000.0 * M_N2), 20.7430e-6, 1e-5);
  close(mu("nitrogen", 100.0, 25000.0 * M_N2), 79.7418e-6, 1e-5);
  close(k("nitrogen", 300.0, 5000.0 * M_N2), 32.7694e-3, 1e-4);
  close(k("nitrogen", 100.0, 25000.0 * M_N2), 103.834e-3, 1e-4);
}

TEST(Published, NitrogenInAClosedVolume) {
  const auto table = test::read_table(test::test_data("nitrogen_isochoric.csv"));
  ASSERT_GT(table.rows.size(), 40u);
  const auto& r = fluid("nitrogen");
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const double p1 = table.at(i, "P1_gauge_MPa(at 101.325 kPa atm)") * 1e6 + 101325;
    const double t1 = table.at(i, "T1_C") + 273.15;
    const double t2 = table.at(i, "T2_C") + 273.15;
    const auto before = state_at(r, {t1}, {p1});
    ASSERT_TRUE(before);
    const auto after = state_from(r, InputPair::T_rho, t2, before->rho);
    ASSERT_TRUE(after);
    // The table prints 0.1 kPa in MPa with four digits, Z with four and slopes with two.
    EXPECT_NEAR((after->p - 101325) / 1e6, table.at(i, "P2_gauge_realN2_MPa"), 0.6e-4);
    const double z = p1 / (before->rho * 8.31451 / r.molar_mass() * t1);
    EXPECT_NEAR(z, table.at(i, "Z1"), 0.6e-4);
    EXPECT_NEAR((after->p - p1) / (t2 - t1) / 1e3, table.at(i, "slope_real_kPa_per_K"), 0.006);
  }
}

}  // namespace
}  // namespace cw::fluid
