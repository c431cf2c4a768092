#include "twin/twin.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "twin/detail/state_data.h"
#include "twin/machine_case.h"

namespace cw::twin {
namespace {

using namespace test;

TEST(Twin, KeepsMassAndEnergyOverADay) {
  Case c(Plant::heating, "minimal");
  for (UnitOrder& u : c.orders.units) u.call.reset();
  c.charge_kg = c.model.system().charge().total_kg();
  const Weather weather = at(0.0, 0.95);
  auto state = state_at_rest(c.model, weather, c.room_K, c.charge_kg);
  ASSERT_TRUE(state.has_value()) << state.error().text();
  bool ran = false;
  bool defrosted = false;
  Readings r;
  for (int minute = 0; minute < 24 * 60; ++minute) {
    // The night is set back, so that the machine stops and starts as well.
    for (UnitOrder& u : c.orders.units) u.set_point_K = minute < 480 ? 292.15 : 300.15;
    auto done = advance(c.model, *state, weather, c.orders, c.faults, 60.0);
    ASSERT_TRUE(done.has_value()) << done.error().text();
    read(c.model, *state, c.faults, r);
    ran = ran || r.activity == Activity::running;
    defrosted = defrosted || r.activity == Activity::defrosting;
  }
  EXPECT_TRUE(ran);
  EXPECT_TRUE(defrosted);
  const Conservation kept = conservation_of(c.model, *state);
  EXPECT_LT(std::abs(kept.mass_relative), 1e-6);
  EXPECT_LT(std::abs(kept.energy_relative), 1e-3);
}

TEST(Twin, HalfTheStepGivesTheSamePressures) {
  Readings whole;
  Readings half;
  for (const double factor : {1.0, 0.5}) {
    Parameters p;
    p.step_factor = factor;
    Case c(Plant::heating, "demo_office", p);
    auto state = state_at_rest(c.model, at(5.0), c.room_K, c.charge_kg).value();
    ASSERT_TRUE(advance(c.model, state, at(5.0), c.orders, c.faults, 3600.0).has_value());
    read(c.model, state, c.faults, factor < 1.0 ? half : whole);
  }
  for (std::size_t j = 0; j < whole.modules.size(); ++j) {
    const auto& a = whole.modules[j];
    const auto& b = half.modules[j];
    EXPECT_NEAR(a.discharge_pressure / b.discharge_pressure, 1.0, 2e-3);
    EXPECT_NEAR(a.suction_pressure / b.suction_pressure, 1.0, 2e-3);
  }
}

/// Neither a start into cold rooms on a cold night nor units that stop calling all at once drive a
/// machine in order to its trips: both did before the controls looked ahead.
TEST(Twin, ColdStartsAndSuddenPartLoadDoNotTripIt) {
  Case c(Plant::heating);
  c.room_K = 284.15;
  const Weather weather = at(-14.0, 0.85);
  auto state = state_at_rest(c.model, weather, c.room_K, c.charge_kg).value();
  Readings r;
  bool started = false;
  double hottest = 0.0;
  for (int minute = 0; minute < 150; ++minute) {
    if (minute == 120) c.only_each(5);
    ASSERT_TRUE(advance(c.model, state, weather, c.orders, c.faults, 60.0).has_value());
    read(c.model, state, c.faults, r);
    started = started || r.activity != Activity::off;
    EXPECT_FALSE(started && r.activity == Activity::off) << minute;
    hottest = std::max(hottest, r.modules[0].discharge_temperature);
  }
  EXPECT_LT(hottest, c.model.parameters().controls.discharge_trip_K);
}

/// A steady state is where the dynamic equations stand still, the rooms held, without frost.
TEST(Twin, ASteadyStateStaysWhereItIs) {
  for (const Plant plant : {Plant::heating, Plant::cooling}) {
    Case c(plant);
    const Weather weather = plant == Plant::heating ? at(12.0, 0.5) : at(30.0, 0.5);
    auto state = state_at_rest(c.model, weather, c.room_K, c.charge_kg).value();
    ASSERT_TRUE(solve_steady(c.model, state, weather, c.orders, c.faults, c.room_K, c.charge_kg)
                    .has_value());
    Readings before;
    Readings after;
    read(c.model, state, c.faults, before);
    // In ten seconds already a room would move by 0.1 K and the speed by 2 %.
    for (int k = 0; k < 1200; ++k) {
      ASSERT_TRUE(advance(c.model, state, weather, c.orders, c.faults, 0.5).has_value());
      for (detail::RoomState& room : state.data().rooms) room = {c.room_K, c.room_K};
    }
    read(c.model, state, c.faults, after);
    const auto& a = before.modules[0];
    const auto& b = after.modules[0];
    EXPECT_NEAR(b.discharge_pressure / a.discharge_pressure, 1.0, 5e-3);
    EXPECT_NEAR(b.suction_pressure / a.suction_pressure, 1.0, 5e-3);
    EXPECT_NEAR(b.compressor_frequency / a.compressor_frequency, 1.0, 5e-3);
    EXPECT_NEAR(b.discharge_temperature, a.discharge_temperature, 1.0);
  }
}

/// The controls believe their sensor: what it shows too much, the true pressure lacks.
TEST(Twin, ABiasedSensorMovesTheSteadyStateAsItMovesTheControls) {
  const Weather weather = at(7.0);
  Case c(Plant::heating);
  const double healthy = steady(c, weather).readings.modules[0].discharge_pressure;
  constexpr double bias = 60e3;  // Pa
  c.faults.sensors.push_back({"outdoor.1.discharge_pressure", bias});
  const double seen = steady(c, weather).readings.modules[0].discharge_pressure;
  EXPECT_NEAR(seen, healthy, 2e3);
}

TEST(Twin, RefusesWhatMakesNoSense) {
  Case c(Plant::heating);
  EXPECT_FALSE(state_at_rest(c.model, at(7.0), 293.15, 900.0).has_value());
  EXPECT_FALSE(state_at_rest(c.model, at(-80.0), 293.15, 28.0).has_value());
  auto state = state_at_rest(c.model, at(7.0), 293.15, 28.0).value();
  Orders few;
  EXPECT_FALSE(advance(c.model, state, at(7.0), few, c.faults, 1.0).has_value());
  for (UnitOrder& u : c.orders.units) u.call = false;
  const auto nobody = solve_steady(c.model, state, at(7.0), c.orders, c.faults, 293.15, 28.0);
  ASSERT_FALSE(nobody.has_value());
  EXPECT_THAT(nobody.error().message, testing::HasSubstr("no indoor unit calls"));
}

}  // namespace
}  // namespace cw::twin
