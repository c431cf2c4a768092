#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_recovery;
using test::minute;
using test::mode;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* box = "branch.1";
constexpr const char* box_pressure = "branch.1.liquid_pressure [kPa(a)]";
constexpr const char* box_liquid = "branch.1.liquid_temperature [degC]";

TEST(Recovery, AHealthySystemIsWellInEveryMainQuestion) {
  const Judgement judgement = test::judged(healthy_recovery(120));
  EXPECT_EQ(judgement.verdict, Verdict::ok);
  for (const Finding& f : judgement.findings) {
    EXPECT_LT(f.verdict, Verdict::watch) << f.check << ": " << f.because;
    EXPECT_NE(f.check, "condensing-target") << "it does not only heat";
    EXPECT_NE(f.check, "evaporating-target") << "nor only cool";
  }
}

TEST(Recovery, IsNotAskedOfASystemThatHeatsOnly) {
  for (const Finding& f : test::judged(test::healthy_heating(60)).findings) {
    EXPECT_NE(find_check(f.check)->mode, AskedIn::recovery) << f.check;
  }
}

TEST(BranchPressure, BetweenHighAndLow) {
  EXPECT_EQ(test::finding(healthy_recovery(60), "branch-pressure", box).verdict, Verdict::ok);
  // Exactly 30 kPa over the high pressure is allowed, one more is not.
  RecordingBuilder log = healthy_recovery(60);
  EXPECT_EQ(test::finding(log.with(box_pressure, 2760), "branch-pressure", box).verdict,
            Verdict::ok);
  const Finding over = test::finding(log.with(box_pressure, 2761), "branch-pressure", box);
  EXPECT_EQ(over.verdict, Verdict::watch);
  EXPECT_THAT(over.because, HasSubstr("over the discharge pressure above 30 kPa"));
  // 300 kPa over the low pressure and 30 kPa less.
  EXPECT_EQ(test::finding(log.with(box_pressure, 1230), "branch-pressure", box).verdict,
            Verdict::ok);
  EXPECT_EQ(test::finding(log.with(box_pressure, 1229), "branch-pressure", box).verdict,
            Verdict::watch);
  // What the sensors cannot tell is open: two of 40 kPa each.
  const Judgement real = judge(healthy_recovery(60).with(box_pressure, 2780).build(), {}).value();
  EXPECT_EQ(verdict_of(real.findings, "branch-pressure"), Verdict::unproven);
}

TEST(BranchPressure, OpenWithoutItsSensorOrABox) {
  RecordingBuilder log = healthy_recovery(60);
  log.without("branch.1.liquid_pressure");
  EXPECT_EQ(test::finding(log, "branch-pressure", box).because,
            "No liquid pressure of the branch box in the log.");
  log.without("branch.1.liquid_temperature");
  const Finding none = test::finding(log, "branch-liquid", "system");
  EXPECT_EQ(none.verdict, Verdict::unproven);
  EXPECT_EQ(none.because, "No branch box in the log.");
}

TEST(BranchLiquid, SubcoolingInTheBox) {
  const Finding ok = test::finding(healthy_recovery(60), "branch-liquid", box);
  EXPECT_EQ(ok.verdict, Verdict::ok);
  // Bubble point of R-410A at 2600 kPa: 42.8 degC (published saturation tables have 2597 kPa to
  // 2600 kPa there).
  EXPECT_NEAR(ok.measures.at(0).value, 42.8 - 36.5, 0.3);
  RecordingBuilder log = healthy_recovery(60);
  EXPECT_EQ(test::finding(log.with(box_liquid, 42), "branch-liquid", box).verdict, Verdict::watch);
  EXPECT_EQ(
      test::finding(log.with(box_liquid, Signal(36.5).through(20, 39, 42)), "branch-liquid", box)
          .verdict,
      Verdict::ok)
      << "not held for 20 min";
  EXPECT_EQ(test::finding(healthy_recovery(15), "branch-liquid", box).verdict, Verdict::unproven);
}

