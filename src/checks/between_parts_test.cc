// Checks that compare one part with another: modules on one pipe, suction gas with what it comes
// from, a fan's command with its coil.
#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_cooling;
using test::healthy_heating;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* module = "outdoor.1";

/// Two or three modules on one pipe, the second with these readings.
RecordingBuilder modules(double high_kPa, double low_kPa, double air_degC, int count = 2) {
  RecordingBuilder log = healthy_cooling(90);
  for (int k = 1; k <= count; ++k) {
    const std::string place = "outdoor." + std::to_string(k);
    log.with(place + ".mode", test::mode("cooling"))
        .with(place + ".compressor_frequency [Hz]", 50)
        .with(place + ".discharge_pressure [kPa(a)]", k == 2 ? high_kPa : 2700)
        .with(place + ".suction_pressure [kPa(a)]", k == 2 ? low_kPa : 950)
        .with(place + ".outdoor_temperature [degC]", k == 2 ? air_degC : 32);
  }
  return log;
}

TEST(SharedSensors, ModulesOnOnePipeReadAlike) {
  EXPECT_EQ(test::finding(modules(2720, 940, 33), "shared-sensors", module).verdict, Verdict::ok);
  const Finding high = test::finding(modules(2761, 950, 32), "shared-sensors", module);
  EXPECT_EQ(high.verdict, Verdict::watch);
  EXPECT_THAT(high.because, HasSubstr("discharge pressure reads 61 kPa under that of the other"));
  EXPECT_THAT(high.because, HasSubstr("Which of the two is off, they cannot tell."));
  EXPECT_EQ(test::finding(modules(2700, 981, 32), "shared-sensors", "outdoor.2").verdict,
            Verdict::watch);
  EXPECT_EQ(test::finding(modules(2700, 950, 36), "shared-sensors", "outdoor.2").verdict,
            Verdict::watch);
  EXPECT_EQ(test::finding(modules(2760, 980, 35), "shared-sensors", "outdoor.2").verdict,
            Verdict::ok)
      << "exactly on the limits";
}

TEST(SharedSensors, OfThreeTheOddOneIsNamed) {
  const RecordingBuilder log = modules(2700, 1000, 32, 3);
  EXPECT_EQ(test::finding(log, "shared-sensors", "outdoor.2").verdict, Verdict::watch);
  EXPECT_EQ(test::finding(log, "shared-sensors", "outdoor.1").verdict, Verdict::ok);
  EXPECT_EQ(test::finding(log, "shared-sensors", "outdoor.3").verdict, Verdict::ok);
}

TEST(SharedSensors, OpenWithinAccuracyOrWithoutASecondModule) {
  // 80 kPa apart with two sensors of 40 kPa each (57 kPa together): over 60, within 117.
  const Judgement real = judge(modules(2780, 950, 32).build(), {}).value();
  for (const Finding& f : real.findings) {
    if (f.check != "shared-sensors" || f.place.text != module) continue;
    EXPECT_NE(f.verdict, Verdict::watch) << f.because;
  }
  EXPECT_EQ(test::finding(healthy_cooling(90), "shared-sensors", "system").verdict,
            Verdict::unproven);
  RecordingBuilder apart = modules(2900, 950, 32);
  apart.with("outdoor.2.mode", test::mode("off")).with("outdoor.2.compressor_frequency [Hz]", 0);
  EXPECT_EQ(test::finding(apart, "shared-sensors", "outdoor.2").verdict, Verdict::unproven)
      << "one of them rests: behind its check valve it may read anything";
}

TEST(ReversingLeak, SuctionGasWarmerThanTheAirThatWarmedIt) {
  constexpr const char* suction = "outdoor.1.suction_temperature [degC]";  // outdoor air: -5 degC
  const auto verdict = [&](double t, double minutes = 90) {
    return test::finding(healthy_heating(minutes).with(suction, t), "reversing-leak", module)
        .verdict;
  };
  EXPECT_EQ(verdict(-9), Verdict::ok);
  EXPECT_EQ(verdict(0), Verdict::ok) << "exactly 5 K";
  EXPECT_EQ(verdict(1), Verdict::watch);
  EXPECT_EQ(verdict(1, 20), Verdict::unproven);
  EXPECT_EQ(test::finding(healthy_heating(90), "reversing-leak", module).because,
            "No suction temperature in the log.");
}

