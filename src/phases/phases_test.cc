#include "phases/phases.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <random>

#include "support/recording_builder.h"

namespace cw {
namespace {

using test::minute;
using test::mode;
using test::nothing;
using test::ramp;
using test::RecordingBuilder;
using test::Signal;
using testing::Contains;
using testing::HasSubstr;

Phases phases_of(const RecordingBuilder& builder, const PhaseOptions& options = {}) {
  return find_phases(builder.build(), options);
}

/// "off 0..10, starting 10..20, heating 20..60" in minutes.
std::string story(const Timeline& timeline) {
  std::string out;
  for (const Phase& phase : timeline.phases) {
    char text[80];
    std::snprintf(text, sizeof text, "%s%s %g..%g", out.empty() ? "" : ", ",
                  std::string(name_of(phase.kind)).c_str(),
                  seconds_between(test::first_stamp, phase.start) / 60.0,
                  seconds_between(test::first_stamp, phase.end) / 60.0);
    out += text;
  }
  return out;
}
std::string story(const RecordingBuilder& builder, const PhaseOptions& options = {}) {
  return story(phases_of(builder, options).system);
}

/// A machine that says everything of itself.
RecordingBuilder flagged(double minutes) {
  RecordingBuilder out(30, minutes);
  out.with("outdoor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.mode", mode("heating"))
      .with("outdoor.1.defrost", 0);
  return out;
}

/// A machine without flags, in heating at -5 degC.
RecordingBuilder unflagged(double minutes) {
  RecordingBuilder out(30, minutes);
  out.with("outdoor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.coil_temperature [degC]", -13)
      .with("site.outdoor_temperature [degC]", -5)
      .with("indoor.1.gas_pipe_temperature [degC]", 58)
      .with("indoor.1.controlled_temperature [degC]", 21.5);
  return out;
}

/// The same with the refrigerant running the other way in [from, to).
RecordingBuilder reversed(double minutes, double from, double to, double outdoor = -5) {
  RecordingBuilder out = unflagged(minutes);
  out.with("site.outdoor_temperature [degC]", outdoor)
      .with("outdoor.1.coil_temperature [degC]", Signal(outdoor - 8).during(from, to, outdoor + 15))
      .with("indoor.1.gas_pipe_temperature [degC]", Signal(58).during(from, to, 8));
  return out;
}

// --- flags
// ----------------------------------------------------------------------------------------

TEST(Phases, ARecordingThatBeginsMidRunHasNoStart) {
  EXPECT_EQ(story(flagged(60)), "heating 0..60");
}

TEST(Phases, StartUpToTheSample) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60));
  EXPECT_EQ(story(log), "off 0..10, starting 10..20, heating 20..60");
  PhaseOptions options;
  options.starting = 300;
  EXPECT_EQ(story(log, options), "off 0..10, starting 10..15, heating 15..60");
  const Phases phases = phases_of(log);
  EXPECT_EQ(phases.system.kind_at[39], PhaseKind::starting);  // 19.5 min
  EXPECT_EQ(phases.system.kind_at[40], PhaseKind::heating);   // 20 min
}

TEST(Phases, DefrostAndRecoveryToTheSample) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1));
  EXPECT_EQ(story(log), "heating 0..30, defrost 30..36, recovering 36..46, heating 46..60");
  PhaseOptions options;
  options.recovering = 480;
  EXPECT_EQ(story(log, options),
            "heating 0..30, defrost 30..36, recovering 36..44, heating 44..60");
  const Phases phases = phases_of(log);
  EXPECT_FALSE(phases.system.inferred_defrost);
  EXPECT_FALSE(phases.system.inferred_mode);
  EXPECT_EQ(phases.system.phases[1].why, "the log's defrost flag");
  EXPECT_EQ(phases.system.phases[2].why, "the first 10 min after a defrost");
}

TEST(Phases, AStopRightAfterTheStartKeepsNoMemory) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(20, 25, 0));
  EXPECT_EQ(story(log), "heating 0..20, off 20..25, starting 25..35, heating 35..60");
}

TEST(Phases, AShortFlaggedDefrostIsKeptAndALoneFlagIsNot) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.defrost", Signal(0).during(30, 31, 1));
  EXPECT_EQ(story(log), "heating 0..30, defrost 30..31, recovering 31..41, heating 41..60");
  log.with("outdoor.1.defrost", Signal(0).during(30, 30.5, 1));
  EXPECT_EQ(story(log), "heating 0..60");
}

