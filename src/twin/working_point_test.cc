#include "twin/working_point.h"

#include <gtest/gtest.h>

#include <cmath>

#include "system/sheet.h"

namespace cw::twin {
namespace {

Model office() {
  const System system =
      read_system(std::string(CW_SOURCE_ROOT) + "/data/systems/demo_office.toml").value();
  return make_model(system, parameters_of(system).value()).value();
}

Ask cold_day() {
  Ask ask;
  ask.weather = {275.15, 0.8};
  return ask;
}

TEST(WorkingPoint, IsTheTwinsSteadyState) {
  const Model model = office();
  const Ask ask = cold_day();
  const auto point = working_point(model, ask);
  ASSERT_TRUE(point.has_value()) << point.error().text();
  const double charge = model.system().charge().total_kg();
  EXPECT_EQ(point->charge_kg, charge);
  EXPECT_NEAR(point->inventory.total, charge, 1e-6 * charge);
  EXPECT_GT(point->insight.heat_to_rooms_W, 0.0);
  // The same question has the same answer, to the last bit.
  const auto again = working_point(model, ask);
  EXPECT_EQ(point->readings.modules[0].discharge_pressure,
            again->readings.modules[0].discharge_pressure);
}

TEST(WorkingPoint, MuchTooMuchChargeFloodsOrHasNoSteadyState) {
  const Model model = office();
  Ask ask = cold_day();
  const auto usual = working_point(model, ask);
  ASSERT_TRUE(usual.has_value());
  EXPECT_FALSE(usual->trips);
  double volume = 0.0;
  for (const OutdoorModule& m : model.system().outdoor()) volume += m.accumulator_usable_m3;
  // Liquid R-410A near 0 degC has some 1170 kg/m3 [Lemmon 2003]: more than the accumulators hold.
  ask.charge_kg = usual->charge_kg + 1170.0 * volume;
  const auto full = working_point(model, ask);
  EXPECT_TRUE(!full.has_value() || full->floods || full->trips);
}

TEST(WorkingPoint, RefusesWhatDoesNotFitTheSystem) {
  const Model model = office();
  Ask ask = cold_day();
  ask.calls = {true, false};
  EXPECT_EQ(working_point(model, ask).error().where, "calls");
  ask = cold_day();
  ask.faults.units.resize(1);
  EXPECT_EQ(working_point(model, ask).error().where, "faults");
  ask = cold_day();
  ask.calls.assign(model.system().indoor().size(), false);
  EXPECT_FALSE(working_point(model, ask).has_value()) << "nobody calls";
}

TEST(ChargeMap, CellsAreTheWorkingPointsAndStopEndsIt) {
  const Model model = office();
  const Ask ask = cold_day();
  const double charge = model.system().charge().total_kg();
  MapOptions options;
  options.outdoors_K = {270.15, 280.15};
  options.charges_kg = {0.9 * charge, charge};
  std::size_t told = 0;
  options.progress = [&](std::size_t done, std::size_t total) {
    EXPECT_EQ(done, ++told);
    EXPECT_EQ(total, 4U);
  };
  const auto map = charge_map(model, ask, options);
  ASSERT_TRUE(map.has_value()) << map.error().text();
  EXPECT_EQ(told, 4U);
  Ask one = ask;
  one.weather.temperature_K = 280.15;
  one.charge_kg = charge;
  const auto alone = working_point(model, one);
  ASSERT_TRUE(alone.has_value());
  ASSERT_TRUE((*map)[1][1].point.has_value()) << (*map)[1][1].why;
  // Two ways into the same steady state, each solved to 2e-6 a step.
  EXPECT_NEAR((*map)[1][1].point->readings.modules[0].discharge_pressure /
                  alone->readings.modules[0].discharge_pressure,
              1.0, 1e-3);
  options.stop = [] { return true; };
  EXPECT_FALSE(charge_map(model, ask, options).has_value());
}

}  // namespace
}  // namespace cw::twin
