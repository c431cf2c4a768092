#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::minute;
using test::mode;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* id = "discharge-temperature";
constexpr const char* channel = "outdoor.1.discharge_temperature [degC]";

Finding find(const RecordingBuilder& log, const JudgeOptions& options = {}) {
  return test::finding(log, id, "outdoor.1", options);
}
/// Two hours of steady heating with this discharge temperature.
Finding find(const Signal& t_degC) { return find(healthy_heating(120).with(channel, t_degC)); }

TEST(DischargeTemperature, Ok) {
  const Finding f = find(healthy_heating(60));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_DOUBLE_EQ(f.observed, 3600.0);
  EXPECT_TRUE(f.evidence.empty());
  EXPECT_TRUE(f.proof.empty());
  EXPECT_EQ(f.channel, "outdoor.1.discharge_temperature");
  EXPECT_THAT(f.because, HasSubstr("never held above 95.0 °C for 10 min in 1 h 00 min of steady "
                                   "heating; highest 80.0 °C"));
}

TEST(DischargeTemperature, HeldTenMinutesIsToBeWatched) {
  EXPECT_EQ(find(Signal(80).through(30, 39.5, 96)).verdict, Verdict::ok);
  const Finding f = find(Signal(80).through(30, 40, 96));
  EXPECT_EQ(f.verdict, Verdict::watch);
  ASSERT_EQ(f.evidence.size(), 1U);
  EXPECT_EQ(f.evidence[0].verdict, Verdict::watch);
  EXPECT_EQ(f.evidence[0].window.start, minute(30));
  EXPECT_EQ(f.evidence[0].window.end, minute(40));
  EXPECT_DOUBLE_EQ(f.evidence[0].window.held, 600.0);
  EXPECT_NEAR(f.evidence[0].window.value, 273.15 + 96, 1e-3);
  EXPECT_NEAR(f.evidence[0].window.limit, 273.15 + 95, 1e-9);
}

TEST(DischargeTemperature, HeldThirtyMinutesIsAFault) {
  EXPECT_EQ(find(Signal(80).through(30, 59.5, 96)).verdict, Verdict::watch);
  const Finding f = find(Signal(80).through(30, 60, 96));
  EXPECT_EQ(f.verdict, Verdict::fault);
  ASSERT_EQ(f.evidence.size(), 1U) << "the same time is not watched, too";
  EXPECT_THAT(f.because, HasSubstr("discharge temperature above 95.0 °C for 30 min, from "
                                   "2026-01-20 00:30 to 2026-01-20 01:00; highest 96.0 °C."));
}

TEST(DischargeTemperature, OneMinuteAbove115IsAFault) {
  EXPECT_EQ(find(Signal(80).through(30, 30.5, 116)).verdict, Verdict::ok);
  const Finding f = find(Signal(80).through(30, 31, 116));
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("above 115.0 °C for 1 min"));
}

TEST(DischargeTemperature, AtTheLimitIsNotBeyondIt) {
  EXPECT_EQ(find(95).verdict, Verdict::ok);
  EXPECT_EQ(find(healthy_heating(120).with("outdoor.1.discharge_temperature [degF]", 203)).verdict,
            Verdict::ok);
  EXPECT_EQ(find(Signal(80).through(30, 39, 115)).verdict, Verdict::ok);
}

TEST(DischargeTemperature, TouchesAreNoTrend) {
  EXPECT_EQ(find(Signal([](double m) { return std::fmod(m, 10.0) < 3.0 ? 99.0 : 80.0; })).verdict,
            Verdict::ok);
}

TEST(DischargeTemperature, TwoTimesAreTwoWindowsAndTheSentenceSaysSo) {
  const Finding f = find(Signal(80).through(10, 25, 97).through(60, 100, 96));
  EXPECT_EQ(f.verdict, Verdict::fault);
  ASSERT_EQ(f.evidence.size(), 2U);
  EXPECT_EQ(f.evidence[0].verdict, Verdict::watch);
  EXPECT_EQ(f.evidence[1].verdict, Verdict::fault);
  const Finding w = find(Signal(80).through(10, 25, 97).through(60, 75, 96));
  EXPECT_THAT(w.because, HasSubstr("2 such times in all"));
}

TEST(DischargeTemperature, UnprovenWithoutTheChannel) {
  const Finding f = find(healthy_heating(60).without("outdoor.1.discharge_temperature"));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "No discharge temperature in the log.");
  EXPECT_THAT(f.proof, HasSubstr("Record outdoor.1.discharge_temperature through at least 30 min"));
}

TEST(DischargeTemperature, UnprovenWithTooLittleSteadyTime) {
  EXPECT_EQ(find(healthy_heating(30)).verdict, Verdict::ok);
  const Finding f = find(healthy_heating(29.5));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("Only 29 min 30 s of steady heating"));
  EXPECT_FALSE(f.proof.empty());
}

TEST(DischargeTemperature, WhatIsFoundInLittleTimeIsFound) {
  EXPECT_EQ(find(healthy_heating(15).with(channel, 97)).verdict, Verdict::watch);
  EXPECT_EQ(find(healthy_heating(5).with(channel, 120)).verdict, Verdict::fault);
}

TEST(DischargeTemperature, InCoolingAsInHeating) {
  RecordingBuilder log = healthy_heating(60).with("outdoor.1.mode", mode("cooling"));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because, HasSubstr("of steady cooling"));
  EXPECT_EQ(find(log.with(channel, 96)).verdict, Verdict::fault);
}

