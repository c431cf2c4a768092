#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "twin/machine_case.h"

/// Defrosts of machines with several modules.
namespace cw::twin {
namespace {

using namespace test;

/// Modules of 56 kW together on three lines.
System three_lines(const std::string& control, int modules = 2) {
  std::string sheet = "refrigerant = \"R-410A\"\n";
  for (int j = 0; j < modules; ++j) {
    sheet += "[[outdoor]]\ncooling = \"" + std::to_string(56.0 / modules) + " kW\"\n";
  }
  sheet += "[[branch]]\nports = 10\n[[indoor]]\ncount = 10\ncooling = \"5.6 kW\"\n";
  const auto pipe = [&](const std::string& from, const std::string& to, const char* length) {
    sheet +=
        "[[pipe]]\nfrom = \"" + from + "\"\nto = \"" + to + "\"\nlength = \"" + length + "\"\n";
  };
  for (int j = 1; j <= modules; ++j) pipe("outdoor." + std::to_string(j), "joint.1", "3 m");
  pipe("joint.1", "branch.1", "30 m");
  for (int i = 1; i <= 10; ++i) pipe("branch.1", "indoor." + std::to_string(i), "10 m");
  return parse_system(sheet + control, "three.toml").value();
}

struct Watched {
  std::vector<int> defrosts;  ///< by module
  int at_once = 0;            ///< most modules at the same time
  int stops = 0;              ///< although units call
  double heat_W = 0.0;        ///< to the rooms, mean of the defrosts
};

/// All units call for hours in air that frosts.
Watched frosting(const Model& model, const Weather& weather, double charge_kg, double hours) {
  Orders orders;
  orders.units.resize(model.system().indoor().size());
  for (UnitOrder& u : orders.units) u = {true, 303.15, -600.0, true, false};
  State state = state_at_rest(model, weather, 293.15, charge_kg).value();
  Watched out;
  out.defrosts.resize(model.system().outdoor().size());
  std::vector<bool> before(out.defrosts.size(), false);
  Readings r;
  Insight inside;
  double heat = 0.0;
  double looks = 0.0;
  for (double time = 0.0; time < hours * 3600.0; time += 10.0) {
    const auto went = advance(model, state, weather, orders, {}, 10.0);
    EXPECT_TRUE(went.has_value()) << (went ? "" : went.error().text());
    if (!went) return out;
    read(model, state, {}, r);
    look_inside(model, state, inside);
    int now = 0;
    for (std::size_t j = 0; j < before.size(); ++j) {
      const bool defrosts = r.modules[j].defrosting;
      out.defrosts[j] += defrosts && !before[j] ? 1 : 0;
      before[j] = defrosts;
      now += defrosts ? 1 : 0;
    }
    out.at_once = std::max(out.at_once, now);
    heat += now > 0 ? inside.heat_to_rooms_W : 0.0;
    looks += now > 0 ? 1.0 : 0.0;
    // A machine that is off although all units call has tripped; the first minutes are its rest.
    out.stops += time > 300.0 && r.activity == Activity::off ? 1 : 0;
  }
  out.heat_W = heat / std::max(looks, 1.0);
  const Conservation kept = conservation_of(model, state);
  EXPECT_LT(std::abs(kept.mass_relative), 1e-6);
  EXPECT_LT(std::abs(kept.energy_relative), 1e-4);
  return out;
}

// common practice, no source: with three lines one module defrosts while the others heat.
TEST(TwinDefrost, WithThreeLinesModulesTakeTurnsAndTheRoomsStayHeated) {
  const System system = three_lines("");
  const Model model = make_model(system, parameters_of(system).value()).value();
  const Watched w = frosting(model, at(-1.0, 0.95), system.charge().total_kg(), 3.0);
  for (const int defrosts : w.defrosts) EXPECT_GE(defrosts, 1);
  EXPECT_EQ(w.at_once, 1);
  EXPECT_EQ(w.stops, 0);
  EXPECT_GT(w.heat_W, 8e3);
}

// Two at once of three, where the sheet allows it.
TEST(TwinDefrost, TurnsOfTwoModules) {
  const System system = three_lines("[control]\ndefrost_at_once = 2\n", 3);
  const Model model = make_model(system, parameters_of(system).value()).value();
  const Watched w = frosting(model, at(-1.0, 0.95), system.charge().total_kg(), 3.0);
  for (const int defrosts : w.defrosts) EXPECT_GE(defrosts, 1);
  EXPECT_EQ(w.at_once, 2);
  EXPECT_EQ(w.stops, 0);
}

/// Units that call for heat have to give some to the ice: without, the machine had no evaporator.
TEST(TwinDefrost, WhereAllTurnAtOnceTheUnitsMeltTheIce) {
  const System system = three_lines("[control]\ndefrost_at_once = 2\n");
  const Model model = make_model(system, parameters_of(system).value()).value();
  const Watched w = frosting(model, at(-1.0, 0.95), system.charge().total_kg(), 3.0);
  for (const int defrosts : w.defrosts) EXPECT_GE(defrosts, 1);
  EXPECT_EQ(w.at_once, 2);
  EXPECT_EQ(w.stops, 0);
  EXPECT_LT(w.heat_W, 2e3);
}

/// Seconds of defrost in an hour of cooling after 39 min of heating that frosted the coils, before
/// a defrost was allowed.
double defrosts_in_cooling(const Model& model, double charge_kg) {
  Orders orders;
  orders.units.resize(model.system().indoor().size());
  for (UnitOrder& u : orders.units) u = {true, 303.15, -600.0, true, false};
  State state = state_at_rest(model, at(-1.0, 0.97), 293.15, charge_kg).value();
  EXPECT_TRUE(advance(model, state, at(-1.0, 0.97), orders, {}, 39.0 * 60.0).has_value());
  for (UnitOrder& u : orders.units) u.call = false;
  EXPECT_TRUE(advance(model, state, at(10.0, 0.5), orders, {}, 600.0).has_value());
  orders.plant = Plant::cooling;
  for (UnitOrder& u : orders.units) u = {true, 288.15, 2500.0, true, true};
  double out = 0.0;
  Readings r;
  for (int k = 0; k < 360; ++k) {
    if (!advance(model, state, at(28.0, 0.5), orders, {}, 10.0)) return 1e9;
    read(model, state, {}, r);
    for (const ModuleReadings& m : r.modules) out += m.defrosting ? 10.0 : 0.0;
  }
  EXPECT_EQ(r.activity, Activity::running);
  return out;
}

// A coil that condenses has no ice.
TEST(TwinDefrost, NoneInCooling) {
  const Case two(Plant::heating);
  EXPECT_EQ(defrosts_in_cooling(two.model, 27.7), 0.0);
  const System system = three_lines("");
  const Model three = make_model(system, parameters_of(system).value()).value();
  EXPECT_EQ(defrosts_in_cooling(three, system.charge().total_kg()), 0.0);
}

}  // namespace
}  // namespace cw::twin