TEST(Phases, AStopBesideADefrostBelongsToIt) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1))
      .with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(28, 30, 0).during(36, 39, 0));
  EXPECT_EQ(story(log), "heating 0..28, defrost 28..39, recovering 39..49, heating 49..60");
}

TEST(Phases, ALongStopBesideADefrostIsAStop) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1))
      .with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(36, 39.5, 0));
  EXPECT_EQ(story(log),
            "heating 0..30, defrost 30..36, off 36..39.5, starting 39.5..49.5, heating 49.5..60");
}

TEST(Phases, AMachineThatStopsForGoodAfterItsDefrostIsOff) {
  RecordingBuilder log = flagged(38);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1))
      .with("outdoor.1.compressor_frequency [Hz]", Signal(60).from(36, 0));
  EXPECT_EQ(story(log), "heating 0..30, defrost 30..36, off 36..38");
}

TEST(Phases, EachModeWord) {
  const auto said = [](const char* word, double frequency) {
    RecordingBuilder log(30, 30);
    log.with("outdoor.1.compressor_frequency [Hz]", frequency).with("outdoor.1.mode", mode(word));
    return std::string(name_of(phases_of(log).system.kind_at[5]));
  };
  EXPECT_EQ(said("heating", 60), "heating");
  EXPECT_EQ(said("cooling", 60), "cooling");
  EXPECT_EQ(said("mixed", 60), "mixed");
  EXPECT_EQ(said("defrost", 60), "defrost");
  EXPECT_EQ(said("defrost", 0), "defrost") << "the valve turns with the compressor stopped";
  EXPECT_EQ(said("off", 0), "off");
  EXPECT_EQ(said("standby", 0), "off");
  EXPECT_EQ(said("fan", 0), "off");
  EXPECT_EQ(said("heating", 0), "off") << "a mode is what is wanted, not what runs";
  // Words that leave the direction open, and nothing else to judge it by.
  EXPECT_EQ(said("starting", 60), "unknown");
  EXPECT_EQ(said("oil_return", 60), "unknown");
  EXPECT_EQ(said("off", 60), "unknown") << "it runs, whatever the word says";
}

TEST(Phases, OilReturnInsideHeatingIsHeating) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.mode", Signal(mode("heating")).during(20, 24, mode("oil_return")));
  EXPECT_EQ(story(log), "heating 0..60");
}

TEST(Phases, AModeChannelWithDefrostNeedsNoFlag) {
  RecordingBuilder log = flagged(60);
  log.without("outdoor.1.defrost")
      .with("outdoor.1.mode", Signal(mode("heating")).during(30, 35, mode("defrost")));
  const Phases phases = phases_of(log);
  EXPECT_EQ(story(phases.system),
            "heating 0..30, defrost 30..35, recovering 35..45, heating 45..60");
  EXPECT_FALSE(phases.system.inferred_defrost);
}

TEST(Phases, ReversingValveTellsTheDirection) {
  const double heat = test::word("reversing_valve", "heating");
  const double cool = test::word("reversing_valve", "cooling");
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.reversing_valve", Signal(heat).during(30, 36, cool))
      .with("site.outdoor_temperature [degC]", -5);
  EXPECT_EQ(story(log), "heating 0..30, defrost 30..36, recovering 36..46, heating 46..60");
  log.with("outdoor.1.reversing_valve", cool);
  EXPECT_EQ(story(log), "cooling 0..60");
}

TEST(Phases, AFlagOfTheSystemServesEveryModule) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.2.compressor_frequency [Hz]", 50)
      .with("system.mode", mode("heating"))
      .with("system.defrost", Signal(0).during(30, 36, 1));
  const Phases phases = phases_of(log);
  ASSERT_EQ(phases.modules.size(), 2U);
  for (const Timeline& module : phases.modules) {
    EXPECT_EQ(story(module), "heating 0..30, defrost 30..36, recovering 36..46, heating 46..60");
  }
}

// --- gaps
// -----------------------------------------------------------------------------------------

