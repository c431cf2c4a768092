#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_cooling;
using test::minute;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

constexpr const char* module = "outdoor.1";
constexpr const char* set = "outdoor.1.saturated_evaporating_temperature [degC]";
constexpr const char* sct = "outdoor.1.saturated_condensing_temperature [degC]";

RecordingBuilder log_of(const char* channel, const Signal& signal, double minutes = 120) {
  return healthy_cooling(minutes).with(channel, signal);
}
Verdict verdict(const RecordingBuilder& log, const char* check, const char* place = module) {
  return test::finding(log, check, place).verdict;
}

TEST(Cooling, AHealthyMachineIsWellInEveryMainQuestion) {
  const Judgement judgement = test::judged(healthy_cooling(120));
  EXPECT_EQ(judgement.verdict, Verdict::ok);
  for (const Finding& f : judgement.findings) {
    EXPECT_NE(f.check, "condensing-target") << "heating is not asked";
    EXPECT_LT(f.verdict, Verdict::watch) << f.check << ": " << f.because;
    if (find_check(f.check)->main) {
      EXPECT_EQ(f.verdict, Verdict::ok) << f.because;
    }
  }
}

TEST(EvaporatingTarget, TheUsualBandWithoutALoggedOne) {
  EXPECT_EQ(verdict(healthy_cooling(60), "evaporating-target"), Verdict::ok);
  EXPECT_EQ(verdict(log_of(set, 14), "evaporating-target"), Verdict::ok) << "3 K over is allowed";
  const Finding warm =
      test::finding(log_of(set, Signal(6).through(20, 40, 14.5)), "evaporating-target", module);
  EXPECT_EQ(warm.verdict, Verdict::watch);
  EXPECT_THAT(warm.because, HasSubstr("from its usual band above 3.0 K for 20 min"));
  EXPECT_EQ(verdict(log_of(set, Signal(6).through(20, 39.5, 14.5)), "evaporating-target"),
            Verdict::ok);
  EXPECT_EQ(verdict(log_of(set, 18), "evaporating-target"), Verdict::fault);
  EXPECT_EQ(verdict(log_of(set, -4), "evaporating-target"), Verdict::watch);
  EXPECT_EQ(verdict(log_of(set, -7), "evaporating-target"), Verdict::fault);
}

TEST(EvaporatingTarget, ALoggedTargetRules) {
  RecordingBuilder log = log_of(set, 10);
  log.with("outdoor.1.evaporating_target [degC]", 2);
  const Finding f = test::finding(log, "evaporating-target", module);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("from its target above 6.0 K"));
}

TEST(EvaporatingTarget, OpenWithoutAPressureOrACall) {
  RecordingBuilder log = healthy_cooling(60);
  log.without(set);
  const Finding f = test::finding(log, "evaporating-target", module);
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_EQ(f.because, "No suction pressure in the log.");
  EXPECT_EQ(verdict(log_of(set, 20).with("indoor.1.call", 0), "evaporating-target"),
            Verdict::unproven);
}

TEST(CondensingApproach, Verdicts) {
  EXPECT_EQ(verdict(healthy_cooling(60), "condensing-approach"), Verdict::ok);
  EXPECT_EQ(verdict(log_of(sct, 52), "condensing-approach"), Verdict::ok) << "exactly 20 K";
  EXPECT_EQ(verdict(log_of(sct, Signal(44).through(30, 50, 53)), "condensing-approach"),
            Verdict::watch);
  EXPECT_EQ(verdict(log_of(sct, Signal(44).through(30, 60, 58)), "condensing-approach"),
            Verdict::fault);
  EXPECT_EQ(verdict(healthy_cooling(15), "condensing-approach"), Verdict::unproven);
  RecordingBuilder blind = healthy_cooling(60);
  blind.without("site.outdoor_temperature");
  EXPECT_EQ(test::finding(blind, "condensing-approach", module).because,
            "No outdoor temperature in the log.");
}

TEST(CondensingApproach, APressureMeasuresWithItsAccuracy) {
  // 2.6 MPa of R-410A condense at 43.1 degC; 40 kPa are 0.6 K there.
  RecordingBuilder log = healthy_cooling(60);
  log.without(sct).with("outdoor.1.discharge_pressure [kPa(a)]", 2600);
  const Judgement judgement = judge(log.build(), {}).value();
  for (const Finding& f : judgement.findings) {
    if (f.check != "condensing-approach") continue;
    EXPECT_NEAR(f.measures.at(0).value, 11.1, 0.3);
    EXPECT_NEAR(f.measures.at(0).uncertainty, std::hypot(0.5, 0.63), 0.05);
  }
}

TEST(CondensingPressure, TooLowAndTooHigh) {
  EXPECT_EQ(verdict(healthy_cooling(60), "condensing-pressure"), Verdict::ok);
  const Finding low = test::finding(log_of(sct, 18), "condensing-pressure", module);
  EXPECT_EQ(low.verdict, Verdict::watch);
  EXPECT_THAT(low.because, HasSubstr("below 20.0 °C"));
  EXPECT_EQ(verdict(log_of(sct, 62), "condensing-pressure"), Verdict::watch);
  EXPECT_EQ(verdict(log_of(sct, Signal(44).through(30, 40, 66)), "condensing-pressure"),
            Verdict::fault);
  EXPECT_EQ(verdict(healthy_cooling(60).without(sct), "condensing-pressure"), Verdict::unproven);
}

