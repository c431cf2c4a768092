#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* module = "outdoor.1";
constexpr const char* hot = "outdoor.1.discharge_temperature [degC]";

/// -20 degC evaporating, 45 degC condensing: the deep cold of the worked figures.
RecordingBuilder deep_cold(double discharge_degC) {
  return healthy_heating(60)
      .with("outdoor.1.saturated_condensing_temperature [degC]", 45)
      .with("outdoor.1.saturated_evaporating_temperature [degC]", -20)
      .with(hot, discharge_degC);
}

TEST(DryDischarge, FindsLiquidThatAFixedSuperheatMisses) {
  EXPECT_EQ(test::finding(deep_cold(100), "dry-discharge", module).verdict, Verdict::ok);
  // 10 % liquid leaves 24 K of discharge superheat here (facts of our own equation, efficiency
  // 0.65): far over the fixed limit, and yet not dry.
  const RecordingBuilder wet = deep_cold(69);
  EXPECT_EQ(test::finding(wet, "discharge-superheat", module).verdict, Verdict::ok);
  const Finding f = test::finding(wet, "dry-discharge", module);
  EXPECT_EQ(f.verdict, Verdict::fault) << f.because;
  EXPECT_EQ(test::finding(deep_cold(100).with(hot, Signal(100).through(30, 41, 69)),
                          "dry-discharge", module)
                .verdict,
            Verdict::watch);
  RecordingBuilder blind = deep_cold(69);
  blind.without("outdoor.1.saturated_evaporating_temperature");
  EXPECT_EQ(test::finding(blind, "dry-discharge", module).because,
            "No suction pressure in the log.");
}

TEST(DryDischarge, TheModelIsThatOfTheWorkedFigures) {
  // Saturated suction at -20 degC to 45 degC with efficiency 0.65: 99.7 degC at 0.2 K of superheat
  // (computed beforehand with another implementation of the same equation of state).
  const JudgeOptions options =
      test::with_limits("[dry-discharge]\nefficiency = { value = \"0.65 1\", source = \"test\" }");
  const Finding f = test::finding(deep_cold(99.7), "dry-discharge", module, options);
  EXPECT_NEAR(f.measures.at(0).value, 0.0, 0.6);
}

TEST(IndoorSubcooling, LowAndHigh) {
  constexpr const char* pipe = "indoor.1.liquid_pipe_temperature [degC]";
  const auto verdict = [&](double t) {
    return test::finding(healthy_heating(90).with(pipe, t), "indoor-subcooling", "indoor.1")
        .verdict;
  };
  EXPECT_EQ(verdict(42), Verdict::ok);
  EXPECT_EQ(verdict(47.5), Verdict::watch);
  EXPECT_EQ(verdict(27), Verdict::watch);
  EXPECT_EQ(test::finding(healthy_heating(90), "indoor-subcooling", "indoor.1").because,
            "No liquid-side pipe temperature in the log.");
}

TEST(GasLineDrop, APipeUnderTheCondensingTemperature) {
  constexpr const char* pipe = "indoor.1.gas_pipe_temperature [degC]";
  const auto verdict = [&](double t) {
    return test::finding(healthy_heating(90).with(pipe, t), "gas-line-drop", "indoor.1").verdict;
  };
  EXPECT_EQ(verdict(58), Verdict::ok);
  EXPECT_EQ(verdict(45), Verdict::watch);
  EXPECT_EQ(verdict(40), Verdict::fault);
  EXPECT_EQ(test::finding(healthy_heating(10), "gas-line-drop", "indoor.1").verdict,
            Verdict::unproven);
}