TEST(ReversingLeak, SuctionGasWarmerThanWhatTheUnitsSendBack) {
  constexpr const char* suction = "outdoor.1.suction_temperature [degC]";  // units send 13 degC
  RecordingBuilder log = healthy_cooling(90);
  EXPECT_EQ(test::finding(log.with(suction, 18), "reversing-leak", module).verdict, Verdict::ok);
  const Finding f = test::finding(log.with(suction, 24), "reversing-leak", module);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("over the warmest gas that calling units send back"));
}

/// Two stops of a machine in cooling; the pressures fall together with a time constant [s].
RecordingBuilder stopping(double seconds, double step) {
  RecordingBuilder log(step, 60);
  const auto stopped = [](double m) {
    return m >= 45 ? m - 45 : m >= 20 && m < 30 ? m - 20 : -1.0;
  };
  const auto apart = [=](double m) {
    const double s = stopped(m) * 60.0;
    return s < 0.0 ? 1800.0 : 1800.0 * std::exp(-s / seconds);
  };
  log.with("outdoor.1.mode", test::mode("cooling"))
      .with("outdoor.1.compressor_frequency [Hz]",
            Signal([=](double m) { return stopped(m) < 0.0 ? 50.0 : 0.0; }))
      .with("outdoor.1.suction_pressure [kPa(a)]", 950)
      .with("outdoor.1.discharge_pressure [kPa(a)]",
            Signal([=](double m) { return 950.0 + apart(m); }));
  return log;
}

TEST(ReversingLeak, PressuresThatMeetAtOnceBehindAStop) {
  const Finding tight = test::finding(stopping(180, 5), "reversing-leak", module);
  EXPECT_EQ(tight.verdict, Verdict::ok) << tight.because;
  const Finding leaks = test::finding(stopping(8, 5), "reversing-leak", module);
  EXPECT_EQ(leaks.verdict, Verdict::watch) << leaks.because;
  EXPECT_THAT(leaks.because, HasSubstr("Behind 2 stops the pressures fell to half"));
  EXPECT_THAT(leaks.because, HasSubstr("bypass"));
  EXPECT_EQ(test::finding(stopping(8, 30), "reversing-leak", module).verdict, Verdict::unproven);
}

TEST(FanApproach, TheCoilShowsWhetherThereIsAir) {
  constexpr const char* sct = "outdoor.1.saturated_condensing_temperature [degC]";
  RecordingBuilder log = healthy_cooling(90);  // outdoor air: 32 degC
  log.with("outdoor.1.fan_step", 8);
  EXPECT_EQ(test::finding(log, "fan-approach", module).verdict, Verdict::ok);
  EXPECT_EQ(test::finding(log.with(sct, 57), "fan-approach", module).verdict, Verdict::ok);
  const Finding f = test::finding(log.with(sct, 58), "fan-approach", module);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("distance from outdoor air above 25.0 K for"));
  // The same with the fan told to go slowly for all but a minute proves nothing.
  log.with("outdoor.1.fan_step", Signal(3).during(10, 14, 8));
  EXPECT_EQ(test::finding(log, "fan-approach", module).verdict, Verdict::unproven);
  EXPECT_EQ(test::finding(healthy_cooling(90), "fan-approach", module).because,
            "No fan step or fan speed in the log.");
}

TEST(FanApproach, InHeatingByTheEvaporatingTemperature) {
  RecordingBuilder log = healthy_heating(90);  // -14 degC in air of -5 degC
  log.with("outdoor.1.fan_speed [Hz]", 14);
  EXPECT_EQ(test::finding(log, "fan-approach", module).verdict, Verdict::ok);
  log.with("outdoor.1.saturated_evaporating_temperature [degC]", -24);
  EXPECT_EQ(test::finding(log, "fan-approach", module).verdict, Verdict::watch);
}

}  // namespace
}  // namespace cw
