#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::minute;
using test::mode;
using test::ramp;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;
using testing::Not;

constexpr const char* coil = "outdoor.1.coil_temperature [degC]";  // outdoor air: -5 degC

Finding find(const RecordingBuilder& log, const JudgeOptions& options = {}) {
  return test::finding(log, "outdoor-coil-frost", "outdoor.1", options);
}
RecordingBuilder log_of(double minutes, const Signal& t_degC) {
  return healthy_heating(minutes).with(coil, t_degC);
}

/// Defrosts of 6 min at these minutes; the coil reaches `peak` in each and settles at `after`.
RecordingBuilder defrosting(double minutes, std::vector<double> starts, double peak, double after,
                            double before = -14) {
  Signal flag(0);
  Signal t(before);
  bool first = true;
  for (const double start : starts) {
    flag = flag.during(start, start + 6, 1);
    if (first) t = t.from(start, after);
    first = false;
  }
  for (const double start : starts) t = t.during(start + 3, start + 6, peak);
  return healthy_heating(minutes).with(coil, t).with("outdoor.1.defrost", flag);
}

TEST(OutdoorCoilFrost, OkWithoutADefrost) {
  const Finding f = find(healthy_heating(180));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because,
              HasSubstr("No defrost was seen and none was due: in 3 h 00 min with a coil below "
                        "freezing it stood at most 8.0 K under outdoor air"));
  EXPECT_DOUBLE_EQ(f.observed, 3 * 3600.0);
}

TEST(OutdoorCoilFrost, OkWithDefrosts) {
  const Finding f = find(defrosting(240, {60, 150}, 12, -13));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because, HasSubstr("2 defrosts, each of which warmed the coil to 12.0 °C or more"));
}

TEST(OutdoorCoilFrost, NoDefrostForThreeHoursWhileFrostGrowsIsAFault) {
  // 13..15 K under outdoor air and sinking.
  const auto sinking = [](double to) {
    return Signal(-13).through(10, to, ramp({{10, -18}, {190, -20}}));
  };
  EXPECT_NE(find(log_of(220, sinking(189.5))).verdict, Verdict::fault);
  const Finding f = find(log_of(220, sinking(190)));
  EXPECT_EQ(f.verdict, Verdict::fault);
  ASSERT_EQ(f.evidence.size(), 1U);
  EXPECT_DOUBLE_EQ(f.evidence[0].window.held, 3 * 3600.0);
  EXPECT_DOUBLE_EQ(f.evidence[0].window.limit, 12.0);
  EXPECT_NEAR(f.evidence[0].window.value, 15.0, 0.01);
  EXPECT_THAT(f.because, HasSubstr("no defrost came; the distance grew by 1.3 K"));
}

TEST(OutdoorCoilFrost, DeepButNotGrowingIsToBeWatched) {
  const Finding f = find(log_of(240, -18.5));
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("the distance did not grow"));
}

TEST(OutdoorCoilFrost, AtTheLimitsIsNotBeyondThem) {
  EXPECT_EQ(find(log_of(240, -17)).verdict, Verdict::ok) << "12 K under";
  RecordingBuilder log = log_of(240, -5);
  log.with("site.outdoor_temperature [degC]", 9);
  EXPECT_EQ(find(log).verdict, Verdict::ok) << "14 K under, but the coil is not below -5 degC";
}

TEST(OutdoorCoilFrost, ADefrostEndsTheWait) {
  // Deep for 2 h before and 2 h after: no 3 h without a defrost.
  RecordingBuilder log = log_of(250, ramp({{0, -18}, {250, -20}}));
  log.with("outdoor.1.defrost", Signal(0).during(120, 126, 1))
      .with(coil,
            Signal(ramp({{0, -17.5}, {120, -19}, {126, -17.5}, {250, -19}})).during(122, 126, 12));
  EXPECT_EQ(find(log).verdict, Verdict::ok) << find(log).because;
}

