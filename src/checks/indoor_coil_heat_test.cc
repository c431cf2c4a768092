#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::minute;
using test::nothing;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* pipe = "indoor.1.gas_pipe_temperature [degC]";

Finding find(const RecordingBuilder& log, std::string_view place = "indoor.1") {
  return test::finding(log, "indoor-coil-heat", place);
}
RecordingBuilder log_of(const Signal& t_degC, double minutes = 150) {
  return healthy_heating(minutes).with(pipe, t_degC);
}

TEST(IndoorCoilHeat, Ok) {
  const Finding f = find(healthy_heating(60));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because,
              HasSubstr("gas-side pipe temperature never held below 50.0 °C for 20 min"));
  EXPECT_THAT(f.because, HasSubstr("while the unit calls, after its preheat; at worst 58.0 °C"));
}

TEST(IndoorCoilHeat, Under50HeldTwentyMinutesIsToBeWatched) {
  EXPECT_EQ(find(log_of(Signal(58).through(20, 39.5, 48))).verdict, Verdict::ok);
  const Finding f = find(log_of(Signal(58).through(20, 40, 48)));
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_DOUBLE_EQ(f.evidence.at(0).window.held, 1200.0);
  EXPECT_EQ(find(log_of(Signal(58).through(20, 140, 48))).verdict, Verdict::watch)
      << "48 degC never becomes a fault";
}

TEST(IndoorCoilHeat, Under45HeldThirtyMinutesIsAFault) {
  EXPECT_EQ(find(log_of(Signal(58).through(20, 49.5, 39))).verdict, Verdict::watch);
  const Finding f = find(log_of(Signal(58).through(20, 50, 39)));
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("gas-side pipe temperature below 45.0 °C for 30 min"));
}

TEST(IndoorCoilHeat, AtTheLimitsIsNotBeyondThem) {
  EXPECT_EQ(find(log_of(50)).verdict, Verdict::ok);
  EXPECT_EQ(find(log_of(45)).verdict, Verdict::watch);
}

TEST(IndoorCoilHeat, PreheatToTheSample) {
  // The call begins at minute 20; minute 30 is the first reading that counts.
  RecordingBuilder log = log_of(Signal(58).through(20, 59.5, 39));
  log.with("indoor.1.call", Signal(0).from(20, 1));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
  log.with(pipe, Signal(58).through(20, 60, 39));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_EQ(f.evidence.at(0).window.start, minute(30));
  // Warm at the end of the preheat: a slow start is no finding.
  log.with(pipe, Signal(58).during(20, 30, 15));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(IndoorCoilHeat, ACallThatBeganBeforeTheRecordingIsNotPreheated) {
  EXPECT_EQ(find(log_of(39, 30)).verdict, Verdict::fault);
}

TEST(IndoorCoilHeat, OnlyWhileTheUnitCalls) {
  RecordingBuilder log = log_of(25);
  log.with("indoor.1.call", 0);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because,
            "The log never shows steady heating while the unit calls, after its preheat.");
  EXPECT_THAT(f.proof, HasSubstr("through a call of at least 30 min"));
  // Short calls are preheat only.
  log.with("indoor.1.call", Signal([](double m) { return std::fmod(m, 20.0) < 9.0 ? 1.0 : 0.0; }));
  EXPECT_EQ(find(log).verdict, Verdict::unproven);
  // A call that ends, ends the hold.
  log.with("indoor.1.call", Signal(1).during(49, 50, 0)).with(pipe, Signal(58).through(20, 78, 39));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(IndoorCoilHeat, ACallIsInferredFromSetPointAndRoom) {
  RecordingBuilder log = log_of(39);
  log.without("indoor.1.call").with("indoor.1.controlled_temperature [degC]", 21.4);
  EXPECT_EQ(find(log).verdict, Verdict::fault) << "0.6 K under: calls";
  log.with("indoor.1.controlled_temperature [degC]", 22.6);
  EXPECT_EQ(find(log).verdict, Verdict::unproven) << "0.6 K over: does not call";
  // From 0.6 K under it calls until it is 0.6 K over.
  log.with("indoor.1.controlled_temperature [degC]",
           Signal(21.4).during(20, 60, 22.4).from(60, 22.6));
  EXPECT_EQ(find(log).verdict, Verdict::fault);
  // Never outside the band: nobody knows.
  log.with("indoor.1.controlled_temperature [degC]", 22.2);
  EXPECT_EQ(find(log).verdict, Verdict::unproven);
}

TEST(IndoorCoilHeat, AUnitThatIsSwitchedOffDoesNotCall) {
  RecordingBuilder log = log_of(20);
  log.with("indoor.1.unit_on", 0);
  EXPECT_EQ(find(log).verdict, Verdict::unproven);
  log.without("indoor.1.call");
  EXPECT_EQ(find(log).verdict, Verdict::unproven);
}

TEST(IndoorCoilHeat, TheOnlyUnitCallsWhileTheCompressorRuns) {
  RecordingBuilder log = log_of(39);
  for (const char* name :
       {"indoor.1.call", "indoor.1.controlled_temperature", "indoor.1.set_point"}) {
    log.without(name);
  }
  EXPECT_EQ(find(log).verdict, Verdict::fault);
  // With a second unit nobody knows who calls.
  log.with("indoor.2.gas_pipe_temperature [degC]", 58);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "The log never shows whether the unit calls.");
  EXPECT_THAT(f.proof, HasSubstr("indoor.1.call (or controlled_temperature and set_point)"));
}

TEST(IndoorCoilHeat, EachUnitForItself) {
  RecordingBuilder log = healthy_heating(60);
  log.with("indoor.7.gas_pipe_temperature [degC]", 39).with("indoor.7.call", 1);
  EXPECT_EQ(find(log, "indoor.1").verdict, Verdict::ok);
  EXPECT_EQ(find(log, "indoor.7").verdict, Verdict::fault);
}

TEST(IndoorCoilHeat, Unproven) {
  EXPECT_EQ(find(healthy_heating(60).without("indoor.1.gas_pipe_temperature")).because,
            "No gas-side pipe temperature in the log.");
  EXPECT_EQ(find(healthy_heating(19.5)).verdict, Verdict::unproven);
  EXPECT_EQ(find(healthy_heating(20)).verdict, Verdict::ok);
  RecordingBuilder none = healthy_heating(60);
  for (const char* name : {"indoor.1.call", "indoor.1.gas_pipe_temperature",
                           "indoor.1.controlled_temperature", "indoor.1.set_point"}) {
    none.without(name);
  }
  EXPECT_EQ(find(none, "system").because, "No indoor unit in the log.");
}

TEST(IndoorCoilHeat, StartUpDefrostAndRecoveryDoNotCount) {
  RecordingBuilder log = log_of(Signal(58).during(0, 20, 15).during(40, 56, 15));
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60))
      .with("outdoor.1.defrost", Signal(0).during(40, 46, 1));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  // 20..39.5 is 19 min 30 s; behind defrost and recovery 56..56.5.
  log.with(pipe, Signal(58).through(0, 56.5, 39));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
  log.with(pipe, Signal(58).through(0, 56, 39));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

}  // namespace
}  // namespace cw
