#include "twin/compressor_map_file.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>

#include "fluid/state.h"
#include "twin/test_support.h"

namespace cw::twin {
namespace {

const fluid::Refrigerant& r410a() { return test::refrigerant("R-410A"); }

/// The inlet at which a map holds: its own superheat.
CompressorInlet rated_inlet(double te_degC, double tc_degC, double superheat, double speed) {
  const double p = test::dew_pressure_at("R-410A", te_degC);
  const auto gas = fluid::state_at(r410a(), from_celsius(te_degC + superheat), {p}).value();
  return {p,
          test::dew_pressure_at("R-410A", tc_degC),
          gas.rho,
          speed,
          te_degC + zero_celsius,
          tc_degC + zero_celsius};
}

// Factors of capacity and power of the default VRF compressor of a public building-energy program
// (its data set's biquadratics a + b Tc + c Tc^2 + d Te + e Te^2 + f Te Tc at three speeds) and
// values calculated from them by hand.
TEST(CompressorMap, biquadratics_at_three_speeds) {
  const auto set = [](double rpm, const std::array<double, 6>& q, const std::array<double, 6>& w) {
    TenCoefficients out;
    out.speed = rpm / 60.0;
    for (const auto& [from, to] : {std::pair{&q, &out.mass_flow}, {&w, &out.power}}) {
      *to = {(*from)[0], (*from)[3], (*from)[1], (*from)[4], (*from)[5], (*from)[2], 0, 0, 0, 0};
    }
    return out;
  };
  const TenCoefficients sets[] = {set(1500, {0.319, -0.00126, -2.15e-5, 0.0120, 1.05e-4, -8.66e-5},
                                      {0.0879, -1.72e-4, 6.93e-5, -3.38e-5, -8.10e-6, -1.04e-5}),
                                  set(3600, {0.812, -0.00423, -4.11e-5, 0.0297, 2.67e-4, -2.23e-4},
                                      {0.326, -0.00220, 1.42e-4, 0.00282, 2.86e-5, -3.50e-5}),
                                  set(6000, {1.32, -0.00620, -7.10e-5, 0.0489, 4.59e-4, -3.67e-4},
                                      {0.656, -0.00371, 2.07e-4, 0.0105, 7.36e-5, -1.57e-4})};
  auto map = map_of_sets(sets).value();
  map.superheat = 8.0;
  map.te_lowest = from_celsius(-30.0).value;
  map.te_highest = from_celsius(15.0).value;
  const Compressor compressor = make_map_compressor(r410a(), map).value();
  const double cases[][5] = {{100, 5, 50, 0.997, 1.003},
                             {100, -5, 45, 0.747, 0.893},
                             {100, -15, 45, 0.515, 0.873},
                             {100, -20, 45, 0.433, 0.869},
                             {60, 5, 45, 0.643, 0.521}};
  for (const auto& [speed, te, tc, capacity, power] : cases) {
    const CompressorInlet inlet = rated_inlet(te, tc, 8.0, speed);
    EXPECT_TRUE(compressor.in_range(inlet));
    const auto flow = compressor.flow(inlet, {});
    EXPECT_NEAR(flow.m_dot, capacity, 1.5e-3) << te << "/" << tc;
    EXPECT_NEAR(flow.power, power, 1.5e-3) << te << "/" << tc;
  }
}

// A public air-conditioner simulator's sample compressor, R-410A, ten coefficients in degF, lb/h
// and W at 60 Hz supply, and values calculated from them by hand.
const char* const ten_coefficient_text = R"(
temperature = "degF"
mass_flow_unit = "lb/h"
power_unit = "W"
superheat = "11.1 K"
evaporating = ["-25 degC", "15 degC"]
condensing = ["20 degC", "65 degC"]
[[set]]
speed = "58 Hz"
mass_flow = [217.3163128, 5.094492028, -0.593170311, 4.38e-2, -2.14e-2, 1.04e-2, 7.90e-5, -5.73e-5, 1.79e-4, -8.08e-5]
power = [-561.3615705, -15.62601841, 46.92506685, -0.217949552, 0.435062616, -0.442400826, 2.25e-4, 2.37e-3, -3.32e-3, 2.50e-3]
)";

TEST(CompressorMap, ten_coefficients_in_degF) {
  const auto map = parse_compressor_map(ten_coefficient_text, "map.toml");
  ASSERT_TRUE(map) << map.error().text();
  const Compressor compressor = make_map_compressor(r410a(), *map).value();
  const double cases[][4] = {{5, 45, 0.0552, 2436},
                             {-15, 45, 0.0242, 2656},
                             {5, 55, 0.0533, 3145},
                             {-15, 55, 0.0207, 3538}};
  for (const auto& [te, tc, m_dot, power] : cases) {
    const auto flow = compressor.flow(rated_inlet(te, tc, 11.1, 58.0), {});
    EXPECT_NEAR(flow.m_dot, m_dot, 6e-5) << te << "/" << tc;
    EXPECT_NEAR(flow.power, power, 1.0) << te << "/" << tc;
  }
}

// [rice1981]: suction gas of half the map's specific volume raises the flow by three quarters of
// it.
TEST(CompressorMap, denser_suction) {
  const Compressor compressor =
      make_map_compressor(r410a(), parse_compressor_map(ten_coefficient_text, "map.toml").value())
          .value();
  CompressorInlet inlet = rated_inlet(0.0, 45.0, 11.1, 58.0);
  const auto rated = compressor.flow(inlet, {});
  inlet.rho_suction *= 1.2;
  const auto dense = compressor.flow(inlet, {});
  EXPECT_NEAR(dense.m_dot / rated.m_dot, 1.15, 1e-3);
  EXPECT_NEAR(dense.power / rated.power, 1.15 / 1.2, 1e-3);
}

TEST(CompressorMap, goes_on_beyond_its_range_without_a_step) {
  const Compressor compressor =
      make_map_compressor(r410a(), parse_compressor_map(ten_coefficient_text, "map.toml").value())
          .value();
  EXPECT_FALSE(compressor.in_range(rated_inlet(-30.0, 45.0, 11.1, 58.0)));
  for (const double speed : {1.0, 20.0, 58.0, 90.0}) {
    double before[2] = {-1.0, -1.0};
    for (double te = -45.0; te <= 20.0; te += 0.02) {
      const auto flow = compressor.flow(rated_inlet(te, 45.0, 11.1, speed), {});
      EXPECT_GE(flow.m_dot, 0.0);
      EXPECT_GE(flow.power, 0.0);
      if (before[0] >= 0.0) {
        EXPECT_LT(std::fabs(flow.m_dot - before[0]), 2e-6 * speed);
        EXPECT_LT(std::fabs(flow.power - before[1]), 0.1 * speed);
      }
      before[0] = flow.m_dot;
      before[1] = flow.power;
    }
  }
  const auto off = compressor.flow(rated_inlet(0.0, 45.0, 11.1, 0.0), {});
  EXPECT_LT(off.m_dot, 1e-9);
  EXPECT_LT(off.power, 1e-6);
}

TEST(CompressorMap, derivatives) {
  const Compressor compressor =
      make_map_compressor(r410a(), parse_compressor_map(ten_coefficient_text, "map.toml").value())
          .value();
  const auto at = [&](CompressorInlet inlet, double dps, double dpd, const CompressorWear& wear) {
    inlet.p_suction += dps;
    inlet.p_discharge += dpd;
    inlet.T_evaporating = fluid::dew_temperature(r410a(), {inlet.p_suction})->value;
    inlet.T_condensing = fluid::dew_temperature(r410a(), {inlet.p_discharge})->value;
    return compressor.flow(inlet, wear);
  };
  for (const double te : {-20.0, 5.0}) {
    for (const CompressorWear wear : {CompressorWear{}, CompressorWear{0.1, 0.1}}) {
      const CompressorInlet inlet = rated_inlet(te, 48.0, 5.0, 58.0);
      const auto flow = compressor.flow(inlet, wear);
      const double d = 100.0, ps = inlet.p_suction;
      EXPECT_NEAR(flow.dm_dps,
                  (at(inlet, d, 0, wear).m_dot - at(inlet, -d, 0, wear).m_dot) / (2 * d),
                  1e-3 * flow.m_dot / ps);
      EXPECT_NEAR(flow.dm_dpd,
                  (at(inlet, 0, d, wear).m_dot - at(inlet, 0, -d, wear).m_dot) / (2 * d),
                  1e-3 * flow.m_dot / ps);
      EXPECT_NEAR(flow.dW_dps,
                  (at(inlet, d, 0, wear).power - at(inlet, -d, 0, wear).power) / (2 * d),
                  1e-3 * flow.power / ps);
      EXPECT_NEAR(flow.dW_dpd,
                  (at(inlet, 0, d, wear).power - at(inlet, 0, -d, wear).power) / (2 * d),
                  1e-3 * flow.power / ps);
    }
  }
}

TEST(CompressorMap, errors_say_where_and_how_to_mend) {
  const auto refused = [](std::string text, const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    EXPECT_NE(at, std::string::npos);
    text.replace(at, from.size(), to);
    const auto map = parse_compressor_map(text, "map.toml");
    EXPECT_FALSE(map) << to;
    return map ? Error{} : map.error();
  };
  const std::string good = ten_coefficient_text;
  for (const auto& [from, to] : {std::pair<std::string, std::string>{"\"degF\"", "\"F\""},
                                 {"\"lb/h\"", "\"psi\""},
                                 {"power_unit = \"W\"\n", ""},
                                 {"217.3163128, ", ""},
                                 {"217.3163128", "\"many\""},
                                 {"speed = \"58 Hz\"", "speed = \"-58 Hz\""},
                                 {"superheat", "super_heat"},
                                 {"superheat = \"11.1 K\"\n", ""},
                                 {"[\"20 degC\", \"65 degC\"]", "[\"20\", \"65 degC\"]"}}) {
    const Error error = refused(good, from, to);
    EXPECT_NE(error.where.find("map.toml"), std::string::npos) << to << ": " << error.text();
    EXPECT_FALSE(error.message.empty());
    EXPECT_FALSE(error.fix.empty()) << error.text();
  }
  EXPECT_FALSE(read_compressor_map("no/such/map.toml"));
  EXPECT_FALSE(read_thirty_coefficient_map("no/such/map.csv"));
}

TEST(CompressorMap, the_documented_form_is_read) {
  std::ifstream in(std::string(CW_SOURCE_ROOT) + "/docs/design/twin_components.md");
  const std::string page((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  const auto start = page.find("```toml\n");
  ASSERT_NE(start, std::string::npos);
  const auto end = page.find("```", start + 8);
  const auto map = parse_compressor_map(page.substr(start + 8, end - start - 8), "page");
  ASSERT_TRUE(map) << map.error().text();
  EXPECT_NEAR(map->te_lowest, from_celsius(-25.0).value, 1e-9);
}

// Cut, doubled and overwritten texts: an error or a map, never a crash.
TEST(CompressorMap, survives_damaged_files) {
  std::mt19937_64 random(3);
  const std::string good = ten_coefficient_text;
  const auto csv = std::filesystem::path(CW_BINARY_ROOT) / "damaged_map.csv";
  int read = 0;
  for (int i = 0; i < 2000; ++i) {
    std::string text = good;
    const std::size_t at = random() % text.size(), length = random() % 20;
    switch (random() % 3) {
      case 0:
        text.erase(at, length);
        break;
      case 1:
        text.insert(at, text.substr(random() % text.size(), length));
        break;
      default:
        text[at] = static_cast<char>(random() % 256);
    }
    const auto map = parse_compressor_map(text, "map.toml");
    if (map) {
      ++read;
      const auto compressor = make_map_compressor(r410a(), *map);
      if (compressor) {
        EXPECT_TRUE(std::isfinite(compressor->flow(rated_inlet(0.0, 45.0, 8.0, 58.0), {}).m_dot));
      }
    } else {
      EXPECT_FALSE(map.error().message.empty());
    }
    if (i % 100 == 0) {
      std::ofstream(csv) << ",C0\nm_dot," << text << "\nW_dot,1,2\n";
      EXPECT_FALSE(read_thirty_coefficient_map(csv));
    }
  }
  EXPECT_GT(read, 50);
}

/// Two published 30-coefficient maps of real variable-speed compressors.
class RealMap : public testing::TestWithParam<const char*> {
 protected:
  static std::filesystem::path path() {
    return std::filesystem::path(CW_SOURCE_ROOT) / "../shared/data/compressor-maps" / GetParam();
  }
};

/// The capacity row by the same order of terms, kW.
double capacity_kW(const std::filesystem::path& path, double te, double tc, double n) {
  // The reader takes m_dot and W_dot: let it read the capacity under that name.
  std::ifstream in(path);
  std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  text.replace(text.find("m_dot"), 5, "x_dot");
  text.replace(text.find("Q_dot_evp"), 9, "m_dot");
  const auto copy =
      std::filesystem::path(CW_BINARY_ROOT) / ("capacity_" + path.filename().string());
  std::ofstream(copy) << text;
  const auto map = read_thirty_coefficient_map(copy).value();
  double sum = 0.0;
  const double terms[] = {1.0,     te,           tc,           te * te,      te * tc,
                          tc * tc, te * te * te, tc * te * te, te * tc * tc, tc * tc * tc};
  for (std::size_t i = 0; i < 10; ++i) {
    sum += terms[i] * (map.mass_flow[i][0] + n * (map.mass_flow[i][1] + n * map.mass_flow[i][2]));
  }
  return sum * 3600.0;
}

TEST_P(RealMap, capacity_is_flow_times_evaporator_enthalpy) {
  if (!std::filesystem::exists(path())) GTEST_SKIP() << "no " << path();
  auto map = read_thirty_coefficient_map(path()).value();
  map.superheat = 8.0;
  const Compressor compressor = make_map_compressor(r410a(), map).value();
  for (const double n : {30.0, 60.0, 90.0}) {
    for (const auto& [te, tc] : {std::pair{5.0, 45.0}, {-5.0, 45.0}, {10.0, 40.0}, {5.0, 55.0}}) {
      const CompressorInlet inlet = rated_inlet(te, tc, 8.0, n);
      const auto flow = compressor.flow(inlet, {});
      const auto gas =
          fluid::state_from(r410a(), fluid::InputPair::p_q, inlet.p_suction, 1.0).value();
      const auto liquid =
          fluid::state_from(r410a(), fluid::InputPair::p_q, inlet.p_discharge, 0.0).value();
      const double per_kg = capacity_kW(path(), te, tc, n) * 1e3 / flow.m_dot;
      // The file states neither superheat nor subcooling: 0 to 13 K of gas and 0 to 8 K of liquid.
      const double saturated = gas.h - liquid.h;
      EXPECT_GT(per_kg, saturated) << n << " " << te << "/" << tc;
      EXPECT_LT(per_kg, saturated + 13.0 * 1200.0 + 8.0 * 1900.0) << n << " " << te << "/" << tc;
      // Volumetric efficiency against the swept volume that the point 5/45 at 60 rev/s suggests,
      // and overall isentropic efficiency.
      const auto suction =
          fluid::state_at(r410a(), from_celsius(te + 8.0), {inlet.p_suction}).value();
      const double ideal =
          fluid::state_from(r410a(), fluid::InputPair::p_s, inlet.p_discharge, suction.s)
              .value()
              .h -
          suction.h;
      const double overall = flow.m_dot * ideal / flow.power;
      EXPECT_GT(overall, 0.5) << n << " " << te << "/" << tc;
      EXPECT_LT(overall, 0.85) << n << " " << te << "/" << tc;
    }
  }
}

// The efficiency form with its default losses, sized at one point (0/45 degC, 60 rev/s), against
// real maps from half to one and a half times that speed. The scroll is followed closely; the small
// rotary takes more power than the defaults say (its own losses belong in its parameters).
TEST_P(RealMap, efficiency_form_follows_it) {
  if (!std::filesystem::exists(path())) GTEST_SKIP() << "no " << path();
  const bool scroll = std::string(GetParam()).find("scroll") != std::string::npos;
  const auto map = read_thirty_coefficient_map(path()).value();
  const Compressor real = make_map_compressor(r410a(), map).value();
  const CompressorInlet rated = rated_inlet(0.0, 45.0, 8.0, 60.0);
  EfficiencyParameters parameters;
  parameters.displacement = displacement_for(real.flow(rated, {}).m_dot, rated, parameters);
  const Compressor ours = make_efficiency_compressor(r410a(), parameters).value();
  for (const double n : {45.0, 60.0, 90.0}) {
    for (const auto& [te, tc] : {std::pair{5.0, 45.0}, {-10.0, 45.0}, {10.0, 40.0}, {5.0, 55.0}}) {
      const CompressorInlet inlet = rated_inlet(te, tc, 8.0, n);
      const auto a = real.flow(inlet, {}), b = ours.flow(inlet, {});
      EXPECT_NEAR(b.m_dot / a.m_dot, 1.0, scroll ? 0.02 : 0.06) << n << " " << te << "/" << tc;
      EXPECT_NEAR(b.power / a.power, 1.0, scroll ? 0.08 : 0.25) << n << " " << te << "/" << tc;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Published, RealMap,
                         testing::Values("variable_speed_rotary_r410a.csv",
                                         "variable_speed_scroll_r410a.csv"),
                         [](const auto& made) { return std::string(made.param).substr(15, 6); });

}  // namespace
}  // namespace cw::twin
