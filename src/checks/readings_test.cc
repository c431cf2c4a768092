#include "checks/readings.h"

#include "support/judged.h"

namespace cw {
namespace {

using testing::HasSubstr;

Reading reading(std::string_view channel, double si) {
  const std::size_t dot = channel.rfind('.');
  return {*parse_place(channel.substr(0, dot)), find_quantity(channel.substr(dot + 1)), si};
}
JudgeOptions in(PhaseKind mode) {
  JudgeOptions out;
  out.stated_mode = mode;
  return out;
}
const Finding& of(const Judgement& judgement, std::string_view check) {
  for (const Finding& f : judgement.findings) {
    if (f.check == check) return f;
  }
  ADD_FAILURE() << "no finding of " << check;
  return judgement.findings.front();
}

/// R-410A at 418 psig condenses at 49 degC (120 degF), the figure of the trade.
std::vector<Reading> heating(double discharge_degC) {
  return {reading("outdoor.1.discharge_pressure", 2983e3),
          reading("outdoor.1.suction_pressure", 500e3),
          reading("outdoor.1.discharge_temperature", 273.15 + discharge_degC),
          reading("site.outdoor_temperature", 268.15)};
}

TEST(Readings, OkMeansAtThisMoment) {
  const Judgement j = judge_readings(heating(80), in(PhaseKind::heating)).value();
  EXPECT_EQ(j.judged_verdict, Verdict::ok);
  EXPECT_EQ(j.verdict, Verdict::unproven) << "a moment proves no health";
  EXPECT_THAT(of(j, "discharge-temperature").because, HasSubstr("at this moment"));
  EXPECT_EQ(of(j, "condensing-target").verdict, Verdict::ok);
  EXPECT_EQ(of(j, "set-point").verdict, Verdict::unproven);
  for (const Finding& f : j.findings) EXPECT_NE(f.check, "outdoor-coil-frost");
}

TEST(Readings, BeyondALimitIsAtMostToBeWatched) {
  const Judgement j = judge_readings(heating(125), in(PhaseKind::heating)).value();
  const Finding& f = of(j, "discharge-temperature");
  EXPECT_EQ(f.verdict, Verdict::watch) << "even at 125 degC";
  EXPECT_THAT(f.because, HasSubstr("One reading cannot show whether it is held"));
  EXPECT_EQ(j.verdict, Verdict::watch);
  EXPECT_EQ(of(judge_readings(heating(54), in(PhaseKind::heating)).value(), "discharge-superheat")
                .verdict,
            Verdict::watch);
}

TEST(Readings, WhatTheSensorsCannotTellIsOpen) {
  const Judgement j = judge_readings(heating(95.5), in(PhaseKind::heating)).value();
  EXPECT_EQ(of(j, "discharge-temperature").verdict, Verdict::unproven);
  EXPECT_THAT(of(j, "discharge-temperature").because, HasSubstr("than the sensors can tell"));
}

TEST(Readings, UnitsCallUnlessTheySayOtherwise) {
  std::vector<Reading> readings = {reading("indoor.3.gas_pipe_temperature", 273.15 + 39)};
  EXPECT_EQ(
      of(judge_readings(readings, in(PhaseKind::heating)).value(), "indoor-coil-heat").verdict,
      Verdict::watch);
  readings.push_back(reading("indoor.3.call", 0));
  EXPECT_EQ(
      of(judge_readings(readings, in(PhaseKind::heating)).value(), "indoor-coil-heat").verdict,
      Verdict::unproven);
  EXPECT_EQ(of(judge_readings({reading("indoor.3.liquid_pipe_temperature", 273.15 + 22)},
                              in(PhaseKind::cooling))
                   .value(),
               "indoor-coil-cold")
                .verdict,
            Verdict::watch);
}

TEST(Readings, Refusals) {
  EXPECT_EQ(judge_readings({}, in(PhaseKind::heating)).error().code, ErrorCode::invalid_argument);
  EXPECT_EQ(judge_readings(heating(80), {}).error().where, "--mode");
  EXPECT_EQ(judge_readings({reading("site.outdoor_temperature", 600)}, in(PhaseKind::heating))
                .error()
                .code,
            ErrorCode::out_of_range);
  EXPECT_EQ(judge_readings({reading("site.outdoor_temperature", 270),
                            reading("site.outdoor_temperature", 271)},
                           in(PhaseKind::heating))
                .error()
                .code,
            ErrorCode::invalid_argument);
}

}  // namespace
}  // namespace cw
