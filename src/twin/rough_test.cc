#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "system/sheet.h"
#include "twin/machine_case.h"

/// Machines and days at the edge of what there is: they run through, and go the way that physics
/// has it.
namespace cw::twin {
namespace {

using namespace test;

Model model_of(const std::string& sheet) {
  const System system = parse_system(sheet, "rough.toml").value();
  return make_model(system, parameters_of(system).value()).value();
}

std::string head(const char* refrigerant, const char* site = "") {
  return "refrigerant = \"" + std::string(refrigerant) + "\"\n" + site;
}

/// What they showed.
struct Hours {
  int stops = 0;        ///< although units call
  int late_starts = 0;  ///< in the last hour
  double highest_Pa = 0.0, lowest_Pa = 1e9, hottest_K = 0.0;
  double last_low_Pa = 0.0, charge_kg = 0.0;
  double heat_W = 0.0;  ///< to the rooms, mean of the second half
  double power_W = 0.0;
  double running = 0.0;                                    ///< share of the time
  double superheat_1 = 0.0, level_1 = 0.0, level_2 = 0.0;  ///< means of the second half
  double discharge_1_K = 0.0, discharge_2_K = 0.0;
};

/// All units call, rooms with a load that they hardly meet. Books are asked for in each.
Hours run(const Model& model, Plant plant, const Weather& weather, const Faults& faults,
          double hours, double charge_share = 1.0) {
  Orders orders;
  orders.plant = plant;
  orders.units.resize(model.system().indoor().size());
  const bool cold = plant == Plant::cooling;
  for (std::size_t i = 0; i < orders.units.size(); ++i) {
    const IndoorUnit& unit = model.system().indoor()[i];
    orders.units[i] = {true, cold ? 290.15 : 303.15, cold ? 0.6 * unit.cooling_W : 0.0, true, cold};
  }
  const double charge = charge_share * model.system().charge().total_kg();
  State state = state_at_rest(model, weather, cold ? 299.15 : 292.15, charge).value();
  Hours out;
  Readings r;
  Insight inside;
  Activity before = Activity::off;
  double looks = 0.0;
  double half = 0.0;
  for (double time = 0.0; time < hours * 3600.0; time += 10.0) {
    const auto went = advance(model, state, weather, orders, faults, 10.0);
    EXPECT_TRUE(went.has_value()) << (went ? "" : went.error().text());
    if (!went) return out;
    read(model, state, faults, r);
    look_inside(model, state, inside);
    const bool on = r.activity != Activity::off;
    out.stops += !on && before != Activity::off ? 1 : 0;
    const bool late = time >= (hours - 1.0) * 3600.0;
    out.late_starts += late && on && before == Activity::off ? 1 : 0;
    before = r.activity;
    looks += 1.0;
    out.running += on ? 1.0 : 0.0;
    for (const ModuleReadings& m : r.modules) {
      EXPECT_TRUE(std::isfinite(m.discharge_pressure + m.suction_pressure + m.power));
      out.highest_Pa = std::max(out.highest_Pa, m.discharge_pressure);
      out.lowest_Pa = std::min(out.lowest_Pa, m.suction_pressure);
      out.hottest_K = std::max(out.hottest_K, m.discharge_temperature);
    }
    if (time < 0.5 * hours * 3600.0) continue;
    half += 1.0;
    out.heat_W += inside.heat_to_rooms_W;
    out.power_W += inside.power_W;
    out.level_1 += inside.modules.front().accumulator_level;
    out.level_2 += inside.modules.back().accumulator_level;
    out.discharge_1_K += r.modules.front().discharge_temperature;
    out.discharge_2_K += r.modules.back().discharge_temperature;
  }
  for (double* mean : {&out.heat_W, &out.power_W, &out.level_1, &out.level_2, &out.discharge_1_K,
                       &out.discharge_2_K}) {
    *mean /= half;
  }
  out.running /= looks;
  out.last_low_Pa = r.modules.front().suction_pressure;
  Inventory stock;
  take_stock(model, state, stock);
  out.charge_kg = stock.total;
  const Conservation kept = conservation_of(model, state);
  EXPECT_LT(std::abs(kept.mass_relative), 1e-6);
  EXPECT_LT(std::abs(kept.energy_relative), 1e-3);
  std::printf(
      "stops %d running %.0f %% high %.2f low %.3f MPa discharge %.0f degC heat %.1f kW power %.1f "
      "kW charge %.2f kg level %.2f %.2f\n",
      out.stops, 100.0 * out.running, 1e-6 * out.highest_Pa, 1e-6 * out.lowest_Pa,
      out.hottest_K - zero_celsius, 1e-3 * out.heat_W, 1e-3 * out.power_W, out.charge_kg,
      out.level_1, out.level_2);
  return out;
}

/// Modules of 40 and 45 kW, 1.3 times as much connected.
const Model& unequal() {
  static const Model model =
      model_of(head("R-410A") +
               "[[outdoor]]\ncooling = \"40 kW\"\n[[outdoor]]\ncooling = \"45 kW\"\n"
               "[[indoor]]\ncount = 16\ncooling = \"6.9 kW\"\n[piping]\nmain = \"40 m\"\nbranch = "
               "\"10 m\"\n");
  return model;
}

// From the equations alone: colder air gives less heat for each watt.
TEST(TwinRough, UnequalModulesWithMoreConnectedThanTheyHave) {
  const Hours cold = run(unequal(), Plant::heating, at(-10.0), {}, 3.0);
  const Hours mild = run(unequal(), Plant::heating, at(2.0, 0.7), {}, 3.0);
  for (const Hours& r : {cold, mild}) EXPECT_GT(r.running, 0.8);
  EXPECT_GT(mild.heat_W, cold.heat_W);
  EXPECT_GT(mild.heat_W / mild.power_W, cold.heat_W / cold.power_W);
}

// A valve too far open lets liquid through: its own module runs wet, the other is left short.
TEST(TwinRough, AnOutdoorValveStuckAtHalfFloodsItsOwnModule) {
  Faults faults;
  faults.modules.resize(2);
  const Hours sound = run(unequal(), Plant::heating, at(-4.0), {}, 3.0);
  for (const double opening : {0.48, 0.60}) {
    faults.modules[0].valve_stuck = opening;
    const Hours stuck = run(unequal(), Plant::heating, at(-4.0), faults, 3.0);
    EXPECT_GT(stuck.level_1, sound.level_1) << opening;
    EXPECT_LT(stuck.discharge_1_K, stuck.discharge_2_K) << opening;
    EXPECT_LT(stuck.heat_W, sound.heat_W) << opening;
  }
}

// From the equations alone: hotter air condenses higher, costs power and takes cooling away.
TEST(TwinRough, CoolingInAirOf43Degrees) {
  const Model model = model_of(
      head("R-410A") +
      "[[outdoor]]\ncount = 3\ncooling = \"28 kW\"\n[[indoor]]\ncount = 32\ncooling = \"2.6 kW\"\n"
      "[piping]\nmain = \"40 m\"\nbranch = \"10 m\"\n");
  const Hours mild = run(model, Plant::cooling, at(30.0, 0.4), {}, 2.0);
  const Hours hot = run(model, Plant::cooling, at(43.0, 0.3), {}, 2.0);
  EXPECT_EQ(hot.stops, 0);
  EXPECT_GT(hot.highest_Pa, mild.highest_Pa);
  EXPECT_LT(-hot.heat_W / hot.power_W, -mild.heat_W / mild.power_W);
  EXPECT_LT(hot.highest_Pa, model.parameters().controls.high_pressure_trip_Pa);
}

// From the equations alone: thin air carries less heat at the same volume, so that the outdoor coil
// stands further from it.
TEST(TwinRough, At2500MetresTheAirIsThin) {
  const std::string machine =
      "[[outdoor]]\ncount = 2\ncooling = \"28 kW\"\n[[indoor]]\ncount = 10\ncooling = \"5.6 kW\"\n"
      "[piping]\nmain = \"30 m\"\nbranch = \"10 m\"\n";
  const Model low = model_of(head("R-410A") + machine);
  const Model high = model_of(head("R-410A", "[site]\naltitude = \"2500 m\"\n") + machine);
  const Hours summer = run(low, Plant::cooling, at(33.0, 0.4), {}, 2.0);
  const Hours summer_high = run(high, Plant::cooling, at(33.0, 0.4), {}, 2.0);
  EXPECT_EQ(summer_high.stops, 0);
  EXPECT_LT(-summer_high.heat_W, -summer.heat_W);
  const Hours winter = run(low, Plant::heating, at(0.0), {}, 2.0);
  const Hours winter_high = run(high, Plant::heating, at(0.0), {}, 2.0);
  EXPECT_GT(winter_high.running, 0.8);
  EXPECT_LT(winter_high.heat_W / winter_high.power_W, winter.heat_W / winter.power_W);
}

// From the equations alone: friction of long pipes takes suction pressure, and with it cooling.
TEST(TwinRough, LongPipesWithAnotherRefrigerant) {
  const auto with = [](const char* main, const char* branch) {
    return model_of(
        head("R-454B") +
        "[[outdoor]]\ncount = 2\ncooling = \"28 kW\"\n[[indoor]]\ncount = 10\ncooling = "
        "\"5.6 kW\"\n[piping]\nmain = \"" +
        main + "\"\nbranch = \"" + branch + "\"\n");
  };
  const Model near = with("20 m", "8 m");
  const Model far = with("120 m", "40 m");
  const Hours cooling = run(near, Plant::cooling, at(33.0, 0.4), {}, 2.0);
  const Hours cooling_far = run(far, Plant::cooling, at(33.0, 0.4), {}, 2.0);
  EXPECT_LE(cooling_far.stops, 1);
  EXPECT_LT(-cooling_far.heat_W / cooling_far.power_W, -cooling.heat_W / cooling.power_W);
  const Hours heating_far = run(far, Plant::heating, at(2.0), {}, 2.0);
  EXPECT_GT(heating_far.running, 0.8);
}

// common practice, no source: a machine that has lost its charge stops by low pressure or hot
// discharge, and in the end its low-pressure switch stays open and does not let it start.
TEST(TwinRough, ALeakToEmptyEndsInStopsAndNotInALoop) {
  const Model model = model_of(
      head("R-410A") +
      "[[outdoor]]\ncount = 2\ncooling = \"28 kW\"\n[[indoor]]\ncount = 10\ncooling = \"5.6 kW\"\n"
      "[piping]\nmain = \"30 m\"\nbranch = \"10 m\"\n");
  Faults faults;
  faults.leak_kg_per_s = 6.0 / 3600.0;
  for (const Plant plant : {Plant::heating, Plant::cooling}) {
    const bool cold = plant == Plant::cooling;
    const double hours = 8.0;
    const Hours r = run(model, plant, cold ? at(33.0, 0.4) : at(0.0), faults, hours);
    EXPECT_GT(r.stops, 0);
    EXPECT_LT(r.charge_kg, 0.15 * model.system().charge().total_kg());
    EXPECT_GE(r.charge_kg, 0.0);
    EXPECT_EQ(r.late_starts, 0);
    EXPECT_LT(std::abs(r.heat_W), 0.5 * 56e3);
  }
}

}  // namespace
}  // namespace cw::twin
