#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include "base/file.h"
#include "system/piping.h"
#include "twin/machine_case.h"

/// What people of the trade know of such machines.
namespace cw::twin {
namespace {

using namespace test;

// common practice, no source: facts.md of the trade as the physics notes list them.
TEST(TwinTrade, HeatingWithAllUnitsFillsTheAccumulatorCoolingEmptiesIt) {
  Case heating(Plant::heating);
  Case part(Plant::heating);
  part.only_each(3);
  const double all = accumulators(steady(heating, at(7.0)));
  EXPECT_GT(all, accumulators(steady(part, at(7.0))));
  Case cooling(Plant::cooling);
  EXPECT_LT(accumulators(steady(cooling, at(30.0, 0.5))), 0.2 * all);
}

// common practice, no source
TEST(TwinTrade, WithLiquidInTheAccumulatorTwoKilogramsHardlyMoveTheDischarge) {
  Case c(Plant::heating);
  const double middle = discharge(steady(c, at(7.0)));
  for (const double more : {-2.0, 2.0}) {
    Case other(Plant::heating);
    other.charge_kg += more;
    EXPECT_NEAR(discharge(steady(other, at(7.0))), middle, 1.0);
  }
}

// common practice, no source
TEST(TwinTrade, OnceTheAccumulatorIsDryEachKilogramMissingHeatsTheDischarge) {
  Case c(Plant::heating);
  double before = 0.0;
  for (const double charge : {23.0, 22.0, 21.0}) {
    c.charge_kg = charge;
    const Found f = steady(c, at(7.0));
    EXPECT_GT(discharge(f), before) << charge;
    before = discharge(f);
  }
}

// common practice, no source: 49 degC condensing is about 418 psig of R-410A; indoor gas pipes of
// calling units 54..68 degC; discharge 71..93 degC in steady heating.
TEST(TwinTrade, DefaultTargetsGiveThePressuresAndTemperaturesOfTheTrade) {
  Case c(Plant::heating);
  const Found f = steady(c, at(7.0));
  const double gauge = (f.readings.modules[0].discharge_pressure - standard_atmosphere) / 6894.757;
  EXPECT_NEAR(gauge, 418.0, 0.02 * 418.0);
  EXPECT_GT(discharge(f), zero_celsius + 71.0);
  EXPECT_LT(discharge(f), zero_celsius + 93.0);
  for (const auto& u : f.readings.units) {
    EXPECT_GT(u.gas_pipe_temperature, zero_celsius + 54.0);
    EXPECT_LT(u.gas_pipe_temperature, zero_celsius + 68.0);
  }
}

// common practice, no source
TEST(TwinTrade, DischargeRisesWithCondensingAndFallsWithEvaporating) {
  Parameters hotter;
  hotter.controls.condensing_target_K += 3.0;
  Case base(Plant::heating);
  Case hot(Plant::heating, "demo_office", hotter);
  EXPECT_GT(discharge(steady(hot, at(7.0))), discharge(steady(base, at(7.0))) + 2.0);
  EXPECT_GT(discharge(steady(base, at(0.0))), discharge(steady(base, at(7.0))) + 2.0);
}

/// The demo office with accumulators that take less than its own.
Model with_small_accumulators() {
  std::string text =
      read_file(std::string(CW_SOURCE_ROOT) + "/data/systems/demo_office.toml").value();
  const std::string large = R"({ volume = "7 L", usable = "4.5 L" })";
  const std::string small = R"({ volume = "5 L", usable = "3.5 L" })";
  for (std::size_t at = text.find(large); at != std::string::npos; at = text.find(large)) {
    text.replace(at, large.size(), small);
  }
  return make_model(parse_system(text, "small.toml").value(), {}).value();
}

// common practice, no source: what showed as nothing but more subcooling in summer floods the
// compressors in deep winter, when the coils hold least. Tried with accumulators that are smaller
// than those of the demo office.
TEST(TwinTrade, AnOverchargeThatOnlySubcoolsInSummerOverflowsInDeepWinter) {
  const Model model = with_small_accumulators();
  const auto in = [&](Plant plant, const Weather& weather, double charge_kg) {
    Case c(plant);
    c.model = model;
    c.charge_kg = charge_kg;
    return steady(c, weather);
  };
  constexpr double right = 24.0;
  constexpr double over = 29.0;
  const Weather summer = at(30.0, 0.5);
  const Weather winter = at(-15.0, 0.8);
  const Found s = in(Plant::cooling, summer, right);
  const Found more = in(Plant::cooling, summer, over);
  EXPECT_GT(more.insight.modules[0].subcooling_K, s.insight.modules[0].subcooling_K + 4.0);
  EXPECT_LT(more.insight.modules[0].accumulator_level, 0.01);
  EXPECT_LT(more.readings.modules[0].discharge_pressure,
            0.97 * model.parameters().controls.high_pressure_limit_Pa);
  EXPECT_NEAR(more.insight.modules[0].suction_superheat_K, s.insight.modules[0].suction_superheat_K,
              0.5);
  const Found w = in(Plant::heating, winter, right);
  const Found flooded = in(Plant::heating, winter, over);
  EXPECT_LT(w.insight.modules[0].accumulator_level, 0.9);
  EXPECT_GT(w.insight.modules[0].suction_quality, 0.985);
  EXPECT_GT(flooded.insight.modules[0].accumulator_level, 0.98);
  EXPECT_LT(flooded.insight.modules[0].suction_quality, 0.97);
  EXPECT_LT(discharge(flooded), discharge(w) - 5.0);
}

/// 24 L of outdoor coils, 12 L of indoor coils, 16.4 L of liquid and 57 L of gas lines.
Model notional(const Parameters& parameters) {
  std::string text = R"(refrigerant = "R-410A"
[[outdoor]]
cooling = "67 kW"
coil = { volume = "24 L" }
[[indoor]]
count = 10
cooling = "6.7 kW"
coil_volume = "1.2 L"
[[pipe]]
from = "outdoor.1"
to = "joint.1"
length = "55 m"
liquid = "3/4"
gas = "1-3/8"
)";
  for (int i = 1; i <= 10; ++i) {
    text += "[[pipe]]\nfrom = \"joint.1\"\nto = \"indoor." + std::to_string(i) +
            "\"\nlength = \"8 m\"\nliquid = \"3/8\"\ngas = \"5/8\"\n";
  }
  return make_model(parse_system(text, "notional.toml").value(), parameters).value();
}

/// What the circuit holds outside of the accumulator and the oil [kg].
double circuit(const Model& model, Plant plant, const Weather& weather, bool part,
               double charge_kg) {
  Case c(plant);
  c.model = model;
  c.orders.units.resize(10);
  c.faults.modules.resize(1);
  c.faults.units.resize(10);
  c.room_K = plant == Plant::cooling ? 300.15 : 293.15;
  c.charge_kg = charge_kg;
  if (part) c.only_each(3);
  const Found f = steady(c, weather);
  if (plant == Plant::cooling) {
    // The notional figures are of a machine in order.
    EXPECT_GT(f.insight.modules[0].subcooling_K, 3.0);
    EXPECT_LT(f.insight.modules[0].subcooling_K, 9.0);
  } else {
    EXPECT_GT(f.insight.modules[0].accumulator_level, 0.02);
  }
  double sum = f.inventory.liquid_line + f.inventory.gas_line + f.inventory.modules[0].coil;
  for (const auto& u : f.inventory.units) sum += u.coil;
  return sum;
}

// physics notes section 2, own derivation there: a notional machine of 67 kW. The charge of the
// cooling cases is the one that gives usual subcooling; in heating it lies in the accumulator.
TEST(TwinTrade, TheNotionalMachineOf67kWHoldsWhatTheNotesSay) {
  const Model model = notional({});
  double liquid = 0.0;
  double gas = 0.0;
  for (const TubeUse& use : tube_uses(model.system())) {
    (use.line == Line::liquid ? liquid : gas) += 1e3 * use.volume_m3;
  }
  EXPECT_NEAR(liquid, 16.4, 0.03 * 16.4);
  EXPECT_NEAR(gas, 57.0, 0.03 * 57.0);
  const auto expect = [](double kg, double notes, const char* what) {
    std::printf("%-36s %5.1f kg, notes %.1f (%+.1f %%)\n", what, kg, notes,
                100.0 * (kg / notes - 1.0));
    EXPECT_NEAR(kg, notes, 0.15 * notes) << what;
  };
  constexpr double charge = 31.5;
  const Weather summer = at(35.0, 0.4);
  expect(circuit(model, Plant::cooling, summer, false, charge), 30.1, "cooling, all");
  expect(circuit(model, Plant::cooling, summer, true, charge), 29.5, "cooling, 30 %");
  constexpr double reserve = 36.0;
  const double warm = circuit(model, Plant::heating, at(7.0), false, reserve);
  const double cold = circuit(model, Plant::heating, at(-15.0), false, reserve);
  expect(warm, 29.8, "heating, all, 7 degC");
  expect(cold, 28.8, "heating, all, -15 degC");
  EXPECT_LT(cold, warm);
  // Stopped units flood when their valves are shut.
  Parameters shut;
  shut.controls.stopped_opening = 0.0;
  expect(circuit(notional(shut), Plant::heating, at(7.0), true, 42.0), 33.9,
         "heating, 30 %, the others flooded");
}

/// Four units heat and two cool: the two give their heat to the four, the outdoor coil the rest.
TEST(TwinTrade, HeatRecoveryMovesHeatBetweenRooms) {
  Case c(Plant::heating, "heat_recovery");
  c.charge_kg = c.model.system().charge().total_kg();
  c.room_K = 295.15;
  const Found alone = steady(c, at(7.0));
  for (const std::size_t i : {4U, 5U}) c.orders.units[i].cooling = true;
  const Found mixed = steady(c, at(7.0));
  for (std::size_t i = 0; i < 6; ++i) {
    const Insight::Unit& u = mixed.insight.units[i];
    if (i < 4) {
      EXPECT_GT(u.heat_W, 3e3);
      EXPECT_NEAR(u.subcooling_K, 6.0, 0.1);
    } else {
      EXPECT_LT(u.heat_W, -2e3);
      EXPECT_NEAR(u.superheat_K, 5.0, 0.1);
    }
  }
  // First law over the machine, but for what pipes and shells lose.
  const double in = mixed.insight.heat_from_outdoors_W + mixed.insight.compressors_W;
  EXPECT_NEAR(mixed.insight.heat_to_rooms_W / in, 0.9, 0.1);
  EXPECT_LT(mixed.insight.heat_from_outdoors_W, 0.6 * alone.insight.heat_from_outdoors_W);
  EXPECT_NEAR(mixed.insight.condensing_K, alone.insight.condensing_K, 0.05);
  EXPECT_NEAR(mixed.inventory.total, c.charge_kg, 1e-4);
}

/// The other way round: the outdoor coil condenses what the two heating units leave over.
TEST(TwinTrade, HeatRecoveryHeatsWhileThePlantCools) {
  Case c(Plant::cooling, "heat_recovery");
  c.charge_kg = c.model.system().charge().total_kg();
  c.room_K = 296.15;
  const Found alone = steady(c, at(25.0));
  // No unit heats: the third line stays drained.
  EXPECT_LT(alone.inventory.third_line, 2.5);
  for (const std::size_t i : {0U, 1U}) c.orders.units[i].cooling = false;
  const Found mixed = steady(c, at(25.0));
  EXPECT_GT(mixed.insight.units[0].heat_W, 2e3);
  EXPECT_LT(mixed.insight.units[3].heat_W, -3e3);
  EXPECT_NEAR(mixed.insight.evaporating_K, alone.insight.evaporating_K, 0.05);
  EXPECT_LT(std::abs(mixed.insight.heat_from_outdoors_W),
            0.7 * std::abs(alone.insight.heat_from_outdoors_W));
}

/// What an hour or two of frost makes of a machine, seen by the evaporating temperature.
struct Frosting {
  int defrosts = 0;
  double clean_K = 0.0;        ///< a quarter of an hour after the start
  double before_K = 0.0;       ///< at the end of the first frosting
  double after_K = 0.0;        ///< a quarter of an hour after the first defrost
  double frost_kg = 0.0;       ///< the most there was
  double sensor_over_K = 0.0;  ///< coil sensor over SET, at the end
};

Frosting frosting(double blocked, bool sensor_failed) {
  Case c(Plant::heating, "minimal");
  c.charge_kg = c.model.system().charge().total_kg();
  c.faults.modules[0].coil_blocked = blocked;
  c.faults.modules[0].defrost_sensor_failed = sensor_failed;
  for (UnitOrder& u : c.orders.units) {
    u.set_point_K = 303.15;
    u.gains_W = -1500.0;
  }
  const Weather weather = at(-1.0, 0.95);
  State state = state_at_rest(c.model, weather, c.room_K, c.charge_kg).value();
  Frosting out;
  Readings r;
  Insight inside;
  bool before = false;
  int since = 0;
  for (int minute = 0; minute < 180; ++minute) {
    EXPECT_TRUE(advance(c.model, state, weather, c.orders, c.faults, 60.0).has_value());
    read(c.model, state, c.faults, r);
    look_inside(c.model, state, inside);
    const bool now = r.activity == Activity::defrosting;
    out.defrosts += now && !before ? 1 : 0;
    since = now || r.activity == Activity::off ? 0 : since + 1;
    before = now;
    out.frost_kg = std::max(out.frost_kg, inside.modules[0].frost_kg);
    if (since == 15 && out.defrosts == 0) out.clean_K = inside.evaporating_K;
    if (since == 15 && out.defrosts == 1) out.after_K = inside.evaporating_K;
    if (since > 15 && out.defrosts == 0) out.before_K = inside.evaporating_K;
    if (since > 15) {
      out.sensor_over_K = r.modules[0].coil_temperature - inside.evaporating_K;
    }
  }
  return out;
}

// common practice, no source, and physics notes section 7: what a defrost resets was frost.
TEST(TwinTrade, ADefrostCuresFrostAndNotABlockedCoil) {
  const Frosting clean = frosting(0.0, false);
  const Frosting blocked = frosting(0.5, false);
  for (const Frosting& f : {clean, blocked}) {
    EXPECT_GE(f.defrosts, 1);
    EXPECT_LT(f.before_K, f.clean_K - 2.0);
    EXPECT_GT(f.after_K, f.clean_K - 1.0);
  }
  EXPECT_LT(blocked.after_K, clean.after_K - 1.5);
}

// The same row of the table: as frost that nothing melts, and the sensor contradicts SET.
TEST(TwinTrade, AFailedDefrostSensorLeavesTheFrost) {
  const Frosting clean = frosting(0.0, false);
  const Frosting failed = frosting(0.0, true);
  EXPECT_EQ(failed.defrosts, 0);
  EXPECT_GT(failed.frost_kg, 1.3 * clean.frost_kg);
  EXPECT_LT(failed.before_K, clean.before_K - 2.0);
  EXPECT_LT(clean.sensor_over_K, 4.0);
  EXPECT_GT(failed.sensor_over_K, 10.0);
}

}  // namespace
}  // namespace cw::twin