TEST(Phases, AGapIsUnknown) {
  RecordingBuilder log = flagged(60);
  log.gap(20, 25);
  const Phases phases = phases_of(log);
  EXPECT_EQ(story(phases.system), "heating 0..20, unknown 20..25, heating 25..60");
  EXPECT_EQ(phases.system.phases[1].why, "no readings");
}

TEST(Phases, OneLostSampleIsNoGap) {
  RecordingBuilder log = flagged(60);
  log.gap(20, 21);
  EXPECT_EQ(story(log), "heating 0..60");
  RecordingBuilder two = flagged(60);
  two.gap(20, 21.5);
  EXPECT_EQ(story(two), "heating 0..20, unknown 20..21.5, heating 21.5..60");
}

TEST(Phases, AStartInsideAGapIsMaskedFromItsEnd) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(15, 22, 0)).gap(20, 25);
  EXPECT_EQ(story(log),
            "heating 0..15, off 15..20, unknown 20..25, starting 25..35, heating 35..60");
}

TEST(Phases, LostRowsEndNeitherStartNorRecovery) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60)).gap(12, 14);
  EXPECT_EQ(story(log),
            "off 0..10, starting 10..12, unknown 12..14, starting 14..20, heating 20..60");
  RecordingBuilder thaw = flagged(60);
  thaw.with("outdoor.1.defrost", Signal(0).during(20, 26, 1)).gap(22, 24);
  EXPECT_EQ(phases_of(thaw).defrosts.size(), 1U);
}

TEST(Phases, ADefrostWithNeutralIndoorCoilsIsSeen) {
  // Fans stopped and valves nearly closed: the pipes come to room temperature, not below it.
  RecordingBuilder log = unflagged(60);
  log.with("outdoor.1.coil_temperature [degC]", Signal(-13).during(30, 36, 8))
      .with("indoor.1.gas_pipe_temperature [degC]", Signal(58).during(30, 36, 22));
  EXPECT_EQ(story(log), "heating 0..30, defrost 30..36, recovering 36..46, heating 46..60");
  // A coil that is warm for a moment after a stop does not thaw.
  log.with("outdoor.1.coil_temperature [degC]", Signal(-13).during(30, 31, -1));
  EXPECT_EQ(story(log), "heating 0..60");
}

TEST(Phases, ALoneStopIsABadReading) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(30, 30.5, 0));
  EXPECT_EQ(story(log), "heating 0..60");
}

TEST(Phases, ARunSignalThatDropsOutIsUnknown) {
  RecordingBuilder log = unflagged(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).missing_during(20, 30));
  // The last reading at 19.5 min stands for 75 s.
  EXPECT_EQ(story(log), "heating 0..21, unknown 21..30, heating 30..60");
}

// --- without flags
// --------------------------------------------------------------------------------

TEST(Phases, HeatingByTheCoils) {
  const Phases phases = phases_of(unflagged(60));
  EXPECT_EQ(story(phases.system), "heating 0..60");
  EXPECT_TRUE(phases.system.inferred_mode);
  EXPECT_TRUE(phases.system.inferred_defrost);
  EXPECT_THAT(phases.notes, Contains(HasSubstr("heating or cooling is inferred from")));
}

TEST(Phases, DefrostByTheCoils) {
  const Phases phases = phases_of(reversed(60, 30, 36));
  EXPECT_EQ(story(phases.system),
            "heating 0..30, defrost 30..36, recovering 36..46, heating 46..60");
  ASSERT_EQ(phases.defrosts.size(), 1U);
  EXPECT_THAT(phases.system.phases[1].why, HasSubstr("a short reversal inside heating"));
}

TEST(Phases, TwentyMinutesOfReverseIsTheLongestDefrost) {
  EXPECT_THAT(story(reversed(90, 30, 50)), HasSubstr("defrost 30..50"));
  EXPECT_EQ(story(reversed(90, 30, 50.5)), "heating 0..30, cooling 30..50.5, heating 50.5..90");
}

TEST(Phases, ALongCoolingSpellIsCooling) {
  const Phases phases = phases_of(reversed(120, 30, 75));
  EXPECT_EQ(story(phases.system), "heating 0..30, cooling 30..75, heating 75..120");
  EXPECT_TRUE(phases.defrosts.empty());
}

TEST(Phases, NoDefrostWhereNothingFreezes) {
  EXPECT_THAT(story(reversed(60, 30, 36, 16)), HasSubstr("cooling 30..36"));
  EXPECT_THAT(story(reversed(60, 30, 36, 5)), HasSubstr("defrost 30..36"));
}

