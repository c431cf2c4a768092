#include "fieldwork/room_limits.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cw::field {
namespace {

const RoomLimit* rule_of(const std::vector<RoomLimit>& limits, std::string_view text) {
  for (const RoomLimit& limit : limits) {
    if (limit.rule.find(text) != std::string::npos) return &limit;
  }
  return nullptr;
}

RoomFacts room_of(double volume) {
  RoomFacts room;
  room.name = "office";
  room.volume = volume;
  room.floor_area = volume / 2.7;
  return room;
}

// facts/standards.md A2: 4 x 5 x 2.7 = 54 m3: R-410A 0.42 -> 22.7 kg, institutional 11.3; R-32
// 0.307 x 0.5 -> 8.29 kg, institutional 4.14; by RCL 0.077 -> 4.16 kg.
TEST(Rooms, EffectiveDispersalVolumeCharge) {
  EXPECT_NEAR(edvc(0.42, false, 54, false), 22.7, 0.03);
  EXPECT_NEAR(edvc(0.42, false, 54, true), 11.3, 0.05);
  EXPECT_NEAR(edvc(0.307, true, 54, false), 8.29, 0.005);
  EXPECT_NEAR(edvc(0.307, true, 54, true), 4.14, 0.006);
  EXPECT_NEAR(edvc(0.077, false, 54, false), 4.16, 0.005);
}

// facts/standards.md A3: 17 kg of R-410A need 17/0.42 = 40.5 m3.
TEST(Rooms, SmallestRoom) {
  const auto limits = judge_room(room_of(30), "R-410A", Kilogram{17}, Metre{0}, Pascal{101325});
  ASSERT_TRUE(limits.has_value());
  const RoomLimit* ashrae = rule_of(*limits, "EDVC");
  EXPECT_EQ(ashrae->verdict, RoomVerdict::over);
  EXPECT_NE(ashrae->measures.at(0).find("40.5 m3"), std::string::npos) << ashrae->measures.at(0);
}

// facts/standards.md A4: practical limit 0.44 x 16 x 2.7 = 19.0 kg. R-134a 90 kg/300 m3 = 0.30: one
// measure. R-410A 14 kg/30 m3 = 0.467: two measures; 12 kg: none.
TEST(Rooms, PracticalAndQuantityLimits) {
  const auto limit = [](double volume, const char* refrigerant, double charge,
                        std::string_view rule) {
    const auto all =
        judge_room(room_of(volume), refrigerant, Kilogram{charge}, Metre{0}, Pascal{101325});
    return *rule_of(*all, rule);
  };
  EXPECT_NEAR(limit(16 * 2.7, "R-410A", 10, "practical").limit, 19.0, 0.05);
  EXPECT_EQ(limit(300, "R-134a", 90, "QLMV").measures_needed, 1);
  EXPECT_EQ(limit(30, "R-410A", 14, "QLMV").measures_needed, 2);
  EXPECT_EQ(limit(30, "R-410A", 12, "QLMV").measures_needed, 0);
  EXPECT_EQ(limit(30, "R-410A", 12, "QLMV").verdict, RoomVerdict::within);
}

// facts/standards.md A4: the integration gives R-134a 0.281, R-32 0.063, R-744 0.074.
TEST(Rooms, QuantityLimitByIntegration) {
  EXPECT_NEAR(quantity_limit(0.21, 0.10203).value_or(0), 0.281, 0.002);
  EXPECT_NEAR(quantity_limit(0.061, 0.052024).value_or(0), 0.063, 0.001);
  EXPECT_NEAR(quantity_limit(0.072, 0.04401).value_or(0), 0.074, 0.001);
}

// facts/standards.md A4: R-32: 10/0.061 = 164 m3/h.
TEST(Rooms, Ventilation) {
  EXPECT_NEAR(ventilation_bound(0.061) * 3600, 164, 0.1);
  const double q = ventilation_needed(0.061, 8, 54) * 3600;
  EXPECT_GT(q, 0.0);
  EXPECT_LT(q, 164);
  EXPECT_NEAR(q * 0.061 / 10, 1 - std::exp(-q * 8 / (10 * 54)), 1e-6);  // the stated condition
  EXPECT_EQ(ventilation_needed(0.061, 3, 54), 0.0);
}

// facts/standards.md A5: R-32, 75 m2, 2.2 m: the law prints 10.85, exact 10.88 kg; 1.84 kg at 0.6 m
// -> 28.8 m2.
TEST(Rooms, MildlyFlammableByFloorArea) {
  EXPECT_NEAR(a2l_charge(0.307, 2.2, 75), 10.88, 0.005);
  EXPECT_NEAR(a2l_area(0.307, 0.6, 1.84), 28.8, 0.05);
  EXPECT_EQ(release_height(Mounting::ceiling), 2.2);
}

// facts/standards.md A6: the oxygen limit of R-410A falls with altitude.
TEST(Rooms, AltitudeLowersTheLimit) {
  EXPECT_DOUBLE_EQ(altitude_factor(140000, Metre{0}, Pascal{101325}), 1.0);
  EXPECT_NEAR(altitude_factor(140000, Metre{1400}, Pascal{101325}), 0.8, 1e-9);
  EXPECT_NEAR(altitude_factor(140000, Metre{1600}, Pascal{83520}), 0.8243 * 0.4936, 1e-3);
  EXPECT_NEAR(altitude_factor(36000, Metre{1600}, Pascal{83520}), 0.8243, 1e-3);
}

TEST(Rooms, NothingIsJudgedOnAVolumeThatNobodyMeasured) {
  RoomFacts room = room_of(54);
  room.volume_assumed = true;
  for (const char* refrigerant : {"R-410A", "R-32"}) {
    const auto limits = judge_room(room, refrigerant, Kilogram{5}, Metre{0}, Pascal{101325});
    ASSERT_TRUE(limits.has_value());
    for (const RoomLimit& limit : *limits) {
      EXPECT_EQ(limit.verdict, RoomVerdict::needs_data) << limit.rule;
    }
  }
  EXPECT_FALSE(judge_room(room, "R-999", Kilogram{5}, Metre{0}, Pascal{101325}).has_value());
}

TEST(Rooms, ConnectedSpaceAndMountingCount) {
  RoomFacts room = room_of(20);
  room.connected = 34;
  const auto limits = judge_room(room, "R-32", Kilogram{8}, Metre{0}, Pascal{101325});
  EXPECT_NEAR(rule_of(*limits, "EDVC")->limit, 8.29, 0.005);
  EXPECT_EQ(rule_of(*limits, "60335")->verdict, RoomVerdict::needs_data);
  room.mounting = Mounting::wall;
  const auto mounted = judge_room(room, "R-32", Kilogram{8}, Metre{0}, Pascal{101325});
  EXPECT_EQ(rule_of(*mounted, "60335")->verdict, RoomVerdict::over);
}

}  // namespace
}  // namespace cw::field
