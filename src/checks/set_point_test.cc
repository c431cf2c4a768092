#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::minute;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* room = "indoor.1.controlled_temperature [degC]";  // set point 22 degC

Finding find(const RecordingBuilder& log, std::string_view place = "indoor.1") {
  return test::finding(log, "set-point", place);
}
RecordingBuilder log_of(const Signal& t_degC, double minutes = 180) {
  return healthy_heating(minutes).with(room, t_degC);
}

TEST(SetPoint, Ok) {
  const Finding f = find(healthy_heating(60));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because, HasSubstr("distance from set point never held above 1.7 K"));
  EXPECT_THAT(f.because, HasSubstr("at worst 0.5 K"));
  EXPECT_EQ(f.dimension, Dimension::temperature_difference);
}

TEST(SetPoint, OffBy1700MillikelvinForAnHourIsToBeWatched) {
  EXPECT_EQ(find(log_of(Signal(21.5).through(30, 89.5, 20.2))).verdict, Verdict::ok);
  const Finding f = find(log_of(Signal(21.5).through(30, 90, 20.2)));
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_DOUBLE_EQ(f.evidence.at(0).window.held, 3600.0);
  EXPECT_NEAR(f.evidence.at(0).window.value, 1.8, 1e-3);
}

TEST(SetPoint, OffBy2800MillikelvinForAnHourIsAFault) {
  EXPECT_EQ(find(log_of(Signal(21.5).through(30, 89.5, 19.1).through(90, 100, 20.2))).verdict,
            Verdict::watch);
  const Finding f = find(log_of(Signal(21.5).through(30, 90, 19.1)));
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("distance from set point above 2.8 K for 1 h 00 min"));
}

TEST(SetPoint, AtTheLimitsIsNotBeyondThem) {
  EXPECT_EQ(find(log_of(20.3)).verdict, Verdict::ok);     // 1.7 K
  EXPECT_EQ(find(log_of(19.2)).verdict, Verdict::watch);  // 2.8 K
  EXPECT_EQ(find(healthy_heating(120)
                     .with("indoor.1.set_point [degF]", 72)
                     .with("indoor.1.controlled_temperature [degF]", 69))
                .verdict,
            Verdict::ok)
      << "3 degF are 1.67 K";
}

TEST(SetPoint, TooWarmWhileCallingCountsToo) {
  EXPECT_EQ(find(log_of(25)).verdict, Verdict::fault);
}

TEST(SetPoint, OnlyWhileTheUnitCalls) {
  RecordingBuilder log = log_of(19);
  log.with("indoor.1.call", 0);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "The log never shows steady heating while the unit calls.");
  log.with("indoor.1.call", 1).with("indoor.1.unit_on", 0);
  EXPECT_EQ(find(log).verdict, Verdict::unproven);
}

TEST(SetPoint, ACallIsInferredFromTheDistanceItself) {
  RecordingBuilder log = log_of(19);
  log.without("indoor.1.call");
  EXPECT_EQ(find(log).verdict, Verdict::fault);
}

TEST(SetPoint, ASetPointThatMovesIsFollowed) {
  RecordingBuilder log = log_of(20.5);
  log.with("indoor.1.set_point [degC]", Signal(22).during(60, 110, 24));
  EXPECT_EQ(find(log).verdict, Verdict::ok) << "50 min after a set-back are not an hour";
  log.with("indoor.1.set_point [degC]", Signal(22).during(60, 130, 24));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_EQ(f.evidence.at(0).window.start, minute(60));
}

TEST(SetPoint, Unproven) {
  EXPECT_EQ(find(healthy_heating(90).without("indoor.1.set_point")).because,
            "No set point in the log.");
  EXPECT_EQ(find(healthy_heating(90).without("indoor.1.controlled_temperature")).because,
            "No controlled temperature in the log.");
  const Finding f = find(healthy_heating(59.5));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("Only 59 min 30 s of steady heating"));
  RecordingBuilder none = healthy_heating(60);
  for (const char* name : {"indoor.1.call", "indoor.1.gas_pipe_temperature",
                           "indoor.1.controlled_temperature", "indoor.1.set_point"}) {
    none.without(name);
  }
  EXPECT_EQ(find(none, "system").because, "No indoor unit in the log.");
}

TEST(SetPoint, ARoomThatHoldsWithoutCallingLongIsOk) {
  RecordingBuilder log = log_of(21.8);
  log.with("indoor.1.call", Signal([](double m) { return std::fmod(m, 30.0) < 10.0 ? 1.0 : 0.0; }));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(SetPoint, TimeInsideAGapIsNotSeen) {
  RecordingBuilder log = healthy_heating(180);
  log.gap(20, 160);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("Only 40 min of steady heating"));
}

TEST(SetPoint, ARoomFarOffForLessThanTheHoldIsNotOk) {
  // Three hours of heating, but the unit calls for 40 min only, 4 K under its set point all along.
  RecordingBuilder log = log_of(18);
  log.with("indoor.1.call", Signal(0).during(60, 100, 1));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("39 min 30 s"));
}

TEST(SetPoint, DefrostsPauseTheHold) {
  // 20..39.5, defrost and recovery to 56, then 40.5 min more.
  RecordingBuilder log = log_of(Signal(21.5).through(20, 96.5, 20));
  log.with("outdoor.1.defrost", Signal(0).during(40, 46, 1));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
  log.with(room, Signal(21.5).through(20, 96, 20));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
}

TEST(SetPoint, StartUpDoesNotCount) {
  RecordingBuilder log = log_of(Signal(21.5).through(0, 79.5, 18));
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60));
  EXPECT_EQ(find(log).verdict, Verdict::ok);
  log.with(room, Signal(21.5).through(0, 80, 18));
  EXPECT_EQ(find(log).verdict, Verdict::fault);
}

}  // namespace
}  // namespace cw