TEST(Phases, AFlickerIsNoDefrost) {
  EXPECT_EQ(story(reversed(60, 30, 30.5)), "heating 0..60");
  EXPECT_THAT(story(reversed(60, 30, 31)), HasSubstr("defrost 30..31"));
}

TEST(Phases, StopsAroundAnInferredDefrostBelongToIt) {
  RecordingBuilder log = reversed(60, 30, 36);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(29, 30, 0).during(36, 37.5, 0));
  EXPECT_EQ(story(log), "heating 0..29, defrost 29..37.5, recovering 37.5..47.5, heating 47.5..60");
}

TEST(Phases, ARecordingThatBeginsInsideADefrost) {
  EXPECT_EQ(story(reversed(60, 0, 4)), "defrost 0..4, recovering 4..14, heating 14..60");
}

TEST(Phases, ADefrostBehindAGapIsOneToo) {
  RecordingBuilder log = reversed(90, 25, 30);
  log.gap(20, 26);
  EXPECT_EQ(story(log),
            "heating 0..20, unknown 20..26, defrost 26..30, recovering 30..40, heating 40..90");
}

TEST(Phases, ARecordingThatEndsInsideADefrost) {
  EXPECT_EQ(story(reversed(33, 30, 60)), "heating 0..30, defrost 30..33");
}

TEST(Phases, RunsThatNeverOutlastTheirStartShowTheirWork) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).during(5, 13, 60).during(40, 47, 60))
      .with("outdoor.1.coil_temperature [degC]", 45)
      .with("site.outdoor_temperature [degC]", 32);
  const Timeline system = phases_of(log).system;
  EXPECT_EQ(story(system), "off 0..5, starting 5..13, off 13..40, starting 40..47, off 47..60");
  EXPECT_TRUE(system.work().cools);
  EXPECT_FALSE(system.work().heats);
}

TEST(Phases, AStartIsOfTheSideThatTheModeNamesLater) {
  // Liquid left in the outdoor coil boils in the first minutes: a cold coil, as in heating.
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.mode",
           Signal(mode("off")).during(5, 8, mode("starting")).during(8, 13, mode("cooling")))
      .with("outdoor.1.compressor_frequency [Hz]", Signal(0).during(5, 13, 60))
      .with("outdoor.1.coil_temperature [degC]", Signal(45).during(5, 8, 10))
      .with("site.outdoor_temperature [degC]", 32);
  const Timeline system = phases_of(log).system;
  EXPECT_EQ(story(system), "off 0..5, starting 5..13, off 13..60");
  EXPECT_TRUE(system.work().cools);
  EXPECT_FALSE(system.work().heats);
}

TEST(Phases, CoolingInSummer) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(5, 60))
      .with("outdoor.1.coil_temperature [degC]", 45)
      .with("site.outdoor_temperature [degC]", 32)
      .with("indoor.1.gas_pipe_temperature [degC]", 9)
      .with("indoor.1.controlled_temperature [degC]", 25);
  EXPECT_EQ(story(log), "off 0..5, starting 5..15, cooling 15..60");
  // A thermostat stops the compressor; the coils keep their temperatures for a while.
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(60).during(30, 40, 0));
  EXPECT_EQ(story(log), "cooling 0..30, off 30..40, starting 40..50, cooling 50..60");
}

TEST(Phases, MixedBySomeHotAndSomeColdIndoorCoils) {
  RecordingBuilder log = unflagged(60);
  log.with("indoor.2.gas_pipe_temperature [degC]", 8)
      .with("indoor.2.controlled_temperature [degC]", 23)
      .with("indoor.3.gas_pipe_temperature [degC]", 55)
      .with("indoor.3.controlled_temperature [degC]", 21);
  EXPECT_EQ(story(log), "mixed 0..60");
}

TEST(Phases, NoRunSignal) {
  RecordingBuilder log(30, 60);
  log.with("indoor.1.controlled_temperature [degC]", 21).with("indoor.1.set_point [degC]", 22);
  const Phases phases = phases_of(log);
  EXPECT_EQ(story(phases.system), "unknown 0..60");
  EXPECT_EQ(phases.system.phases[0].why, "no channel shows whether a compressor runs");
  EXPECT_THAT(phases.notes, Contains(HasSubstr("no channel shows whether a compressor runs")));
  EXPECT_THAT(phases.notes, Contains(HasSubstr("a defrost could not be seen")));
}