TEST(DefrostPattern, LengthAndShare) {
  const auto log = [](double length) {
    return healthy_heating(240).with(
        "outdoor.1.defrost", Signal(0).during(60, 60 + length, 1).during(150, 150 + length, 1));
  };
  const Finding ok = test::finding(log(6), "defrost-pattern", module);
  EXPECT_EQ(ok.verdict, Verdict::ok);
  EXPECT_THAT(ok.because, HasSubstr("2 defrosts of 6 min as a rule, 1 h 24 min apart, in 5 %"));
  EXPECT_EQ(test::finding(log(14), "defrost-pattern", module).verdict, Verdict::watch);
  EXPECT_EQ(test::finding(healthy_heating(240), "defrost-pattern", module).verdict,
            Verdict::unproven);
  RecordingBuilder often = healthy_heating(120);
  Signal flag(0);
  for (double m = 20; m < 110; m += 30) flag = flag.during(m, m + 8, 1);
  EXPECT_EQ(test::finding(often.with("outdoor.1.defrost", flag), "defrost-pattern", module).verdict,
            Verdict::watch);
}

TEST(DefrostPattern, ALengthThatTheStepOfTheLogCannotTellIsOpen) {
  const auto log = [](double length, double step) {
    return healthy_heating(360, step).with(
        "outdoor.1.defrost", Signal(0).during(60, 60 + length, 1).during(200, 200 + length, 1));
  };
  EXPECT_EQ(test::finding(log(10, 30), "defrost-pattern", module).verdict, Verdict::ok);
  const Finding open = test::finding(log(10, 300), "defrost-pattern", module);
  EXPECT_EQ(open.verdict, Verdict::unproven) << open.because;
  EXPECT_THAT(open.proof, HasSubstr("at least every 30 s"));
  EXPECT_EQ(test::finding(log(25, 300), "defrost-pattern", module).verdict, Verdict::watch)
      << "longer than any step of the log explains";
}

TEST(Observation, TenReadingsAreTooFew) {
  const Finding f = test::finding(healthy_heating(90, 600), "discharge-temperature", module);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("Only 10 readings, 10 min apart"));
  const Finding enough = test::finding(healthy_heating(120, 600), "discharge-superheat", module);
  EXPECT_EQ(enough.verdict, Verdict::ok);
  EXPECT_THAT(enough.because, HasSubstr("what lasts less can fall between them"));
}

TEST(Standstill, AMachineAtRestIsNotAskedWhatItCannotShow) {
  RecordingBuilder log = test::resting(240);
  for (const Finding& f : test::judged(log).findings) {
    const Check* check = find_check(f.check);
    EXPECT_NE(check->mode, AskedIn::heating) << f.check;
    EXPECT_NE(check->mode, AskedIn::cooling) << f.check;
  }
  EXPECT_EQ(test::judged(log).verdict, Verdict::unproven) << "rest shows no health";
}

TEST(CompressorCeiling, NoReserveInMildWeather) {
  RecordingBuilder log = healthy_heating(200);
  log.with("outdoor.1.compressor_frequency_limit [Hz]", 60);
  const Finding cold = test::finding(log, "compressor-ceiling", module);
  EXPECT_EQ(cold.verdict, Verdict::ok) << "-5 degC";
  EXPECT_THAT(cold.because, HasSubstr("(100 %), with -5.0 °C outdoors as a rule."));
  EXPECT_EQ(
      test::finding(log.with("site.outdoor_temperature [degC]", 5), "compressor-ceiling", module)
          .verdict,
      Verdict::watch);
  EXPECT_EQ(test::finding(healthy_heating(200), "compressor-ceiling", module).verdict,
            Verdict::unproven);
}

TEST(CondensingTarget, ACompressorsOwnFrequencyLimitIsItsCeiling) {
  RecordingBuilder log = healthy_heating(120);
  log.without("outdoor.1.compressor_frequency")
      .with("outdoor.1.compressor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.compressor.1.compressor_frequency_limit [Hz]", 60)
      .with("outdoor.1.saturated_condensing_temperature [degC]", Signal(49).through(20, 40, 45));
  EXPECT_EQ(test::finding(log, "condensing-target", module).verdict, Verdict::fault);
}

}  // namespace
}  // namespace cw
