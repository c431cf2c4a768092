#include "twin/charge_view.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/units.h"
#include "system/sheet.h"

namespace cw::twin {
namespace {

Model demo(SlipModel slip = SlipModel::zivi) {
  auto system = read_system(std::string(CW_SOURCE_ROOT) + "/data/systems/demo_office.toml");
  Parameters parameters = parameters_of(*system).value();
  parameters.slip = slip;
  return make_model(*system, parameters).value();
}

Season winter(double calling = 1.0) {
  return {"winter", Plant::heating, {zero_celsius + 5.0, 0.8}, 293.15, calling};
}
Season summer(double calling = 1.0) {
  return {"summer", Plant::cooling, {zero_celsius + 35.0, 0.4}, 299.15, calling};
}

double parts(const ChargeSeat& s) {
  return s.outdoor_coils + s.calling_coils + s.stopped_coils + s.liquid_line + s.gas_lines +
         s.accumulators + s.dissolved;
}

TEST(ChargeView, ThePartsAreTheCharge) {
  const Model model = demo();
  for (const Season& season : {winter(), summer()}) {
    const ChargeSeat seat = seat_of_charge(model, season, 27.0);
    ASSERT_EQ(seat.outcome, ChargeOutcome::in_order) << seat.why;
    EXPECT_NEAR(parts(seat), 27.0, 27.0 * 1e-6);  // what the steady solve leaves at most
  }
}

// Common practice, no source: stopped units hold liquid in heating, and next to nothing in cooling,
// where their valves are shut and they lie on the suction side.
TEST(ChargeView, StoppedUnitsHoldLiquidInHeatingOnly) {
  const Model model = demo();
  const ChargeSeat cold = seat_of_charge(model, winter(0.25), 28.0);
  const ChargeSeat hot = seat_of_charge(model, summer(0.25), 24.0);
  ASSERT_EQ(cold.outcome, ChargeOutcome::in_order) << cold.why;
  ASSERT_EQ(hot.outcome, ChargeOutcome::in_order) << hot.why;
  EXPECT_GT(cold.stopped_coils, 5.0 * hot.stopped_coils);
}

// What lies in the accumulators in winter is the reserve: it takes up what is added, until it is
// full. In summer there is none, and what is added backs up in the outdoor coils as subcooling.
TEST(ChargeView, WhatIsAddedGoesWhereTheSeasonPutsIt) {
  const Model model = demo();
  const ChargeSeat cold = seat_of_charge(model, winter(), 26.0);
  const ChargeSeat colder = seat_of_charge(model, winter(), 28.0);
  EXPECT_NEAR(colder.accumulators - cold.accumulators, 2.0, 0.2);
  // Two kilograms more in them are two less that they can take.
  EXPECT_NEAR(cold.accumulator_spare - colder.accumulator_spare,
              colder.accumulators - cold.accumulators, 0.02);
  EXPECT_LT(std::abs(colder.discharge_K - cold.discharge_K), 1.0);
  const ChargeSeat hot = seat_of_charge(model, summer(), 24.0);
  const ChargeSeat hotter = seat_of_charge(model, summer(), 26.0);
  EXPECT_NEAR(hotter.outdoor_coils - hot.outdoor_coils, 2.0, 0.3);
  EXPECT_GT(hotter.subcooling_K, hot.subcooling_K + 1.0);
}

/// The ends of the range are where the outcome changes: asked alone, each side says so.
TEST(ChargeView, TheRangeEndsWhereTheOutcomeChanges) {
  const Model model = demo();
  constexpr double step = 2.0;
  const ChargeView view = view_charge(model, summer(), 26.0, 12.0, 40.0, step);
  EXPECT_EQ(view.seat.outcome, ChargeOutcome::in_order) << view.seat.why;
  ASSERT_TRUE(view.least && view.most);
  EXPECT_EQ(view.below, ChargeOutcome::short_of);
  EXPECT_EQ(view.above, ChargeOutcome::over);
  EXPECT_LT(*view.least, 26.0);
  EXPECT_GT(*view.most, 26.0);
  EXPECT_EQ(seat_of_charge(model, summer(), *view.least).outcome, ChargeOutcome::in_order);
  EXPECT_EQ(seat_of_charge(model, summer(), *view.most).outcome, ChargeOutcome::in_order);
  EXPECT_EQ(seat_of_charge(model, summer(), *view.least - step / 8.0).outcome,
            ChargeOutcome::short_of);
  EXPECT_EQ(seat_of_charge(model, summer(), *view.most + step / 8.0).outcome, ChargeOutcome::over);
}

TEST(ChargeView, FindsTheRangeFromOutsideIt) {
  const Model model = demo();
  const ChargeView inside = view_charge(model, summer(), 26.0, 12.0, 40.0, 2.0);
  const ChargeView over = view_charge(model, summer(), 34.0, 12.0, 40.0, 2.0);
  const ChargeView lacking = view_charge(model, summer(), 16.0, 12.0, 40.0, 2.0);
  EXPECT_EQ(over.seat.outcome, ChargeOutcome::over);
  EXPECT_EQ(lacking.seat.outcome, ChargeOutcome::short_of);
  for (const ChargeView* view : {&over, &lacking}) {
    ASSERT_TRUE(view->least && view->most && inside.least && inside.most);
    EXPECT_NEAR(*view->least, *inside.least, 0.5);  // two eighths of a step
    EXPECT_NEAR(*view->most, *inside.most, 0.5);
  }
}

// Without slip a two-phase coil holds least [zivi1964]: the reserve in the accumulators is larger.
TEST(ChargeView, WithoutSlipCoilsHoldLess) {
  const ChargeSeat zivi = seat_of_charge(demo(), winter(), 28.0);
  const ChargeSeat none = seat_of_charge(demo(SlipModel::homogeneous), winter(), 28.0);
  EXPECT_LT(none.outdoor_coils, zivi.outdoor_coils);
  EXPECT_LT(none.calling_coils, zivi.calling_coils);
  EXPECT_GT(none.accumulators, zivi.accumulators);
}

TEST(ChargeView, ChargeThatDoesNotFitSaysWhy) {
  const ChargeSeat seat = seat_of_charge(demo(), winter(), 500.0);
  EXPECT_EQ(seat.outcome, ChargeOutcome::unsolved);
  EXPECT_FALSE(seat.why.empty());
}

}  // namespace
}  // namespace cw::twin
