#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::minute;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;
using testing::Not;

constexpr const char* sct = "outdoor.1.saturated_condensing_temperature [degC]";
constexpr const char* speed = "outdoor.1.compressor_frequency [Hz]";

Finding find(const RecordingBuilder& log, const JudgeOptions& options = {}) {
  return test::finding(log, "condensing-target", "outdoor.1", options);
}
RecordingBuilder log_of(const Signal& t_degC, double minutes = 150) {
  return healthy_heating(minutes).with(sct, t_degC);
}

TEST(CondensingTarget, Ok) {
  const Finding f = find(healthy_heating(60));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because, HasSubstr("never held below 46.0 °C for 20 min"));
  EXPECT_THAT(f.because, HasSubstr("of steady heating while units call; at worst 49.0 °C"));
}

TEST(CondensingTarget, HeldTwentyMinutesIsToBeWatched) {
  EXPECT_EQ(find(log_of(Signal(49).through(20, 39.5, 45))).verdict, Verdict::ok);
  const Finding f = find(log_of(Signal(49).through(20, 40, 45)));
  EXPECT_EQ(f.verdict, Verdict::watch) << f.because;
  EXPECT_DOUBLE_EQ(f.evidence.at(0).window.held, 1200.0);
}

TEST(CondensingTarget, HeldAnHourIsAFault) {
  EXPECT_EQ(find(log_of(Signal(49).through(20, 79.5, 45))).verdict, Verdict::watch);
  EXPECT_EQ(find(log_of(Signal(49).through(20, 80, 45))).verdict, Verdict::fault);
}

TEST(CondensingTarget, ThreeKelvinBelowIsAllowed) {
  EXPECT_EQ(find(log_of(46)).verdict, Verdict::ok);
  EXPECT_EQ(find(log_of(45.9)).verdict, Verdict::fault);
}

