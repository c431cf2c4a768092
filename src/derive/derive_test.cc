#include "derive/derive.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "fluid/saturation.h"
#include "support/recording_builder.h"

namespace cw {
namespace {

using test::RecordingBuilder;
using test::Signal;

const fluid::Refrigerant& r410a() { return **fluid::find_refrigerant("R-410A"); }

struct Derived {
  Recording recording;
  DeriveNotes notes;

  float at(std::string_view place, std::string_view quantity, std::size_t i = 0) const {
    const Channel* channel = recording.find(place, quantity);
    return channel == nullptr ? missing : channel->values[i];
  }
};

Derived derive(const RecordingBuilder& builder) {
  Derived out{builder.build(), {}};
  derive_channels(out.recording, r410a(), out.notes);
  return out;
}

/// Rows of tests/fluid/r410a_sat.csv: computed with the equation of state of Lemmon (2003), Int. J.
/// Thermophys. 24, 991; the file's head says with what. Columns: T [K], bubble and dew p [Pa].
std::vector<std::array<double, 3>> published_points() {
  std::ifstream in(std::string(CW_SOURCE_ROOT) + "/tests/fluid/r410a_sat.csv");
  std::vector<std::array<double, 3>> out;
  for (std::string line; std::getline(in, line);) {
    std::array<double, 3> row{};
    std::istringstream cells(line);
    char comma = 0;
    if (cells >> row[0] >> comma >> row[1] >> comma >> row[2]) out.push_back(row);
  }
  return out;
}

TEST(Derive, SaturationTemperaturesAtPublishedPoints) {
  const auto points = published_points();
  ASSERT_GE(points.size(), 10U);
  std::size_t used = 0;
  for (const auto& [t, p_bubble, p_dew] : points) {
    if (t > 340.0) continue;  // towards the critical point float32 pressures cost more than 0.01 K
    const Derived d = derive(RecordingBuilder(60, 1)
                                 .with("outdoor.1.discharge_pressure [Pa]", p_dew)
                                 .with("outdoor.1.suction_pressure [Pa]", p_dew)
                                 .with("outdoor.1.liquid_temperature [K]", t - 5.0));
    EXPECT_NEAR(d.at("outdoor.1", "saturated_condensing_temperature"), t, 0.01);
    EXPECT_NEAR(d.at("outdoor.1", "saturated_evaporating_temperature"), t, 0.01);
    const Derived b = derive(RecordingBuilder(60, 1)
                                 .with("outdoor.1.discharge_pressure [Pa]", p_bubble)
                                 .with("outdoor.1.liquid_temperature [K]", t - 5.0));
    EXPECT_NEAR(b.at("outdoor.1", "subcooling"), 5.0, 0.01)
        << "subcooling starts at the bubble line";
    ++used;
  }
  EXPECT_GE(used, 8U);
}

TEST(Derive, FieldPracticeOneHundredTwentyFahrenheitIs418Psig) {
  // Common practice, no source: 120 degF is "about 418 psig" for R-410A. A gauge card rounds to
  // 1 psi and 1 degF; a psi is 0.17 degF here.
  const double p = 418.0 * 6894.757293168 + 101325.0;
  const Derived d = derive(RecordingBuilder(60, 1).with("outdoor.1.discharge_pressure [Pa]", p));
  const double degF =
      static_cast<double>(d.at("outdoor.1", "saturated_condensing_temperature")) * 9.0 / 5.0 -
      459.67;
  EXPECT_NEAR(degF, 120.0, 0.5);
}

TEST(Derive, EachFormula) {
  const Derived d = derive(RecordingBuilder(60, 5)
                               .with("outdoor.1.saturated_condensing_temperature [degC]", 49)
                               .with("outdoor.1.saturated_evaporating_temperature [degC]", -14)
                               .with("outdoor.1.discharge_pressure [MPa]", 3.0)
                               .with("outdoor.1.suction_pressure [MPa]", 0.6)
                               .with("outdoor.1.discharge_temperature [degC]", 80)
                               .with("outdoor.1.shell_temperature [degC]", 16)
                               .with("outdoor.1.suction_temperature [degC]", -8)
                               .with("outdoor.1.liquid_temperature [degC]", 40));
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat"), 31.0, 1e-4);
  EXPECT_NEAR(d.at("outdoor.1", "shell_superheat"), 30.0, 1e-4);
  EXPECT_NEAR(d.at("outdoor.1", "suction_superheat"), 6.0, 1e-4);
  EXPECT_NEAR(d.at("outdoor.1", "pressure_ratio"), 5.0, 1e-5);
  const double bubble = fluid::bubble_temperature_or_nan(r410a(), 3.0e6);
  EXPECT_NEAR(d.at("outdoor.1", "subcooling"), bubble - 313.15, 1e-3);
  EXPECT_THAT(d.notes.derived, testing::UnorderedElementsAre(
                                   "outdoor.1.pressure_ratio", "outdoor.1.discharge_superheat",
                                   "outdoor.1.shell_superheat", "outdoor.1.suction_superheat",
                                   "outdoor.1.subcooling"));
  EXPECT_TRUE(d.notes.notes.empty());
  EXPECT_EQ(d.recording.find("outdoor.1", "discharge_superheat")->origin,
            "discharge temperature - saturated condensing temperature");
  EXPECT_DOUBLE_EQ(d.recording.find("outdoor.1", "discharge_superheat")->interval, 60.0);
}

TEST(Derive, SuperheatMayBeNegative) {
  const Derived d = derive(RecordingBuilder(60, 1)
                               .with("outdoor.1.saturated_condensing_temperature [degC]", 49)
                               .with("outdoor.1.discharge_temperature [degC]", 46));
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat"), -3.0, 1e-4);
}

TEST(Derive, WhatTheLogHasIsKept) {
  const Derived d = derive(RecordingBuilder(60, 1)
                               .with("outdoor.1.discharge_pressure [MPa]", 3.0)
                               .with("outdoor.1.saturated_condensing_temperature [degC]", 33)
                               .with("outdoor.1.discharge_temperature [degC]", 80)
                               .with("outdoor.1.discharge_superheat [K]", 12));
  EXPECT_NEAR(d.at("outdoor.1", "saturated_condensing_temperature"), 306.15, 1e-4);
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat"), 12.0, 1e-4);
  EXPECT_TRUE(d.notes.derived.empty());
}

TEST(Derive, NothingToWorkWith) {
  const Derived d = derive(RecordingBuilder(60, 1).with("indoor.1.set_point [degC]", 21));
  EXPECT_TRUE(d.notes.derived.empty());
  EXPECT_EQ(d.recording.channels.size(), 1U);
}

TEST(Derive, MissingInputMissingOutput) {
  const Derived d =
      derive(RecordingBuilder(60, 10)
                 .with("outdoor.1.saturated_condensing_temperature [degC]", 49)
                 .with("outdoor.1.discharge_temperature [degC]", Signal(80).missing_during(3, 5)));
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat", 2), 31.0, 1e-4);
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "discharge_superheat", 3)));
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "discharge_superheat", 4)));
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat", 5), 31.0, 1e-4);
}

