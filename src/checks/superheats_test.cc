#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;

/// Both superheats by the readings that a log has: a temperature over a saturation temperature.
struct Place2 {
  const char* id;
  const char* channel;
  const char* saturation;
  double saturated_degC;
  const char* pressure;
};

class Superheat : public testing::TestWithParam<Place2> {
 protected:
  /// The temperature that makes this superheat [K].
  RecordingBuilder log(const Signal& superheat, double minutes = 120) const {
    const double base = GetParam().saturated_degC;
    return healthy_heating(minutes).with(
        GetParam().channel, Signal([superheat, base](double m) { return base + superheat.at(m); }));
  }
  Finding find(const RecordingBuilder& log) const {
    return test::finding(log, GetParam().id, "outdoor.1");
  }
  Finding find(const Signal& superheat) const { return find(log(superheat)); }
};

INSTANTIATE_TEST_SUITE_P(
    Both, Superheat,
    testing::Values(Place2{"discharge-superheat", "outdoor.1.discharge_temperature [degC]",
                           "outdoor.1.saturated_condensing_temperature", 49, "discharge_pressure"},
                    Place2{"shell-superheat", "outdoor.1.shell_temperature [degC]",
                           "outdoor.1.saturated_evaporating_temperature", -14, "suction_pressure"}),
    [](const auto& suite) {
      return std::string(suite.param.id).starts_with("shell") ? "shell" : "discharge";
    });

TEST_P(Superheat, Ok) {
  const Finding f = find(Signal(25));
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_THAT(f.because, HasSubstr("superheat never held below 10.0 K for 5 min"));
  EXPECT_THAT(f.because, HasSubstr("at worst 25.0 K"));
  EXPECT_EQ(f.dimension, Dimension::temperature_difference);
}

TEST_P(Superheat, HeldFiveMinutesIsToBeWatched) {
  EXPECT_EQ(find(Signal(25).through(30, 34.5, 6)).verdict, Verdict::ok);
  const Finding f = find(Signal(25).through(30, 35, 6));
  EXPECT_EQ(f.verdict, Verdict::watch);
  ASSERT_EQ(f.evidence.size(), 1U);
  EXPECT_DOUBLE_EQ(f.evidence[0].window.held, 300.0);
  EXPECT_NEAR(f.evidence[0].window.value, 6.0, 1e-3);
  EXPECT_DOUBLE_EQ(f.evidence[0].window.limit, 10.0);
}

TEST_P(Superheat, HeldFifteenMinutesIsAFault) {
  EXPECT_EQ(find(Signal(25).through(30, 44.5, 6)).verdict, Verdict::watch);
  const Finding f = find(Signal(25).through(30, 45, 6));
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, HasSubstr("superheat below 10.0 K for 15 min"));
}

TEST_P(Superheat, AtTheLimitIsNotBeyondIt) {
  EXPECT_EQ(find(Signal(10)).verdict, Verdict::ok);
  EXPECT_EQ(find(Signal(9.9)).verdict, Verdict::fault);
}

TEST_P(Superheat, NegativeIsWorst) {
  const Finding f = find(Signal(25).through(30, 50, -2).through(35, 40, -4));
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_NEAR(f.evidence.at(0).window.value, -4.0, 1e-3);
}

TEST_P(Superheat, UnprovenWithoutSaturationTemperatureOrPressure) {
  const Finding f = find(healthy_heating(60).without(GetParam().saturation));
  EXPECT_EQ(f.verdict, Verdict::unproven);
  EXPECT_THAT(f.because, HasSubstr(" pressure in the log"));
  EXPECT_THAT(f.proof, HasSubstr(GetParam().pressure));
}

TEST_P(Superheat, UnprovenWithTooLittleSteadyTime) {
  EXPECT_EQ(find(log(25, 30)).verdict, Verdict::ok);
  EXPECT_EQ(find(log(25, 29.5)).verdict, Verdict::unproven);
}

TEST_P(Superheat, StartUpDefrostAndRecoveryDoNotCount) {
  RecordingBuilder start = log(Signal(25).during(10, 20, 0));
  start.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60));
  EXPECT_EQ(find(start).verdict, Verdict::ok);
  RecordingBuilder defrost = log(Signal(25).during(30, 46, 0));
  defrost.with("outdoor.1.defrost", Signal(0).during(30, 36, 1));
  EXPECT_EQ(find(defrost).verdict, Verdict::ok);
  // Still low when recovery is over: 46..51 is 5 min.
  RecordingBuilder stays = log(Signal(25).through(30, 51, 0));
  stays.with("outdoor.1.defrost", Signal(0).during(30, 36, 1));
  EXPECT_EQ(find(stays).verdict, Verdict::watch);
}

TEST_P(Superheat, HeldAcrossADefrost) {
  // 20..29.5 before, 46..51.5 behind: 9 min 30 s + 5 min 30 s.
  RecordingBuilder across = log(Signal(25).through(20, 51.5, 5));
  across.with("outdoor.1.defrost", Signal(0).during(30, 36, 1));
  const Finding f = find(across);
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_DOUBLE_EQ(f.evidence.at(0).window.held, 900.0);
}

TEST_P(Superheat, WithTheCompressorOffNothingIsJudged) {
  RecordingBuilder off = log(0, 60);
  off.with("outdoor.1.compressor_frequency [Hz]", 0);
  EXPECT_EQ(find(off).verdict, Verdict::unproven);
}

TEST_P(Superheat, NoiseAroundAHealthyValue) {
  EXPECT_EQ(find(Signal(14).noise(3.5, 11)).verdict, Verdict::ok);
  EXPECT_EQ(find(Signal(6).noise(3.5, 11)).verdict, Verdict::fault);
}

}  // namespace
}  // namespace cw