TEST(DischargeTemperature, WhatTheSensorCannotTellIsNoFinding) {
  JudgeOptions options =
      test::with_limits("[accuracy]\npipe_temperature = { value = \"1 K\", source = \"t\" }");
  const Finding f = find(healthy_heating(60).with(channel, 95.5), options);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("closer to the limit than the sensors can tell (± 1.0 K)"));
  EXPECT_FALSE(f.proof.empty());
  const Finding beyond = find(healthy_heating(60).with(channel, 96.5), options);
  EXPECT_EQ(beyond.verdict, Verdict::fault);
  EXPECT_THAT(beyond.because, HasSubstr("highest 96.5 °C ± 1.0 K."));
  // The hold is told by the limit itself once something is sure.
  const Finding partly =
      find(healthy_heating(60).with(channel, Signal(95.5).through(20, 35, 97)), options);
  EXPECT_EQ(partly.verdict, Verdict::watch) << "sure for 15 min";
  EXPECT_DOUBLE_EQ(partly.evidence.at(0).window.held, 3600.0);
}

TEST(DischargeTemperature, TellsWhatItMeasured) {
  const Finding f = find(healthy_heating(60).with(channel, Signal(80).from(30, 90)));
  ASSERT_EQ(f.measures.size(), 1U);
  const Measure& m = f.measures[0];
  EXPECT_EQ(m.name, "discharge_temperature");
  EXPECT_NEAR(m.low, 353.15, 1e-3);
  EXPECT_NEAR(m.high, 363.15, 1e-3);
  EXPECT_NEAR(m.expected_high, 368.15, 1e-9);
  EXPECT_TRUE(std::isnan(m.expected_low));
  EXPECT_EQ(m.direction(), Direction::within);
  ASSERT_EQ(m.by_window.size(), 1U) << "one stretch of steady heating";
}

TEST(DischargeTemperature, UnprovenWhenOff) {
  EXPECT_EQ(
      find(healthy_heating(60).with("outdoor.1.compressor_frequency [Hz]", 0).with(channel, 120))
          .verdict,
      Verdict::unproven);
}

TEST(DischargeTemperature, StartUpDoesNotCount) {
  RecordingBuilder log = healthy_heating(120);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60))
      .with(channel, Signal(80).during(10, 20, 118));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  // One minute behind it, too: 20.0, 20.5, 21.0.
  log.with(channel, Signal(80).through(10, 20.5, 118));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  log.with(channel, Signal(80).through(10, 21, 118));
  EXPECT_EQ(find(log).verdict, Verdict::fault);
}

TEST(DischargeTemperature, DefrostAndRecoveryDoNotCount) {
  RecordingBuilder log = healthy_heating(120);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1))
      .with(channel, Signal(80).during(30, 46, 118));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(DischargeTemperature, AHoldGoesOnBehindADefrost) {
  // 20..29.5 is 9 min 30 s; then defrost and recovery to 46; 46..46.5 makes 10 min.
  RecordingBuilder log = healthy_heating(120);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1))
      .with(channel, Signal(80).through(20, 46, 97));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  log.with(channel, Signal(80).through(20, 46.5, 97));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_DOUBLE_EQ(f.evidence.at(0).window.held, 600.0);
}

TEST(DischargeTemperature, AStopEndsAHold) {
  RecordingBuilder log = healthy_heating(120);
  log.with(channel, Signal(80).through(20, 50, 97))
      .with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(28, 29, 0));
  // Start-up until 39; 39..50 is 11 min: a new hold.
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_EQ(f.evidence.at(0).window.start, minute(39));
}

TEST(DischargeTemperature, AGapEndsAHold) {
  RecordingBuilder log = healthy_heating(120);
  log.with(channel, Signal(80).through(30, 49, 97)).gap(39, 40.5);
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  RecordingBuilder one = healthy_heating(120);
  one.with(channel, Signal(80).through(30, 49, 97)).gap(39, 40);
  EXPECT_EQ(find(one).verdict, Verdict::watch);
}

TEST(DischargeTemperature, EachCompressorForItself) {
  RecordingBuilder log = healthy_heating(60);
  log.without("outdoor.1.discharge_temperature")
      .with("outdoor.1.compressor.1.discharge_temperature [degC]", 80)
      .with("outdoor.1.compressor.2.discharge_temperature [degC]", 99);
  EXPECT_EQ(test::finding(log, id, "outdoor.1.compressor.1").verdict, Verdict::ok);
  EXPECT_EQ(test::finding(log, id, "outdoor.1.compressor.2").verdict, Verdict::fault);
}

TEST(DischargeTemperature, LimitsAreData) {
  const JudgeOptions options = test::with_limits(
      "[discharge-temperature]\n"
      "watch_above = { value = \"75 degC\", source = \"test\" }\n"
      "fault_hold = { value = \"60 min\", source = \"test\" }\n");
  EXPECT_EQ(find(healthy_heating(59.5), options).verdict, Verdict::watch);
  EXPECT_EQ(find(healthy_heating(60), options).verdict, Verdict::fault);
}

TEST(DischargeTemperature, SentencesInInchPound) {
  JudgeOptions options;
  options.units = UnitSystem::ip;
  EXPECT_THAT(find(healthy_heating(60).with(channel, 100), options).because,
              HasSubstr("above 203.0 °F for 1 h 00 min"));
}

TEST(DischargeTemperature, OtherSamplingTimes) {
  for (const double step : {5.0, 10.0, 60.0, 300.0}) {
    RecordingBuilder log = healthy_heating(120, step);
    log.with(channel, Signal(80).through(30, 40, 97));
    EXPECT_EQ(find(log).verdict, Verdict::watch) << step;
    log.with(channel, Signal(80).through(30, 40 - step / 60.0, 97));
    EXPECT_EQ(find(log).verdict, Verdict::ok) << step;
  }
}

}  // namespace
}  // namespace cw