TEST(Subcooling, LowAndHigh) {
  constexpr const char* channel = "outdoor.1.subcooling [K]";
  const Finding ok = test::finding(healthy_cooling(60), "subcooling", module);
  EXPECT_EQ(ok.verdict, Verdict::ok);
  EXPECT_THAT(ok.because, HasSubstr("never held below 3.0 K or above 12.0 K for 30 min"));
  EXPECT_EQ(verdict(log_of(channel, Signal(7).through(20, 50, 2)), "subcooling"), Verdict::watch);
  EXPECT_EQ(verdict(log_of(channel, Signal(7).through(20, 49.5, 2)), "subcooling"), Verdict::ok);
  EXPECT_EQ(verdict(log_of(channel, 14), "subcooling"), Verdict::watch);
  EXPECT_EQ(verdict(healthy_cooling(60).without("outdoor.1.subcooling"), "subcooling"),
            Verdict::unproven);
}

TEST(SuctionSuperheat, WetDryAndStarved) {
  constexpr const char* channel = "outdoor.1.suction_superheat [K]";
  EXPECT_EQ(verdict(healthy_cooling(60), "suction-superheat"), Verdict::ok);
  EXPECT_EQ(verdict(log_of(channel, 4), "suction-superheat"), Verdict::watch);
  EXPECT_EQ(verdict(log_of(channel, 1), "suction-superheat"), Verdict::fault);
  EXPECT_EQ(verdict(log_of(channel, 33), "suction-superheat"), Verdict::watch);
  const Finding open = test::finding(healthy_cooling(60).without("outdoor.1.suction_superheat"),
                                     "suction-superheat", module);
  EXPECT_EQ(open.because, "No suction temperature in the log.");
  // Half a kelvin under the limit is nothing to a sensor of 1 K.
  const Judgement real = judge(log_of(channel, 4.5).build(), {}).value();
  EXPECT_EQ(verdict_of(real.findings, "suction-superheat"), Verdict::unproven);
}

TEST(IndoorCoilCold, WarmColdAndFreezing) {
  constexpr const char* pipe = "indoor.1.liquid_pipe_temperature [degC]";
  constexpr const char* unit = "indoor.1";
  EXPECT_EQ(verdict(healthy_cooling(60), "indoor-coil-cold", unit), Verdict::ok);
  EXPECT_EQ(verdict(log_of(pipe, 16), "indoor-coil-cold", unit), Verdict::watch);
  EXPECT_EQ(verdict(log_of(pipe, 22), "indoor-coil-cold", unit), Verdict::fault);
  EXPECT_EQ(verdict(log_of(pipe, -2), "indoor-coil-cold", unit), Verdict::watch);
  EXPECT_EQ(verdict(log_of(pipe, -5), "indoor-coil-cold", unit), Verdict::fault);
  EXPECT_EQ(verdict(log_of(pipe, 22).with("indoor.1.call", 0), "indoor-coil-cold", unit),
            Verdict::unproven);
  // The first 10 min of a call are pull-down.
  RecordingBuilder log = log_of(pipe, Signal(22).from(39.5, 8));
  EXPECT_EQ(verdict(log.with("indoor.1.call", Signal(0).from(30, 1)), "indoor-coil-cold", unit),
            Verdict::ok);
  EXPECT_EQ(test::finding(RecordingBuilder(30, 60)
                              .with("outdoor.1.mode", test::mode("cooling"))
                              .with("outdoor.1.compressor_frequency [Hz]", 50),
                          "indoor-coil-cold", "system")
                .because,
            "No indoor unit in the log.");
}

TEST(IndoorSuperheat, FloodedAndStarved) {
  constexpr const char* gas = "indoor.1.gas_pipe_temperature [degC]";
  constexpr const char* unit = "indoor.1";
  EXPECT_EQ(verdict(healthy_cooling(60), "indoor-superheat", unit), Verdict::ok);
  EXPECT_EQ(verdict(log_of(gas, 9), "indoor-superheat", unit), Verdict::watch);
  EXPECT_EQ(verdict(log_of(gas, 24), "indoor-superheat", unit), Verdict::watch);
  // Without a liquid-side sensor the suction pressure stands in: 13 - 6 = 7 K.
  RecordingBuilder log = healthy_cooling(60);
  log.without("indoor.1.liquid_pipe_temperature");
  const Finding f = test::finding(log, "indoor-superheat", unit);
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_NEAR(f.measures.at(0).value, 7.0, 1e-3);
  EXPECT_EQ(verdict(log.without(set), "indoor-superheat", unit), Verdict::unproven);
}

TEST(SetPoint, InCoolingARoomThatIsTooWarm) {
  RecordingBuilder log = healthy_cooling(120);
  log.without("indoor.1.call").with("indoor.1.controlled_temperature [degC]", 27.5);
  const Finding f = test::finding(log, "set-point", "indoor.1");
  EXPECT_EQ(f.verdict, Verdict::fault) << f.because;
  EXPECT_THAT(f.because, HasSubstr("The room is too warm."));
  // A room under its set point does not call for cooling.
  log.with("indoor.1.controlled_temperature [degC]", 20);
  EXPECT_NE(test::finding(log, "set-point", "indoor.1").verdict, Verdict::fault);
}

}  // namespace
}  // namespace cw