TEST(CondensingTarget, AtAStatedCeilingTwentyMinutesAreAFault) {
  RecordingBuilder log = log_of(Signal(49).through(20, 40, 45));
  log.with("outdoor.1.compressor_frequency_limit [Hz]", 60);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("for 20 min with the compressor at its ceiling, from"));
  log.with(sct, Signal(49).through(20, 39.5, 45));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(CondensingTarget, WithinTwoPerCentIsTheCeiling) {
  RecordingBuilder log = log_of(Signal(49).through(20, 45, 45));
  log.with("outdoor.1.compressor_frequency_limit [Hz]", 61);  // 60 >= 59.78
  EXPECT_EQ(find(log).verdict, Verdict::fault);
  log.with("outdoor.1.compressor_frequency_limit [Hz]", 62);  // 60 < 60.76
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(CondensingTarget, FullLoadIsTheCeiling) {
  RecordingBuilder log = log_of(Signal(49).through(20, 40, 45));
  log.with("outdoor.1.compressor_load [%]", 99);
  EXPECT_EQ(find(log).verdict, Verdict::fault);
  log.with("outdoor.1.compressor_load [%]", 80);
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(CondensingTarget, AnInferredCeilingSaysThatItIs) {
  RecordingBuilder log = log_of(Signal(49).through(80, 110, 45));
  log.with(speed, Signal(50).during(70, 120, 90));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("at the highest frequency that the log shows (taken as its "
                                   "ceiling)"));
}

TEST(CondensingTarget, AConstantFrequencyIsNoCeiling) {
  EXPECT_EQ(find(log_of(Signal(49).through(20, 50, 45))).verdict, Verdict::watch);
  // Nor is a spread under 15 per cent.
  RecordingBuilder log = log_of(Signal(49).through(80, 110, 45));
  log.with(speed, Signal(55).during(70, 120, 60));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(CondensingTarget, BelowItsCeilingTheHourDecides) {
  RecordingBuilder log = log_of(Signal(49).through(20, 60, 45));
  log.with(speed, Signal(50).during(100, 140, 90));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(CondensingTarget, AnotherTarget) {
  JudgeOptions options;
  options.limits.set("condensing-target.target", 273.15 + 46, "46 degC", "--target");
  EXPECT_EQ(find(log_of(44), options).verdict, Verdict::ok);
  EXPECT_EQ(find(log_of(42), options).verdict, Verdict::fault);
  options.limits.set("condensing-target.target", 273.15 + 54, "54 degC", "--target");
  EXPECT_EQ(find(log_of(49), options).verdict, Verdict::fault);
}

TEST(CondensingTarget, TheMachinesOwnTargetWhereItIsLogged) {
  RecordingBuilder log = log_of(44);
  log.with("outdoor.1.condensing_target [degC]", 46);
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  // It moves: 49 from minute 60 on, and 44 is too low for it.
  log.with("outdoor.1.condensing_target [degC]", Signal(46).from(60, 49));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_EQ(f.evidence.at(0).window.start, minute(60));
  EXPECT_NEAR(f.evidence.at(0).window.limit, 273.15 + 46, 1e-3);
  // A person who states a target means it.
  JudgeOptions options;
  options.limits.set("condensing-target.target", 273.15 + 46, "46 degC", "--target");
  EXPECT_EQ(find(log, options).verdict, Verdict::ok);
}

TEST(CondensingTarget, OnlyWhileUnitsCall) {
  RecordingBuilder log = log_of(40);
  log.with("indoor.1.call", 0);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "The log never shows steady heating while units call.");
  // The end of a call ends the hold.
  log.with("indoor.1.call", Signal(1).during(60, 62, 0)).with(sct, Signal(49).through(30, 79, 45));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
  log.with(sct, Signal(49).through(45, 75, 45));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(CondensingTarget, OneCallingUnitIsEnough) {
  RecordingBuilder log = log_of(40);
  log.with("indoor.1.call", 0).with("indoor.2.call", 1);
  EXPECT_EQ(find(log).verdict, Verdict::fault);
}

TEST(CondensingTarget, WithoutIndoorUnitsARunningCompressorIsACall) {
  RecordingBuilder log = log_of(40);
  for (const char* name : {"indoor.1.call", "indoor.1.gas_pipe_temperature",
                           "indoor.1.controlled_temperature", "indoor.1.set_point"}) {
    log.without(name);
  }
  EXPECT_EQ(find(log).verdict, Verdict::fault);
}

TEST(CondensingTarget, Unproven) {
  const Finding f = find(healthy_heating(60).without("outdoor.1.saturated_condensing_temperature"));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "No discharge pressure in the log.");
  EXPECT_THAT(f.proof, HasSubstr("outdoor.1.discharge_pressure"));
  EXPECT_EQ(find(healthy_heating(29.5)).verdict, Verdict::unproven);
  EXPECT_EQ(find(healthy_heating(30)).verdict, Verdict::ok);
}

TEST(CondensingTarget, StartUpDefrostAndRecoveryDoNotCount) {
  RecordingBuilder log = log_of(Signal(49).during(10, 20, 30).during(40, 56, 30));
  log.with(speed, Signal(0).from(10, 60))
      .with("outdoor.1.defrost", Signal(0).during(40, 46, 1))
      .with("outdoor.1.compressor_frequency_limit [Hz]", 60);
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(CondensingTarget, HeldAcrossDefrosts) {
  // Defrosts at 40..46 and 90..96: 30..39.5, 56..89.5 and 106..; 9.5 + 33.5 + 17 = 60 min.
  RecordingBuilder log = log_of(Signal(49).through(30, 123, 44));
  log.with("outdoor.1.defrost", Signal(0).during(40, 46, 1).during(90, 96, 1));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_DOUBLE_EQ(f.evidence.at(0).window.held, 3600.0);
  log.with(sct, Signal(49).through(30, 122.5, 44));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(CondensingTarget, FromAPressure) {
  RecordingBuilder log = healthy_heating(60);
  log.without("outdoor.1.saturated_condensing_temperature")
      .with("outdoor.1.discharge_pressure [psi(g)]", 418);
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  log.with("outdoor.1.discharge_pressure [psi(g)]", 380);  // about 45 degC
  EXPECT_EQ(find(log).verdict, Verdict::fault);
}

}  // namespace
}  // namespace cw