TEST(OutdoorCoilFrost, OneDefrostThatDoesNotRestoreTheCoilIsToBeWatched) {
  const Finding f = find(defrosting(180, {60}, 1.0, -13));
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("The defrost of 2026-01-20 01:00 warmed it to 1.0 °C"));
  EXPECT_THAT(f.because, HasSubstr("One defrost alone is no proof."));
}

TEST(OutdoorCoilFrost, DefrostsThatDoNotRestoreTheCoilAreAFault) {
  const Finding f = find(defrosting(240, {60, 130}, 1.0, -13));
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("Defrosts do not restore the coil"));
  EXPECT_EQ(f.evidence.size(), 2U);
  // Warm enough, but as deep under outdoor air as before.
  EXPECT_EQ(find(defrosting(240, {60, 130}, 12.0, -18, -18)).verdict, Verdict::fault);
  // Deep, but better than before: the first one did its work, the second one did not.
  EXPECT_EQ(find(defrosting(240, {60, 130}, 12.0, -17.5, -20)).verdict, Verdict::watch);
  EXPECT_EQ(find(defrosting(150, {60}, 12.0, -17.5, -20)).verdict, Verdict::ok);
}

TEST(OutdoorCoilFrost, AGoodDefrostBetweenBreaksTheRow) {
  RecordingBuilder log = defrosting(330, {60, 130, 200}, 12, -13);
  log.with(coil, Signal(-13).during(63, 66, 1).during(133, 136, 12).during(203, 206, 1));
  EXPECT_EQ(find(log).verdict, Verdict::watch);
}

TEST(OutdoorCoilFrost, ADefrostCutOffByTheEndOfTheRecordingProvesNothing) {
  RecordingBuilder log = defrosting(62, {60}, 12, -13);  // two minutes of it, still cold
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven) << f.because;
}

TEST(OutdoorCoilFrost, ADefrostCutOffByAGapProvesNothing) {
  RecordingBuilder log = defrosting(120, {60}, 12, -13);
  log.gap(62, 80);
  EXPECT_EQ(find(log).verdict, Verdict::unproven) << find(log).because;
}

TEST(OutdoorCoilFrost, ADefrostWithoutCoilReadingsProvesNothing) {
  RecordingBuilder log = defrosting(180, {60}, 12, -13);
  log.with(coil, Signal(-13).missing_during(55, 90));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven) << f.because;
  EXPECT_THAT(f.because, Not(HasSubstr("nan")));
}

TEST(OutdoorCoilFrost, ShortIntervalsRepeatedAreToBeWatched) {
  // Ends at 66, next at 90: 24 min.
  EXPECT_EQ(find(defrosting(240, {60, 90}, 12, -13)).verdict, Verdict::ok) << "one is no trend";
  const Finding f = find(defrosting(240, {60, 90, 120}, 12, -13));
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("Defrosts follow each other in less than 30 min, 2 times in a "
                                   "row from 2026-01-20 01:00"));
  // 30 min from end to start is not under 30 min.
  EXPECT_EQ(find(defrosting(240, {60, 96, 132}, 12, -13)).verdict, Verdict::ok);
}

TEST(OutdoorCoilFrost, EachWindowIsInItsOwnUnit) {
  // Short intervals and defrosts that do not restore: K and s in one finding.
  const Finding f = find(defrosting(240, {60, 90, 120}, 1, -13));
  EXPECT_EQ(f.verdict, Verdict::fault);
  std::size_t times = 0;
  for (const Evidence& e : f.evidence) {
    const Dimension dimension = e.dimension.value_or(f.dimension);
    if (dimension == Dimension::time) {
      ++times;
      EXPECT_DOUBLE_EQ(e.window.value, 24 * 60.0);
      EXPECT_DOUBLE_EQ(e.window.limit, 30 * 60.0);
    } else {
      EXPECT_EQ(dimension, Dimension::temperature_difference);
      EXPECT_LT(e.window.value, 100.0);
    }
  }
  EXPECT_EQ(times, 1U);
}

TEST(OutdoorCoilFrost, MildWeatherProvesNothing) {
  RecordingBuilder log = log_of(240, 4);
  log.with("site.outdoor_temperature [degC]", 12);
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "The log shows no steady heating with a coil below freezing.");
  EXPECT_THAT(f.proof, HasSubstr("outdoor.1.coil_temperature"));
}