TEST(Phases, AStatedModeDoesNotShowThatACompressorRuns) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.discharge_temperature [degC]", 20);
  PhaseOptions options;
  options.stated_mode = PhaseKind::heating;
  EXPECT_EQ(story(log, options), "unknown 0..60");
}

TEST(Phases, AReversingValveDoesNotShowThatACompressorRuns) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.reversing_valve", test::word("reversing_valve", "heating"));
  EXPECT_EQ(story(log), "unknown 0..60");
}

TEST(Phases, PowerOnly) {
  RecordingBuilder log(30, 120);
  log.with("outdoor.1.power [W]", Signal(60).from(30, 3000).from(90, 80));
  // Running, but nothing tells heating from cooling.
  EXPECT_EQ(story(log), "off 0..30, unknown 30..90, off 90..120");
  PhaseOptions options;
  options.stated_mode = PhaseKind::heating;
  EXPECT_EQ(story(log, options), "off 0..30, starting 30..40, heating 40..90, off 90..120");
  EXPECT_THAT(phases_of(log, options).system.phases[2].why,
              HasSubstr("electric power shows running; heating by the mode that was stated"));
  options.stated_mode = PhaseKind::cooling;
  EXPECT_EQ(story(log, options), "off 0..30, starting 30..40, cooling 40..90, off 90..120");
}

TEST(Phases, StandbyPowerIsNoRunning) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.power [W]", Signal(55).noise(20, 7));
  EXPECT_EQ(story(log), "off 0..60");
}

TEST(Phases, EveryRunSignal) {
  for (const auto& [channel, off, on] :
       {std::tuple{"outdoor.1.compressor_on", 0.0, 1.0},
        std::tuple{"outdoor.1.compressor_load [%]", 0.0, 40.0},
        std::tuple{"outdoor.1.current [A]", 0.2, 9.0},
        std::tuple{"outdoor.1.pressure_ratio [1]", 1.1, 4.0},
        std::tuple{"outdoor.1.compressor.2.compressor_frequency [Hz]", 0.0, 35.0},
        std::tuple{"system.power [kW]", 0.05, 6.0}}) {
    RecordingBuilder log(30, 60);
    log.with(channel, Signal(off).from(10, on)).with("outdoor.1.mode", mode("heating"));
    EXPECT_EQ(story(log), "off 0..10, starting 10..20, heating 20..60") << channel;
  }
}

TEST(Phases, OneOfTwoCompressorsIsEnough) {
  RecordingBuilder log(30, 60);
  log.with("outdoor.1.compressor.1.compressor_frequency [Hz]", 0)
      .with("outdoor.1.compressor.2.compressor_frequency [Hz]", Signal(0).from(10, 40))
      .with("outdoor.1.mode", mode("heating"));
  EXPECT_EQ(story(log), "off 0..10, starting 10..20, heating 20..60");
}

// --- two modules
// ----------------------------------------------------------------------------------

RecordingBuilder two_modules(double minutes) {
  RecordingBuilder out = flagged(minutes);
  out.with("outdoor.2.compressor_frequency [Hz]", 55)
      .with("outdoor.2.mode", mode("heating"))
      .with("outdoor.2.defrost", 0);
  return out;
}

TEST(Phases, TwoModulesDefrostByTurns) {
  RecordingBuilder log = two_modules(120);
  log.with("outdoor.1.defrost", Signal(0).during(20, 26, 1))
      .with("outdoor.2.defrost", Signal(0).during(80, 85, 1));
  const Phases phases = phases_of(log);
  EXPECT_EQ(story(phases.modules[0]),
            "heating 0..20, defrost 20..26, recovering 26..36, heating 36..120");
  EXPECT_EQ(story(phases.modules[1]),
            "heating 0..80, defrost 80..85, recovering 85..95, heating 95..120");
  EXPECT_EQ(story(phases.system),
            "heating 0..20, defrost 20..26, recovering 26..36, heating 36..80, defrost 80..85, "
            "recovering 85..95, heating 95..120");
  ASSERT_EQ(phases.defrosts.size(), 2U);
  EXPECT_EQ(phases.defrosts[0].place.text, "outdoor.1");
  EXPECT_EQ(phases.defrosts[1].place.text, "outdoor.2");
  EXPECT_FALSE(phases.defrosts[1].since_last) << "the other module's defrost does not count";
}

