#include "derive/cycle.h"

#include <gtest/gtest.h>

#include <cmath>

#include "derive/derive.h"
#include "fluid/saturation.h"

namespace cw {
namespace {

Recording recording_of(const std::vector<std::pair<std::string, double>>& channels) {
  Recording out;
  for (int i = 0; i < 5; ++i) out.time.push_back({i * 30000});
  for (const auto& [name, value] : channels) {
    Channel channel;
    channel.place = parse_place(name.substr(0, name.rfind('.'))).value();
    channel.quantity = find_quantity(name.substr(name.rfind('.') + 1));
    channel.values.assign(5, static_cast<float>(value));
    measure_interval(out, channel);
    out.channels.push_back(std::move(channel));
  }
  return out;
}

const fluid::Refrigerant& r410a() { return *fluid::find_refrigerant("R-410A").value(); }

const CyclePoint* point(const Cycle& cycle, std::string_view key) {
  for (const CyclePoint& p : cycle.points) {
    if (p.key == key) return &p;
  }
  return nullptr;
}

Recording full() {
  Recording out = recording_of({{"outdoor.1.discharge_pressure", 2.9e6},
                                {"outdoor.1.suction_pressure", 0.70e6},
                                {"outdoor.1.discharge_temperature", 348.15},
                                {"outdoor.1.suction_temperature", 275.15},
                                {"outdoor.1.liquid_temperature", 310.15}});
  DeriveNotes notes;
  derive_channels(out, r410a(), notes);
  return out;
}

TEST(Cycle, CornersStandWhereTheReadingsPutThem) {
  const Recording recording = full();
  const std::vector<Cycle> cycles = cycles_at(recording, r410a(), recording.time[3]);
  ASSERT_EQ(cycles.size(), 1U);
  const Cycle& cycle = cycles.front();
  EXPECT_EQ(cycle.place.text, "outdoor.1");
  ASSERT_NE(point(cycle, "suction"), nullptr);
  ASSERT_NE(point(cycle, "discharge"), nullptr);
  ASSERT_NE(point(cycle, "liquid"), nullptr);
  ASSERT_NE(point(cycle, "evaporator_inlet"), nullptr);
  // Float32 columns hold 7 digits.
  EXPECT_NEAR(point(cycle, "suction")->p, 0.70e6, 1.0);
  EXPECT_NEAR(point(cycle, "discharge")->T, 348.15, 1e-4);
  EXPECT_NEAR(point(cycle, "liquid")->T, 310.15, 1e-4);
  // The valve: enthalpy stays, and part of the liquid flashes.
  EXPECT_DOUBLE_EQ(point(cycle, "evaporator_inlet")->h, point(cycle, "liquid")->h);
  EXPECT_EQ(point(cycle, "evaporator_inlet")->state, "two-phase");
  // Compression of gas takes work.
  EXPECT_GT(point(cycle, "discharge")->h, point(cycle, "suction")->h);
  for (const CyclePoint& p : cycle.points) EXPECT_FALSE(p.assumed) << p.key;
  EXPECT_TRUE(cycle.notes.empty());
}

TEST(Cycle, SuperheatAndSubcoolingAreTheDistancesInTheChart) {
  const Recording recording = full();
  const Cycle cycle = cycles_at(recording, r410a(), recording.time[2]).front();
  EXPECT_NEAR(*cycle.suction_superheat,
              point(cycle, "suction")->T - point(cycle, "evaporator_dew")->T, 1e-3);
  EXPECT_NEAR(*cycle.subcooling, point(cycle, "condenser_bubble")->T - point(cycle, "liquid")->T,
              1e-3);
  EXPECT_NEAR(*cycle.discharge_superheat,
              point(cycle, "discharge")->T - point(cycle, "condenser_dew")->T, 1e-3);
}

TEST(Cycle, WhatIsNotReadIsAssumedAndSaid) {
  const Recording recording = recording_of(
      {{"outdoor.1.discharge_pressure", 2.9e6}, {"outdoor.1.suction_pressure", 0.70e6}});
  const Cycle cycle = cycles_at(recording, r410a(), recording.time[2]).front();
  EXPECT_TRUE(point(cycle, "suction")->assumed);
  EXPECT_TRUE(point(cycle, "discharge")->assumed);
  EXPECT_TRUE(point(cycle, "liquid")->assumed);
  EXPECT_TRUE(point(cycle, "evaporator_inlet")->assumed);
  EXPECT_EQ(cycle.notes.size(), 3U);
  EXPECT_FALSE(cycle.subcooling.has_value());
}

TEST(Cycle, WetGasIsDrawnOnTheDewLine) {
  Recording recording = recording_of({{"outdoor.1.suction_pressure", 0.70e6}});
  const double dew = fluid::dew_temperature_or_nan(r410a(), 0.70e6);
  Recording wet = recording_of(
      {{"outdoor.1.suction_pressure", 0.70e6}, {"outdoor.1.suction_temperature", dew - 0.5}});
  const Cycle cycle = cycles_at(wet, r410a(), wet.time[2]).front();
  EXPECT_TRUE(point(cycle, "suction")->assumed);
  EXPECT_NEAR(point(cycle, "suction")->T, dew, 1e-3);
  EXPECT_EQ(point(cycle, "discharge"), nullptr) << "nothing is known of the high side";
}

TEST(Cycle, NothingIsDrawnWhereTheLogHasAGap) {
  const Recording recording = full();
  const Instant later{recording.time.back().ms + 10 * 60000};
  const Cycle cycle = cycles_at(recording, r410a(), later).front();
  EXPECT_TRUE(cycle.points.empty());
  EXPECT_EQ(cycle.notes.size(), 2U);
  const Instant before{recording.time.front().ms - 1};
  EXPECT_TRUE(cycles_at(recording, r410a(), before).front().points.empty());
}

}  // namespace
}  // namespace cw