TEST(OutdoorCoilFrost, TooLittleTimeProvesNothing) {
  const Finding f = find(healthy_heating(179.5));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("Only 2 h 59 min of steady heating with a coil below freezing"));
}

TEST(OutdoorCoilFrost, MissingChannels) {
  EXPECT_EQ(find(healthy_heating(240).without("outdoor.1.coil_temperature")).because,
            "No outdoor coil temperature in the log.");
  EXPECT_EQ(find(healthy_heating(240).without("site.outdoor_temperature")).because,
            "No outdoor temperature in the log.");
}

TEST(OutdoorCoilFrost, IsNotAskedInCooling) {
  RecordingBuilder log = healthy_heating(240);
  log.with("outdoor.1.mode", mode("cooling"));
  for (const Finding& f : test::judged(log).findings) EXPECT_NE(f.check, "outdoor-coil-frost");
}

TEST(OutdoorCoilFrost, StartUpAndRecoveryDoNotCountButDoNotEndTheWait) {
  // Deep and sinking; a stop of some minutes ends the wait (the coil may thaw by itself).
  const Signal sinking = ramp({{0, -18}, {260, -21}});
  RecordingBuilder log = log_of(260, sinking);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(100, 110, 0));
  EXPECT_NE(find(log).verdict, Verdict::fault);
  EXPECT_EQ(find(log_of(260, sinking)).verdict, Verdict::fault);
}

TEST(OutdoorCoilFrost, EachModuleForItself) {
  RecordingBuilder log = healthy_heating(240);
  log.with("outdoor.2.mode", mode("heating"))
      .with("outdoor.2.compressor_frequency [Hz]", 60)
      .with("outdoor.2.coil_temperature [degC]", ramp({{0, -18}, {240, -21}}));
  const Judgement judgement = test::judged(log);
  EXPECT_EQ(test::finding(log, "outdoor-coil-frost", "outdoor.1").verdict, Verdict::ok);
  EXPECT_EQ(test::finding(log, "outdoor-coil-frost", "outdoor.2").verdict, Verdict::fault);
  EXPECT_EQ(judgement.verdict, Verdict::fault);
}

/// Readings every `step` s of two defrosts of 6 min, in which the sensor catches -2 degC at best.
RecordingBuilder caught_late(double step) {
  RecordingBuilder log = healthy_heating(360, step);
  Signal flag(0);
  Signal t(-13);
  for (const double start : {90.0, 240.0}) {
    flag = flag.during(start, start + 6, 1);
    t = t.during(start, start + 6, -2);
  }
  return log.with(coil, t).with("outdoor.1.defrost", flag);
}

TEST(OutdoorCoilFrost, ASlowLogMissesThePeakOfADefrost) {
  EXPECT_EQ(find(caught_late(60)).verdict, Verdict::fault) << "seen every minute";
  const Finding f = find(caught_late(600));
  EXPECT_NE(f.verdict, Verdict::fault);
  EXPECT_NE(f.verdict, Verdict::watch);
}

TEST(OutdoorCoilFrost, ASlowLogSaysThatDefrostsMayHideInIt) {
  const Finding f = find(healthy_heating(360, 600));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because, HasSubstr("Readings come every 10 min: defrosts may have come and gone"));
}

TEST(OutdoorCoilFrost, ShortSlowLogWithDefrostsAsksForAReadingAMinute) {
  RecordingBuilder log = healthy_heating(150, 600);
  log.with("outdoor.1.defrost", Signal(0).during(60, 66, 1))
      .with(coil, Signal(-13).during(60, 66, -2));
  const Finding f = find(log);
  EXPECT_EQ(f.verdict, Verdict::unproven) << f.because;
  EXPECT_THAT(f.because, HasSubstr("how warm the coil got in a defrost falls between them"));
  EXPECT_THAT(f.proof, HasSubstr("at least every minute"));
}

}  // namespace
}  // namespace cw
