#pragma once

#include <gtest/gtest.h>

#include <string>

#include "base/units.h"
#include "system/sheet.h"
#include "twin/twin.h"

/// A machine with orders and faults for tests, and its steady state.
namespace cw::twin::test {

inline System system_named(const std::string& name) {
  auto system = read_system(std::string(CW_SOURCE_ROOT) + "/data/systems/" + name + ".toml");
  EXPECT_TRUE(system.has_value());
  return *system;
}

/// The demo office with 28 kg, all units calling unless told otherwise.
struct Case {
  Model model;
  Orders orders;
  Faults faults;
  double room_K = 293.15;
  double charge_kg = 28.0;

  explicit Case(Plant plant, const std::string& sheet = "demo_office", Parameters parameters = {})
      : model(make_model(system_named(sheet), parameters).value()) {
    orders.plant = plant;
    orders.units.resize(model.system().indoor().size());
    for (UnitOrder& u : orders.units) {
      u.on = true;
      u.call = true;
      u.cooling = plant == Plant::cooling;
      u.set_point_K = plant == Plant::cooling ? 294.15 : 296.15;
    }
    faults.modules.resize(model.system().outdoor().size());
    faults.units.resize(model.system().indoor().size());
    if (plant == Plant::cooling) room_K = 298.15;
  }
  void only_each(std::size_t third) {
    for (std::size_t i = 0; i < orders.units.size(); ++i) {
      const bool calls = i % third == 0;
      orders.units[i].on = calls;
      orders.units[i].call = calls;
    }
  }
};

inline Weather at(double t_degC, double humidity = 0.8) {
  return {zero_celsius + t_degC, humidity};
}

/// Everything of a steady state that the tests ask for.
struct Found {
  Readings readings;
  Insight insight;
  Inventory inventory;
};

inline Found steady(const Case& c, const Weather& weather) {
  auto state = state_at_rest(c.model, weather, c.room_K, c.charge_kg);
  EXPECT_TRUE(state.has_value());
  auto solved = solve_steady(c.model, *state, weather, c.orders, c.faults, c.room_K, c.charge_kg);
  EXPECT_TRUE(solved.has_value()) << (solved ? "" : solved.error().text());
  Found f;
  read(c.model, *state, c.faults, f.readings);
  look_inside(c.model, *state, f.insight);
  take_stock(c.model, *state, f.inventory);
  return f;
}

inline double accumulators(const Found& f) {
  double sum = 0.0;
  for (const auto& m : f.inventory.modules) sum += m.accumulator;
  return sum;
}
inline double discharge(const Found& f) { return f.readings.modules[0].discharge_temperature; }

}  // namespace cw::twin::test