TEST(MixedUnits, EachByItsOwnMode) {
  constexpr const char* hot = "indoor.1.gas_pipe_temperature [degC]";
  constexpr const char* cold = "indoor.2.liquid_pipe_temperature [degC]";
  const auto verdict = [](const RecordingBuilder& log, const char* unit) {
    return test::finding(log, "mixed-units", unit).verdict;
  };
  EXPECT_EQ(verdict(healthy_recovery(60), "indoor.1"), Verdict::ok);
  EXPECT_EQ(verdict(healthy_recovery(60), "indoor.2"), Verdict::ok);
  EXPECT_EQ(verdict(healthy_recovery(60).with(hot, 36), "indoor.1"), Verdict::watch);
  const Finding f = test::finding(healthy_recovery(60).with(hot, 25), "mixed-units", "indoor.1");
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("gas-side pipe temperature of a unit that heats below 32.0 °C"));
  EXPECT_EQ(verdict(healthy_recovery(60).with(cold, 18), "indoor.2"), Verdict::watch);
  EXPECT_EQ(verdict(healthy_recovery(60).with(cold, 24), "indoor.2"), Verdict::fault);
  // A unit that heats is not asked to be cold, however warm its liquid pipe.
  EXPECT_EQ(
      verdict(healthy_recovery(60).with("indoor.1.liquid_pipe_temperature [degC]", 45), "indoor.1"),
      Verdict::ok);
}

TEST(MixedUnits, OpenWhereTheLogDoesNotSayWhichWay) {
  RecordingBuilder log = healthy_recovery(60);
  log.without("indoor.1.mode");
  const Finding f = test::finding(log, "mixed-units", "indoor.1");
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr("No mode (or call and cooling_call) of the unit"));
  // Both flags say it as well as a mode does.
  log.with("indoor.1.call", 1).with("indoor.1.cooling_call", 0);
  EXPECT_EQ(test::finding(log, "mixed-units", "indoor.1").verdict, Verdict::ok);
}

/// Unit 1 turns from heating to cooling at minute 60; its pipe is cold `after` minutes later.
RecordingBuilder turning(double after, double minutes = 120) {
  RecordingBuilder log = healthy_recovery(minutes);
  log.with("indoor.1.mode", Signal(mode("heating")).from(60, mode("cooling")))
      .with("indoor.1.set_point [degC]", Signal(22).from(60, 20))
      .with("indoor.1.gas_pipe_temperature [degC]", Signal(55).from(60 + after, 12))
      .with("indoor.1.liquid_pipe_temperature [degC]", Signal(38).from(60 + after, 8));
  return log;
}

TEST(Changeover, TimeUntilThePipeFollows) {
  const Finding ok = test::finding(turning(4), "changeover", "indoor.1");
  EXPECT_EQ(ok.verdict, Verdict::ok) << ok.because;
  EXPECT_EQ(ok.because, "1 changeover, done in 4 min.");
  const Finding slow = test::finding(turning(14), "changeover", "indoor.1");
  EXPECT_EQ(slow.verdict, Verdict::watch);
  EXPECT_THAT(slow.because, HasSubstr("to cooling took 14 min until"));
  EXPECT_EQ(slow.evidence.at(0).window.start, minute(60));
  const Finding never = test::finding(turning(1000), "changeover", "indoor.1");
  EXPECT_EQ(never.verdict, Verdict::fault);
  EXPECT_THAT(never.because, HasSubstr("never reached the right side of its room"));
}

TEST(Changeover, PressuresThatStayTogether) {
  RecordingBuilder log = turning(4);
  log.with("outdoor.1.pressure_ratio [1]", Signal(2.8).through(60, 66, 1.1));
  EXPECT_EQ(test::finding(log, "changeover", "indoor.1").verdict, Verdict::ok)
      << "they may meet while the valves change";
  log.with("outdoor.1.pressure_ratio [1]", Signal(2.8).through(60, 75, 1.1));
  const Finding f = test::finding(log, "changeover", "indoor.1");
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("fell together (ratio 1.1)"));
}

TEST(Changeover, ToAndFroAndNotAtAll) {
  RecordingBuilder log = healthy_recovery(120);
  Signal way(mode("heating"));
  Signal pipe(55);
  for (double m = 20; m < 80; m += 20) {
    way = way.during(m, m + 10, mode("cooling"));
    pipe = pipe.during(m + 1, m + 11, 10);
  }
  log.with("indoor.1.mode", way).with("indoor.1.gas_pipe_temperature [degC]", pipe);
  const Finding f = test::finding(log, "changeover", "indoor.1");
  EXPECT_EQ(f.verdict, Verdict::watch) << f.because;
  EXPECT_THAT(f.because, HasSubstr("6 times within an hour"));
  const Finding none = test::finding(healthy_recovery(120), "changeover", "indoor.1");
  EXPECT_EQ(none.verdict, Verdict::unproven);
  EXPECT_EQ(none.because, "The log shows no changeover of this unit that lasted.");
  EXPECT_THAT(test::finding(healthy_recovery(600, 600), "changeover", "indoor.1").because,
              HasSubstr("too seldom to time a changeover"));
}

}  // namespace
}  // namespace cw
