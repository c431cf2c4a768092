#include "support/judged.h"

namespace cw {
namespace {

using test::RecordingBuilder;
using test::resting;
using test::Signal;
using testing::HasSubstr;

Finding find(const RecordingBuilder& log, const char* check, const char* place = "outdoor.1") {
  return test::finding(log, check, place);
}

TEST(Standstill, IsAskedOnlyOfALogThatShowsIt) {
  for (const Finding& f : test::judged(test::healthy_heating(60)).findings) {
    EXPECT_NE(find_check(f.check)->mode, AskedIn::standstill) << f.check;
  }
}

TEST(StandstillPressure, AgreesAboveAndBelow) {
  const Finding ok = find(resting(), "standstill-pressure");
  EXPECT_EQ(ok.verdict, Verdict::ok) << ok.because;
  // 21 degC: 1484 kPa. 4 K over the warmest part is to be watched, 8 K is a fault.
  RecordingBuilder log = resting();
  const Finding watch =
      find(log.with("outdoor.1.discharge_pressure [kPa(a)]", 1650), "standstill-pressure");
  EXPECT_EQ(watch.verdict, Verdict::watch) << watch.because;
  EXPECT_THAT(watch.because, HasSubstr("against the parts around it above 3.0 K"));
  EXPECT_EQ(
      find(log.with("outdoor.1.discharge_pressure [kPa(a)]", 1900), "standstill-pressure").verdict,
      Verdict::fault);
  const Finding low =
      find(resting().with("outdoor.1.suction_pressure [kPa(a)]", 800), "standstill-pressure");
  EXPECT_EQ(low.verdict, Verdict::watch) << low.because;
}

TEST(StandstillPressure, OpenWhileItSettles) {
  EXPECT_EQ(find(resting(110), "standstill-pressure").verdict, Verdict::unproven);
  RecordingBuilder log = resting();
  log.without("outdoor.1.discharge_pressure").without("outdoor.1.suction_pressure");
  EXPECT_EQ(find(log, "standstill-pressure").because, "No discharge pressure in the log.");
}

TEST(StandstillEqual, Verdicts) {
  EXPECT_EQ(find(resting(), "standstill-equal").verdict, Verdict::ok);
  EXPECT_EQ(find(resting().with("outdoor.1.discharge_pressure [kPa(a)]", 1100), "standstill-equal")
                .verdict,
            Verdict::watch);
  EXPECT_EQ(find(resting().with("outdoor.1.discharge_pressure [kPa(a)]", 850), "standstill-equal")
                .verdict,
            Verdict::watch);
  EXPECT_EQ(find(resting(60), "standstill-equal").verdict, Verdict::unproven);
  // 170 kPa apart with sensors that tell 45 kPa: open.
  const Judgement real =
      judge(resting().with("outdoor.1.discharge_pressure [kPa(a)]", 1110).build(), {}).value();
  EXPECT_EQ(verdict_of(real.findings, "standstill-equal"), Verdict::unproven);
}

TEST(SensorZero, PipesReadLikeTheAir) {
  EXPECT_EQ(find(resting(), "sensor-zero").verdict, Verdict::ok);
  EXPECT_EQ(find(resting(), "sensor-zero", "indoor.1").verdict, Verdict::ok);
  const Finding f = find(resting().with("outdoor.1.suction_temperature [degC]", 11), "sensor-zero");
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("suction temperature against the outdoor temperature"));
  EXPECT_EQ(
      find(resting().with("indoor.1.gas_pipe_temperature [degC]", 14), "sensor-zero", "indoor.1")
          .verdict,
      Verdict::watch);
  EXPECT_EQ(find(resting(150), "sensor-zero").verdict, Verdict::unproven);
}

TEST(ValveLeak, AStoppedUnitThatStaysCold) {
  RecordingBuilder log = test::healthy_cooling(150);
  log.with("indoor.2.call", Signal(1).from(20, 0))
      .with("indoor.2.controlled_temperature [degC]", 24)
      .with("indoor.2.set_point [degC]", 24)
      .with("indoor.2.liquid_pipe_temperature [degC]", Signal(8).from(25, 22));
  EXPECT_EQ(find(log, "valve-leak", "indoor.2").verdict, Verdict::ok);
  const Finding f =
      find(log.with("indoor.2.liquid_pipe_temperature [degC]", 10), "valve-leak", "indoor.2");
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_EQ(f.evidence.at(0).window.start, test::minute(50)) << "30 min after its call";
  EXPECT_EQ(find(log, "valve-leak", "indoor.1").verdict, Verdict::unproven) << "it calls all along";
}

}  // namespace
}  // namespace cw
