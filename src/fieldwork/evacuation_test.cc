#include "fieldwork/evacuation.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "fieldwork/form_of_test.h"
#include "fieldwork/pump_down.h"

namespace cw::field {
namespace {

constexpr double micron = 0.133322387415;
constexpr double minute = 60.0;

const Answers good = {{"--rise", "0min:500um,10min:700um,20min:900um,60min:1700um"},
                      {"--volume", "60L"},
                      {"--coldest", "25C"}};

// facts/standards.md D: conductance of a 1.5 m hose at 0.667 mbar: bore 4.8 mm 0.041, 8 mm 0.29,
// 10 mm 0.68, 12.7 mm 1.73 L/s.
TEST(Evacuation, ConductanceOfHoses) {
  const double bores_mm[] = {4.8, 8.0, 10.0, 12.7};
  const double expected[] = {0.041, 0.29, 0.68, 1.73};
  for (int i = 0; i < 4; ++i) {
    const Conductance c = conductance_of({"hose", bores_mm[i] / 1e3, 1.5, 1});
    EXPECT_NEAR(c.at(66.7) * 1e3, expected[i], 0.011 * expected[i]) << bores_mm[i];
  }
  const Conductance two = conductance_of({"hoses", 8e-3, 1.5, 2});
  EXPECT_NEAR(two.at(66.7) / conductance_of({"hose", 8e-3, 1.5, 1}).at(66.7), 2.0, 1e-12);
}

// facts/standards.md D: 60 L to 67 Pa: S 2.36 L/s 186 s; 0.5 L/s 879 s; 0.1 L/s 4393 s.
TEST(Evacuation, PumpDownLowerBounds) {
  EXPECT_NEAR(ideal_pump_down(0.060, 2.36e-3, 101325, 67), 186, 0.5);
  EXPECT_NEAR(ideal_pump_down(0.060, 0.5e-3, 101325, 67), 879, 1.0);
  EXPECT_NEAR(ideal_pump_down(0.060, 0.1e-3, 101325, 67), 4393, 5.0);
}

// Without anything in the way and without an ultimate pressure the integral is the closed form.
TEST(Evacuation, PumpDownAgreesWithTheClosedForm) {
  const PumpLine bare{2.36e-3, 0.0, {{"wide", 0.1, 0.01, 1}}};
  const auto down = pump_down(bare, 0.060, 101325, 67, 0.0);
  ASSERT_TRUE(down.has_value());
  EXPECT_NEAR(down->seconds, 186, 1.0);
}

// By hand for a molecular line: C = 12.1 D^3/L, 1/S_eff = 1/S + 1/C.
TEST(Evacuation, SpeedsAddAsReciprocals) {
  const PumpLine line{1e-3, 0.0, {{"hose", 8e-3, 1.5, 1}}};
  const double p = 1e-3;  // far in molecular flow
  const double c = 12.1 * 0.8 * 0.8 * 0.8 / 150.0 * 1e-3;
  EXPECT_NEAR(line_at(line, p).effective_speed, 1.0 / (1.0 / 1e-3 + 1.0 / c), 1e-8);
  EXPECT_EQ(line_at(line, p).throttle, 0U);
  EXPECT_EQ(line_at(line, 1e4).throttle, 1U);  // at 100 mbar the pump limits
}

TEST(Evacuation, CoreThrottlesAndTargetBelowUltimateIsNeverReached) {
  const Answers pump = {
      {"--pump-speed", "142L/min"}, {"--volume", "60L"}, {"--hose", "9.5mm x 1.5m"}};
  const auto in = evacuation(form_with(pump, {{"--cores", "in"}}), UnitSystem::si);
  const auto out = evacuation(form_with(pump, {{"--cores", "out"}}), UnitSystem::si);
  ASSERT_TRUE(in.has_value()) << in.error().text();
  ASSERT_TRUE(out.has_value());
  EXPECT_GT(in->value_of("pump_down_time"), out->value_of("pump_down_time"));
  EXPECT_EQ(in->result("throttle")->word, "valve core in place");
  EXPECT_GE(out->value_of("pump_down_time"), out->value_of("pump_down_time_lower"));
  const auto never = evacuation(form_with(pump, {{"--target", "10um"}}), UnitSystem::si);
  ASSERT_TRUE(never.has_value());
  EXPECT_TRUE(std::isinf(never->value_of("pump_down_time")));
  const auto loaded = evacuation(form_with(pump, {{"--gas-load", "0.01 Pa m3/s"}}), UnitSystem::si);
  ASSERT_TRUE(loaded.has_value());
  EXPECT_GT(loaded->value_of("ultimate_pressure"), in->value_of("ultimate_pressure"));
  expect_honest(*in);
}

// facts/standards.md D: leak only 20 um/min: 500, 700, 900, 1700 at 0, 10, 20, 60 min; in 60 L
// Q = 2.67e-3 Pa m3/s, about 0.98 kg of air a year.
TEST(Evacuation, LeakExample) {
  const auto sheet = evacuation(form_with(good), UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_EQ(sheet->verdict, "leak");
  EXPECT_NEAR(sheet->value_of("leak_rate_of_rise"), 20 * micron / minute, 0.2 * micron / minute);
  EXPECT_NEAR(sheet->value_of("leak_throughput"), 2.67e-3, 0.02e-3);
  EXPECT_NEAR(sheet->value_of("leak_air") * seconds_per_year, 0.98, 0.01);
  EXPECT_GT(*sheet->result("leak_rate_of_rise")->low, 10 * micron / minute);
  expect_honest(*sheet);
  EXPECT_NE(sheet->limits.at(0).find("never proves tightness"), std::string::npos);
}

// facts/standards.md D: moisture only, plateau 1500, tau 8 min: 500, 1213, 1418, 1499.
TEST(Evacuation, MoistureExample) {
  const auto sheet =
      evacuation(form_with(good, {{"--rise", "0min:500um,10min:1213um,20min:1418um,60min:1499um"}}),
                 UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_EQ(sheet->verdict, "moisture");
  EXPECT_NEAR(sheet->value_of("plateau"), 1500 * micron, 15 * micron);
  EXPECT_NEAR(sheet->value_of("time_constant"), 8 * minute, 0.5 * minute);
  EXPECT_EQ(*sheet->result("leak_rate_of_rise")->low, 0.0);
}

// facts/standards.md D: 60 L at 25 C hold 1.38 g; 1 g of water at 500 um and 25 C fills 2.06 m3.
// facts I: saturation -10 degC 1949, 0 4584, 10 9211, 25 23771, 35 42212 micron.
TEST(Evacuation, WaterFigures) {
  const auto water = water_at(from_celsius(25), CubicMetre{0.060});
  ASSERT_TRUE(water.has_value());
  EXPECT_NEAR(water->held * 1e3, 1.38, 0.005);
  EXPECT_FALSE(water->ice);
  EXPECT_NEAR(water_vapour_volume(1e-3, Pascal{500 * micron}, from_celsius(25)), 2.06, 0.01);
  const double t_degC[] = {-10, 0, 10, 25, 35};
  const double expected[] = {1949, 4584, 9211, 23771, 42212};
  for (int i = 0; i < 5; ++i) {
    const auto at = water_at(from_celsius(t_degC[i]), CubicMetre{0.060});
    EXPECT_NEAR(at->saturation / micron, expected[i], 3e-4 * expected[i]) << t_degC[i];
    EXPECT_EQ(at->ice, t_degC[i] <= 0);
  }
  EXPECT_LT(500 * micron, water_triple_pressure);
}

TEST(Evacuation, IceIsSaid) {
  const auto sheet = evacuation(form_with(good, {{"--coldest", "-10C"}}), UnitSystem::si);
  ASSERT_TRUE(sheet.has_value());
  EXPECT_NE(sheet->because.back().find("ice"), std::string::npos);
}

/// One rise with noise: readings every `step` minutes.
std::vector<RisePoint> rise_of(double leak_um_min, double level_um, double tau_min, int readings,
                               double step_min, double noise_um, std::mt19937& random) {
  std::normal_distribution<double> error(0.0, noise_um);
  std::vector<RisePoint> out;
  for (int i = 0; i < readings; ++i) {
    const double t = step_min * i;
    const double p = 500 + leak_um_min * t + level_um * (1 - std::exp(-t / tau_min));
    out.push_back({t * minute, (p + error(random)) * micron});
  }
  return out;
}

/// How many of 1,000 seeds have the truth inside the stated 95 % intervals.
struct Coverage {
  int leak = 0, level = 0, sharp = 0;
};
Coverage coverage(double leak, double level, double tau, double stated_um) {
  Coverage out;
  for (unsigned seed = 0; seed < 1000; ++seed) {
    std::mt19937 random(seed);
    const auto fit = fit_rise(rise_of(leak, level, tau, 25, 2.5, 10, random), stated_um * micron);
    if (!fit) continue;
    const double q = leak * micron / minute;
    const double d = level * micron;
    if (fit->leak_low <= q && q <= fit->leak_high) ++out.leak;
    if (fit->level_low <= d && d <= fit->level_high) ++out.level;
    if (fit->leak_high - fit->leak_low < 8 * micron / minute) ++out.sharp;
  }
  return out;
}

// Of 1,000 seeds at least 95 % - 3 standard deviations (2.1 %) hold the truth. Intervals at a bound
// (no leak, no moisture) and those that have to cover both shapes hold it more often.
TEST(Evacuation, IntervalsHoldForALeak) {
  const Coverage c = coverage(20, 0, 8, 10);
  EXPECT_GE(c.leak, 929);
  EXPECT_GE(c.level, 929);
}
TEST(Evacuation, IntervalsHoldForMoisture) {
  const Coverage c = coverage(0, 1000, 8, 10);
  EXPECT_GE(c.leak, 929);
  EXPECT_GE(c.level, 929);
  EXPECT_GE(c.sharp, 929);  // and they say something: leaks above 8 micron/min are excluded
}
TEST(Evacuation, IntervalsHoldForBothTogether) {
  const Coverage c = coverage(10, 800, 8, 10);
  EXPECT_GE(c.leak, 929);
  EXPECT_GE(c.level, 929);
}
TEST(Evacuation, IntervalsHoldWhenTheScatterIsUnderstated) {
  const Coverage c = coverage(10, 800, 8, 1);  // the gauge scatters ten times more than stated
  EXPECT_GE(c.leak, 929);
  EXPECT_GE(c.level, 929);
}

TEST(Evacuation, NamesTheShapes) {
  std::mt19937 random(5);
  const auto named = [&](double leak, double level, double tau) {
    const auto fit = fit_rise(rise_of(leak, level, tau, 25, 2.5, 5, random), 5 * micron);
    return std::string(words_of(fit->shape, fit->plateau));
  };
  EXPECT_EQ(named(0, 0, 8), "no rise beyond the gauge's scatter");
  EXPECT_EQ(named(20, 0, 8), "leak");
  EXPECT_EQ(named(0, 1000, 8), "moisture");
  EXPECT_EQ(named(0, 300, 8), "levels off in the dry band");
  EXPECT_EQ(named(15, 1000, 8), "leak and moisture");
  std::vector<RisePoint> logarithmic;
  for (int i = 0; i < 40; ++i) {
    logarithmic.push_back({i * 90.0, (500 + 200 * std::log1p(i * 1.5 / 0.6)) * micron});
  }
  const auto fit = fit_rise(logarithmic, 5 * micron);
  EXPECT_EQ(words_of(fit->shape, fit->plateau), "outgassing");
}

TEST(Evacuation, RulesByChoice) {
  const auto rule = [&](const std::string& name, const std::string& rise) {
    const auto sheet =
        evacuation(form_with(good, {{"--rule", name}, {"--rise", rise}}), UnitSystem::si);
    return sheet ? sheet->result("rule")->word : sheet.error().text();
  };
  EXPECT_EQ(rule("us-practice", "0min:400um,5min:500um,10min:600um,20min:700um"),
            "within this rule as entered");
  EXPECT_EQ(rule("ufgs", "0min:290um,5min:300um,10min:310um,20min:320um"),
            "needs data: held too short");
  EXPECT_EQ(rule("ufgs", "0min:290um,20min:400um,40min:500um,60min:600um"), "over");
  EXPECT_EQ(rule("rd552-small", "0h:200Pa,1h:201Pa,2h:201.5Pa,3h:201.9Pa"),
            "within this rule as entered");
}

TEST(Evacuation, ImpossibleInputs) {
  Answers all = good;
  all.insert(all.end(), {{"--pump-speed", "142L/min"}, {"--hose", "8mm x 1.5m"}});
  expect_all_refused(
      evacuation, all,
      {{{{"--rise", "-"}, {"--pump-speed", "-"}}, "--rise", "neither"},
       {{{"--rise", "0min:500um"}}, "--rise", "1 readings"},
       {{{"--rise", "0min:500um,10min:600um,10min:700um"}}, "--rise", "not later"},
       {{{"--rise", "20min:500um,10min:600um,0min:700um"}}, "--rise", "not later"},
       {{{"--rise", "0min 500um,10min:600um"}}, "--rise", "colon"},
       {{{"--rise", "0min:-500um,10min:600um,20min:700um"}}, "--rise", "below the least"},
       {{{"--rise", "0min:500,10min:600,20min:700"}}, "--rise", "no unit"},
       {{{"--rise", "0:500um,10:600um,20:700um"}}, "--rise", "no unit"},
       {{{"--rise", "0min:900kPa,10min:600um,20min:700um"}}, "--rise", "above the most"},
       {{{"--rise", "0min:25C,10min:600um,20min:700um"}}, "--rise", "pressure is needed"},
       {{{"--volume", "0L"}}, "--volume", "has a volume"},
       {{{"--volume", "-3L"}}, "--volume", "has a volume"},
       {{{"--volume", "-"}}, "--volume", "missing"},
       {{{"--coldest", "-280C"}}, "--coldest", "absolute zero"},
       {{{"--coldest", "300C"}}, "--coldest", "above the most"},
       {{{"--coldest", "-"}}, "--coldest", "missing"},
       {{{"--temperature", "5C"}}, "--temperature", "colder than the coldest"},
       {{{"--pump-speed", "0L/min"}}, "--pump-speed", "below the least"},
       {{{"--pump-speed", "-5cfm"}}, "--pump-speed", "below the least"},
       {{{"--pump-speed", "5kW"}}, "--pump-speed", "volume_flow is needed"},
       {{{"--hose", "8mm"}}, "--hose", "no hose"},
       {{{"--hose", "0mm x 1.5m"}}, "--hose", "below the least"},
       {{{"--hose", "8mm x 0m"}}, "--hose", "below the least"},
       {{{"--hose", "0 x 8mm x 1m"}}, "--hose", "count of hoses"},
       {{{"--cores", "sideways"}}, "--cores", "not known here"},
       {{{"--target", "900kPa"}}, "--target", "above the most"},
       {{{"--target", "100kPa"}, {"--start", "50kPa"}}, "--target", "not below"},
       {{{"--gas-load", "-1 Pa m3/s"}}, "--gas-load", "not negative"},
       {{{"--gauge-uncertainty", "0um"}}, "--gauge-uncertainty", "no reading is exact"},
       {{{"--rule", "mine"}}, "--rule", "no rule"}});
}

}  // namespace
}  // namespace cw::field