TEST(Phases, OneModuleOffTheOtherHeats) {
  RecordingBuilder log = two_modules(60);
  log.with("outdoor.2.compressor_frequency [Hz]", 0);
  EXPECT_EQ(story(log), "heating 0..60");
}

TEST(Phases, OneModuleStartsBesideTheOther) {
  RecordingBuilder log = two_modules(60);
  log.with("outdoor.2.compressor_frequency [Hz]", Signal(0).from(20, 50));
  const Phases phases = phases_of(log);
  EXPECT_EQ(story(phases.system), "heating 0..60");
  EXPECT_EQ(story(phases.modules[1]), "off 0..20, starting 20..30, heating 30..60");
}

TEST(Phases, AModuleThatThawsWhileTheOtherHeatsOn) {
  // No flags; the indoor coils stay hot by the other module.
  RecordingBuilder log = unflagged(90);
  log.with("outdoor.2.compressor_frequency [Hz]", 55)
      .with("outdoor.2.coil_temperature [degC]",
            Signal(-13).during(40, 46, ramp({{40, -5}, {43, 0}, {46, 12}})));
  const Phases phases = phases_of(log);
  EXPECT_EQ(story(phases.modules[0]), "heating 0..90");
  ASSERT_EQ(phases.defrosts.size(), 1U);
  EXPECT_EQ(phases.defrosts[0].place.text, "outdoor.2");
  EXPECT_NEAR(seconds_between(phases.defrosts[0].start, phases.defrosts[0].end) / 60.0, 6.0, 2.0);
}

TEST(Phases, GapsOfTheSystem) {
  RecordingBuilder log = two_modules(60);
  log.gap(20, 25).gap(40, 50);
  EXPECT_EQ(story(log),
            "heating 0..20, unknown 20..25, heating 25..40, unknown 40..50, heating 50..60");
}

TEST(Phases, TimelineOfAPlace) {
  const Phases phases = phases_of(two_modules(60));
  EXPECT_EQ(phases.timeline_of(*parse_place("outdoor.2")).place.text, "outdoor.2");
  EXPECT_EQ(phases.timeline_of(*parse_place("outdoor.2.compressor.1")).place.text, "outdoor.2");
  EXPECT_EQ(phases.timeline_of(*parse_place("indoor.4")).place.text, "system");
}

// --- the list of defrosts
// -------------------------------------------------------------------------

TEST(Defrosts, WhatTheCoilDidAroundIt) {
  RecordingBuilder log = flagged(180);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1).during(100, 105, 1))
      .with("site.outdoor_temperature [degC]", ramp({{0, -5}, {180, -8}}))
      .with("outdoor.1.coil_temperature [degC]",
            Signal(-16).during(30, 36, ramp({{30, -6}, {36, 12}})).during(36, 100, -13));
  const Phases phases = phases_of(log);
  ASSERT_EQ(phases.defrosts.size(), 2U);
  const Defrost& d = phases.defrosts[0];
  EXPECT_EQ(d.start, minute(30));
  EXPECT_EQ(d.end, minute(36));
  EXPECT_FALSE(d.since_last);
  EXPECT_NEAR(d.coil_before, 273.15 - 16, 1e-3);
  EXPECT_NEAR(d.coil_peak, 273.15 + 10.5, 1e-3) << "the last reading of the ramp";
  EXPECT_NEAR(d.coil_after, 273.15 - 13, 1e-3);
  EXPECT_NEAR(d.outdoor_before, 273.15 - 5.46, 0.05);
  EXPECT_NEAR(d.outdoor_after, 273.15 - 5.85, 0.05);
  ASSERT_TRUE(phases.defrosts[1].since_last);
  EXPECT_DOUBLE_EQ(*phases.defrosts[1].since_last, 64.0 * 60.0);
}