TEST(Derive, DifferentStampsTakeTheLatestReadingThatIsNotTooOld) {
  // Pressure at even samples, temperature at odd ones: each 60 s.
  RecordingBuilder builder(30, 20);
  builder
      .with("outdoor.1.saturated_condensing_temperature [degC]", Signal(49).missing_during(10, 14))
      .every("outdoor.1.saturated_condensing_temperature", 2)
      .with("outdoor.1.discharge_temperature [degC]", 80)
      .every("outdoor.1.discharge_temperature", 2, 1);
  const Derived d = derive(builder);
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "discharge_superheat", 0))) << "no temperature there";
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat", 1), 31.0, 1e-4);
  // Last pressure before the hole at minute 9; 2.5 intervals later, minute 11.5, is the last use.
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat", 23), 31.0, 1e-4);  // 11.5 min
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "discharge_superheat", 25)));  // 12.5 min
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "discharge_superheat", 27)));
  EXPECT_NEAR(d.at("outdoor.1", "discharge_superheat", 29), 31.0, 1e-4);
}

TEST(Derive, OutsideTheSaturationRangeThereIsNoTemperatureAndANote) {
  const Derived d = derive(RecordingBuilder(60, 10).with(
      "outdoor.1.discharge_pressure [MPa]", Signal(3.0).during(2, 4, 5.5).during(6, 7, 0.0001)));
  EXPECT_FALSE(is_missing(d.at("outdoor.1", "saturated_condensing_temperature", 1)));
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "saturated_condensing_temperature", 2)));
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "saturated_condensing_temperature", 6)));
  ASSERT_EQ(d.notes.notes.size(), 1U);
  EXPECT_THAT(d.notes.notes[0],
              testing::HasSubstr("outdoor.1.discharge_pressure: 3 readings lie outside"));
}

TEST(Derive, OneReadingOutsideIsSingular) {
  const Derived d = derive(RecordingBuilder(60, 10).with("outdoor.1.discharge_pressure [MPa]",
                                                         Signal(3.0).during(2, 3, 5.5)));
  ASSERT_EQ(d.notes.notes.size(), 1U);
  EXPECT_THAT(d.notes.notes[0], testing::HasSubstr("1 reading lies outside"));
}

TEST(Derive, PressureRatioOfZeroSuctionIsNothing) {
  const Derived d = derive(RecordingBuilder(60, 1)
                               .with("outdoor.1.discharge_pressure [MPa]", 3.0)
                               .with("outdoor.1.suction_pressure [MPa]", 0.0));
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "pressure_ratio")));
}

TEST(Derive, ACompressorUsesItsModulesPressureAndTheSystems) {
  const Derived d = derive(RecordingBuilder(60, 1)
                               .with("outdoor.1.saturated_condensing_temperature [degC]", 49)
                               .with("outdoor.1.compressor.1.discharge_temperature [degC]", 80)
                               .with("outdoor.1.compressor.2.discharge_temperature [degC]", 70));
  EXPECT_NEAR(d.at("outdoor.1.compressor.1", "discharge_superheat"), 31.0, 1e-4);
  EXPECT_NEAR(d.at("outdoor.1.compressor.2", "discharge_superheat"), 21.0, 1e-4);
  EXPECT_TRUE(is_missing(d.at("outdoor.1", "discharge_superheat")));
  const Derived s = derive(RecordingBuilder(60, 1)
                               .with("system.saturated_condensing_temperature [degC]", 50)
                               .with("outdoor.2.discharge_temperature [degC]", 80));
  EXPECT_NEAR(s.at("outdoor.2", "discharge_superheat"), 30.0, 1e-4);
}

TEST(Derive, TwoModulesDoNotMix) {
  const Derived d = derive(RecordingBuilder(60, 1)
                               .with("outdoor.1.saturated_condensing_temperature [degC]", 49)
                               .with("outdoor.2.discharge_temperature [degC]", 80));
  EXPECT_TRUE(d.notes.derived.empty());
}

}  // namespace
}  // namespace cw
