#include "fieldwork/weigh.h"

#include <gtest/gtest.h>

#include "fieldwork/form_of_test.h"

namespace cw::field {
namespace {

const Answers good = {{"--readings", "30.20kg,28.95kg,27.40kg"},
                      {"--refrigerant", "R-410A"},
                      {"--tare", "12.0kg"},
                      {"--water-capacity", "21.6kg"}};

// By hand: 30.20 - 27.40 = 2.80 kg in steps of 1.25 and 1.55 kg; contents 27.40 - 12.0 = 15.40 kg;
// 0.8 x 21.6/998.2 m3 x 1058.9 kg/m3 (R-410A at 25 C, facts/standards.md E) = 18.33 kg.
TEST(Weigh, ChargingByHand) {
  const auto sheet = weigh(form_with(good), UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_NEAR(sheet->value_of("moved"), 2.80, 1e-9);
  EXPECT_NEAR(sheet->value_of("contents"), 15.40, 1e-9);
  EXPECT_NEAR(sheet->value_of("largest_contents"), 18.33, 0.01);
  const auto& rows = sheet->tables.at(0).rows;
  EXPECT_NEAR(std::get<double>(rows[1][2]), 1.25, 1e-9);
  EXPECT_NEAR(std::get<double>(rows[2][3]), 2.80, 1e-9);
  EXPECT_NE(sheet->because.at(0).find("as liquid"), std::string::npos);
  expect_honest(*sheet);
}

// 18.33 kg in 21.64 L is 847 kg/m3, which R-410A liquid has near 57 C: hotter, and it is full.
TEST(Weigh, EightyPercentLeavesRoomToWarm) {
  const auto full = liquid_full_at("R-410A", CubicMetre{21.6 / 998.2}, Kilogram{18.33});
  ASSERT_TRUE(full.has_value());
  EXPECT_GT(to_celsius(*full), 52.0);
  EXPECT_LT(to_celsius(*full), 62.0);
}

TEST(Weigh, RecoveryCountsTheOtherWayAndSaysWhenOverfull) {
  const auto sheet = weigh(form_with(good, {{"--into", "cylinder"},
                                            {"--readings", "14.0kg,20.0kg,31.0kg"},
                                            {"--target", "20kg"}}),
                           UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_NEAR(sheet->value_of("moved"), 17.0, 1e-9);
  EXPECT_NEAR(sheet->value_of("still_to_move"), 3.0, 1e-9);
  EXPECT_TRUE(sheet->alarm);
  EXPECT_NE(sheet->verdict.find("over"), std::string::npos);
}

TEST(Weigh, PureRefrigerantHasNoWordOnBlends) {
  const auto sheet = weigh(form_with(good, {{"--refrigerant", "R-32"}}), UnitSystem::si);
  ASSERT_TRUE(sheet.has_value());
  EXPECT_TRUE(sheet->because.empty());
  EXPECT_GE(sheet->cautions.size(), 5U);  // R-32 burns
}

TEST(Weigh, ImpossibleInputs) {
  expect_all_refused(
      weigh, good,
      {{{{"--readings", "-"}}, "--readings", "fewer than two"},
       {{{"--readings", "30kg"}}, "--readings", "fewer than two"},
       {{{"--readings", "30,28"}}, "--readings", "no unit"},
       {{{"--readings", "30kg,-28kg"}}, "--readings", "below the least"},
       {{{"--readings", "30kg,31kg"}}, "--readings", "heavier than the one before"},
       {{{"--readings", "30kg,28kg"}, {"--into", "cylinder"}}, "--readings", "lighter than"},
       {{{"--readings", "30kg,11kg"}}, "--tare", "lighter than the empty"},
       {{{"--readings", "30kg,28L"}}, "--readings", "mass is needed"},
       {{{"--readings", "3000kg,28kg"}}, "--readings", "above the most"},
       {{{"--readings", "thirty,28kg"}}, "--readings", "number"},
       {{{"--refrigerant", "-"}}, "--refrigerant", "missing"},
       {{{"--refrigerant", "water"}}, "--refrigerant", "no refrigerant"},
       {{{"--refrigerant", "nitrogen"}}, "--refrigerant", "no refrigerant"},
       {{{"--tare", "-"}}, "--tare", "missing"},
       {{{"--tare", "0kg"}}, "--tare", "below the least"},
       {{{"--tare", "50kg"}}, "--tare", "lighter than the empty"},
       {{{"--water-capacity", "-"}}, "--water-capacity", "missing"},
       {{{"--water-capacity", "0kg"}}, "--water-capacity", "holds some water"},
       {{{"--fill", "95%"}}, "--fill", "never filled beyond"},
       {{{"--fill", "0%"}}, "--fill", "below the least"},
       {{{"--temperature", "90C"}}, "--temperature", "above the most"},
       {{{"--temperature", "-300C"}}, "--temperature", "absolute zero"},
       {{{"--into", "the air"}}, "--into", "not known here"},
       {{{"--target", "-1kg"}}, "--target", "below the least"},
       {{{"--hose-left", "-5g"}}, "--hose-left", "below the least"}});
}

}  // namespace
}  // namespace cw::field
