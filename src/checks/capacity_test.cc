#include "fluid/state.h"
#include "support/judged.h"
#include "system/sheet.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* module = "outdoor.1";

/// One module of 40 kW in heating; `compressor` is a line of the sheet, or empty.
System sheet(const std::string& compressor =
                 "compressor = { displacement = \"68 mL\", speed_highest = \"110 Hz\" }") {
  const Result<System> out = parse_system(R"(name = "Test"
refrigerant = "R-410A"
[[outdoor]]
cooling = "28 kW"
heating = "40 kW"
)" + compressor + R"(
[[indoor]]
cooling = "28 kW"
[[pipe]]
from = "outdoor.1"
to = "indoor.1"
length = "20 m"
)",
                                          "test.toml");
  EXPECT_TRUE(out.has_value()) << out.error().text();
  return *out;
}

/// Full speed at 7 degC outdoors: 2730 kPa (45 degC), 700 kPa (-4 degC).
RecordingBuilder full_speed(double suction_kPa = 700, double minutes = 90) {
  return healthy_heating(minutes)
      .with("outdoor.1.compressor_frequency [Hz]", 110)
      .with("outdoor.1.discharge_pressure [kPa(a)]", 2730)
      .with("outdoor.1.suction_pressure [kPa(a)]", suction_kPa)
      .with("outdoor.1.suction_temperature [degC]", 2)
      .with("outdoor.1.liquid_temperature [degC]", 35)
      .with("site.outdoor_temperature [degC]", 7);
}

Finding find(const RecordingBuilder& log, const System& system, JudgeOptions options = {}) {
  options.system = &system;
  return test::finding(log, "capacity", module, options);
}

TEST(Capacity, LiesBetweenWhatPhysicsAllowsTheSweptVolume) {
  const Finding f = find(full_speed(), sheet());
  ASSERT_EQ(f.measures.size(), 2U) << f.because;
  // Every revolution takes in 68 mL of suction gas, or somewhat less: 80 to 100 % is the range of
  // volumetric efficiencies of machines (common practice, no source).
  const fluid::Refrigerant* r = fluid::find_refrigerant("R-410A").value();
  const auto in = fluid::state_at(*r, Kelvin{275.15}, Pascal{700e3}).value();
  const auto hot = fluid::state_at(*r, Kelvin{353.15}, Pascal{2730e3}).value();
  const auto liquid = fluid::state_at(*r, Kelvin{308.15}, Pascal{2730e3}).value();
  const double ideal = 110.0 * 68e-6 * in.rho * (hot.h - liquid.h);
  EXPECT_GT(f.measures[0].value, 0.80 * ideal);
  EXPECT_LT(f.measures[0].value, 1.00 * ideal);
  EXPECT_NEAR(f.measures[1].value, f.measures[0].value / 40e3, 1e-3) << "7 degC is rated";
  EXPECT_NEAR(f.measures[0].uncertainty, 0.15 * f.measures[0].value, 1.0) << "of the model alone";
}

TEST(Capacity, OkWatchAndBetween) {
  EXPECT_EQ(find(full_speed(), sheet()).verdict, Verdict::ok);
  const Finding thin = find(full_speed(330), sheet());
  EXPECT_EQ(thin.verdict, Verdict::watch) << thin.because;
  EXPECT_THAT(thin.because, HasSubstr("if its compressor pumps as new"));
  // Somewhere between the two the estimate cannot tell.
  bool open = false;
  for (double p = 340; p < 700; p += 20) {
    open = open || find(full_speed(p), sheet()).verdict == Verdict::unproven;
  }
  EXPECT_TRUE(open);
}

TEST(Capacity, TheRatingFallsWithTheColdOutdoors) {
  RecordingBuilder log = full_speed();
  const double mild = find(log, sheet()).measures.at(1).value;
  const double cold =
      find(log.with("site.outdoor_temperature [degC]", -3), sheet()).measures.at(1).value;
  EXPECT_NEAR(cold / mild, 1.0 / (1.0 - 0.13), 1e-3) << "1.3 % a kelvin";
}

TEST(Capacity, OpenWhereItCannotBeHad) {
  EXPECT_THAT(find(full_speed(), sheet("")).because,
              HasSubstr("states neither displacement nor map"));
  const Finding part = find(full_speed().with("outdoor.1.compressor_frequency [Hz]", 50), sheet());
  EXPECT_EQ(part.verdict, Verdict::unproven);
  EXPECT_THAT(part.because, HasSubstr("what was asked for, not what it can"));
  EXPECT_THAT(find(full_speed().with("outdoor.1.compressor_frequency [Hz]", 330), sheet()).because,
              HasSubstr("no speed in revolutions"));
  RecordingBuilder blind = full_speed();
  blind.without("outdoor.1.suction_pressure");
  EXPECT_EQ(find(blind, sheet()).because, "No suction pressure in the log.");
}

TEST(Capacity, IsAskedWithASheetOnly) {
  for (const Finding& f : test::judged(full_speed()).findings) EXPECT_NE(f.check, "capacity");
}

TEST(Capacity, WithoutALiquidTemperatureItSaysWhatItAssumed) {
  RecordingBuilder log = full_speed();
  log.without("outdoor.1.liquid_temperature");
  const Finding f = find(log, sheet());
  EXPECT_THAT(f.because, HasSubstr("subcooling was assumed"));
  EXPECT_GT(f.measures.at(0).uncertainty / f.measures.at(0).value, 0.158);
}

TEST(Capacity, FarOverTheRatingSpeaksAgainstTheSheet) {
  const Finding f =
      find(full_speed(),
           sheet("compressor = { displacement = \"120 mL\", speed_highest = \"110 Hz\" }"));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("more than a machine gives over its rating"));
}

TEST(DryDischarge, TheSheetsCompressorSeesWhatTheBoundMisses) {
  const System system = sheet();
  JudgeOptions options;
  options.system = &system;
  const auto log = [](double discharge) {
    return healthy_heating(60)
        .with("outdoor.1.saturated_condensing_temperature [degC]", 45)
        .with("outdoor.1.saturated_evaporating_temperature [degC]", -20)
        .with("outdoor.1.discharge_temperature [degC]", discharge);
  };
  // The bound of 0.85 lies near 84 degC here, the efficiency of usual machines near 100 degC.
  const Finding without = test::finding(log(81), "dry-discharge", module);
  EXPECT_EQ(without.verdict, Verdict::ok);
  const Finding with = test::finding(log(81), "dry-discharge", module, options);
  EXPECT_EQ(with.verdict, Verdict::watch) << with.because;
  EXPECT_THAT(with.because, HasSubstr("what the sheet's compressor makes of dry suction gas"));
  EXPECT_EQ(test::finding(log(100), "dry-discharge", module, options).verdict, Verdict::ok);
}

TEST(System, TheReportSaysWhatLogAndSheetDoNotShare) {
  const System system = sheet();
  JudgeOptions options;
  options.system = &system;
  RecordingBuilder log = healthy_heating(60);
  log.with("indoor.2.call", 1);
  const Judgement judgement = test::judged(log, options);
  EXPECT_THAT(judgement.phases.notes,
              testing::Contains("System sheet: indoor.2 is in the log and not in the sheet."));
}

}  // namespace
}  // namespace cw