TEST(Defrosts, NothingIsSaidOfWhatTheLogLacks) {
  RecordingBuilder log = flagged(60);
  log.with("outdoor.1.defrost", Signal(0).during(30, 36, 1));
  const Defrost d = phases_of(log).defrosts.at(0);
  EXPECT_TRUE(std::isnan(d.coil_before));
  EXPECT_TRUE(std::isnan(d.coil_peak));
  EXPECT_TRUE(std::isnan(d.outdoor_after));
}

// --- property
// -------------------------------------------------------------------------------------

/// Phases must tile the span, and say of every sample what kind_at says.
void expect_tiles(const Timeline& timeline, const std::vector<Instant>& time) {
  ASSERT_FALSE(timeline.phases.empty());
  ASSERT_EQ(timeline.kind_at.size(), time.size());
  EXPECT_EQ(timeline.phases.front().start, time.front());
  EXPECT_EQ(timeline.phases.back().end, time.back());
  std::size_t i = 0;
  for (std::size_t k = 0; k < timeline.phases.size(); ++k) {
    const Phase& phase = timeline.phases[k];
    ASSERT_LE(phase.start, phase.end);
    if (k > 0) {
      ASSERT_EQ(phase.start, timeline.phases[k - 1].end);
    }
    EXPECT_FALSE(phase.why.empty());
    if (phase.why == "no readings") {
      EXPECT_EQ(phase.kind, PhaseKind::unknown);
      ASSERT_LT(i, time.size());
      EXPECT_EQ(time[i], phase.end) << "a gap has no samples inside";
      continue;
    }
    EXPECT_EQ(time[i], phase.start);
    const bool closed =
        k + 1 == timeline.phases.size() || timeline.phases[k + 1].why == "no readings";
    for (; i < time.size() && (time[i] < phase.end || (closed && time[i] == phase.end)); ++i) {
      ASSERT_EQ(timeline.kind_at[i], phase.kind) << "sample " << i;
    }
  }
  EXPECT_EQ(i, time.size()) << "every sample lies in a phase";
}

TEST(PhasesProperty, TileTheSpanAndAgreeWithKindAt) {
  for (std::uint32_t seed = 1; seed <= 300; ++seed) {
    std::mt19937 random(seed);
    // A signal that jumps between some values every few minutes, sometimes missing.
    const auto jumpy = [&](std::vector<double> values) {
      std::vector<double> at;
      for (int block = 0; block < 60; ++block) {
        const std::size_t pick = random() % (values.size() + 1);
        at.push_back(pick == values.size() ? nothing : values[pick]);
      }
      const double length = 1.0 + static_cast<double>(random() % 12);
      return Signal([at, length](double m) {
        return at[static_cast<std::size_t>(m / length + 1e-9) % at.size()];
      });
    };
    RecordingBuilder log(30, 180);
    for (const std::string module : {"outdoor.1", "outdoor.2"}) {
      if (random() % 4 != 0) log.with(module + ".compressor_frequency [Hz]", jumpy({0, 40, 60}));
      if (random() % 2 == 0) log.with(module + ".coil_temperature [degC]", jumpy({-13, 12, -4}));
      if (random() % 2 == 0) log.with(module + ".defrost", jumpy({0, 0, 0, 1}));
      if (random() % 3 == 0) log.with(module + ".mode", jumpy({0, 1, 2, 3, 4, 5, 6, 7, 8}));
      log.with(module + ".discharge_temperature [degC]", 70);
      if (random() % 4 == 0) break;
    }
    log.with("site.outdoor_temperature [degC]", jumpy({-5, -5, 10, 20}));
    if (random() % 2 == 0) log.with("indoor.1.gas_pipe_temperature [degC]", jumpy({58, 8, 22}));
    if (random() % 2 == 0) log.with("indoor.2.gas_pipe_temperature [degC]", jumpy({58, 8}));
    for (std::uint32_t k = random() % 4; k > 0; --k) {
      const double at = static_cast<double>(random() % 170);
      log.gap(at, at + 1.0 + static_cast<double>(random() % 9));
    }
    const Recording recording = log.build();
    const Phases phases = find_phases(recording, {});
    SCOPED_TRACE("seed " + std::to_string(seed));
    for (const Timeline& module : phases.modules) expect_tiles(module, recording.time);
    expect_tiles(phases.system, recording.time);
    for (const Defrost& d : phases.defrosts) EXPECT_LE(d.start, d.end);
    if (testing::Test::HasFailure()) return;
  }
}

}  // namespace
}  // namespace cw
