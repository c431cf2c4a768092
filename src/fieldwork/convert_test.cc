#include "fieldwork/convert.h"

#include <gtest/gtest.h>

#include <cmath>

#include "fieldwork/form_of_test.h"

namespace cw::field {
namespace {

std::string in_unit(const FieldSheet& sheet, std::string_view unit) {
  for (const auto& row : sheet.tables.at(0).rows) {
    if (std::get<std::string>(row[0]) == unit) return std::get<std::string>(row[1]);
  }
  return "none";
}

// facts/standards.md A1: R-410A 140 000 ppm -> 415.4 g/m3 -> 25.9 lb/1000 ft3.
TEST(Convert, PartsPerMillion) {
  const auto sheet =
      convert(form_with({{"--ppm", "140000"}, {"--refrigerant", "R-410A"}}), UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_NEAR(sheet->value_of("concentration") * 1e3, 415.4, 0.05);
  EXPECT_NEAR(sheet->value_of("pounds_in_1000_ft3"), 25.9, 0.05);
  EXPECT_NEAR(ppm_of(concentration_of(36000, 0.052024), 0.052024), 36000, 1e-6);
  expect_honest(*sheet);
}

// facts/standards.md D: 500 um = 66.7 Pa.
TEST(Convert, MicronsAndGauges) {
  const auto vacuum = convert(form_with({{"value", "500um"}}), UnitSystem::si);
  ASSERT_TRUE(vacuum.has_value()) << vacuum.error().text();
  EXPECT_NEAR(vacuum->value_of("si"), 66.661, 0.001);
  EXPECT_EQ(in_unit(*vacuum, "mbar absolute"), "0.666612");
  EXPECT_EQ(in_unit(*vacuum, "inHg of vacuum, below the barometer"), "29.902");
  const auto gauge = convert(form_with({{"value", "600psig"}}), UnitSystem::si);
  ASSERT_TRUE(gauge.has_value());
  EXPECT_EQ(in_unit(*gauge, "psi absolute"), "614.696");
  EXPECT_EQ(in_unit(*gauge, "bar gauge"), "41.3685");
  const auto warm = convert(form_with({{"value", "77F"}}), UnitSystem::si);
  EXPECT_EQ(in_unit(*warm, "degC"), "25");
}

// facts/standards.md F: 1600 m: 83.52 kPa, 17.8 kPa below the sea; a gauge reading taken as at the
// sea makes R-410A +0.67 K at 0.75 MPa g and +0.30 K at 2.4 MPa g too warm.
TEST(Altitude, GaugeReadingTakenAsAtTheSea) {
  const auto at = [](const char* reading) {
    return altitude(form_with({{"--altitude", "1600m"}, {"--reading", reading}}), UnitSystem::si);
  };
  const auto low = at("0.75MPa(g)");
  ASSERT_TRUE(low.has_value()) << low.error().text();
  EXPECT_NEAR(low->value_of("barometer"), 83.52e3, 5);
  EXPECT_NEAR(low->value_of("below_sea"), 17.8e3, 10);
  EXPECT_NEAR(low->value_of("saturation_error"), 0.67, 0.01);
  EXPECT_NEAR(at("2.4MPa(g)")->value_of("saturation_error"), 0.30, 0.01);
  expect_honest(*low);
}

// facts/standards.md F, psychrolib tests: 95461 Pa at 500 m, 89875 at 1000 m, 61640 at 4000 m.
TEST(Altitude, Barometer) {
  const auto barometer = [](const char* z) {
    return altitude(form_with({{"--altitude", z}}), UnitSystem::si)->value_of("barometer");
  };
  EXPECT_NEAR(barometer("500m"), 95461, 1);
  EXPECT_NEAR(barometer("1000m"), 89875, 1);
  EXPECT_NEAR(barometer("4000m"), 61640, 1);
}

// facts/standards.md A6: O2 18.0, 18.6 and 19.5 % by 20.95 (1 - x).
TEST(Altitude, OxygenLimit) {
  EXPECT_NEAR(20.95 * (1 - oxygen_limit_at(Metre{1000})), 18.0, 0.05);
  EXPECT_NEAR(20.95 * (1 - oxygen_limit_at(Metre{1500})), 18.6, 0.05);
  EXPECT_NEAR(20.95 * (1 - oxygen_limit_at(Metre{2500})), 19.5, 0.05);
}

TEST(Convert, ImpossibleInputs) {
  expect_all_refused(
      convert, {{"value", "500um"}},
      {{{{"value", "-"}}, "value", "missing"},
       {{{"value", ""}}, "value", "number"},
       {{{"value", "five bar"}}, "value", "number"},
       {{{"value", "500"}}, "value", "no unit"},
       {{{"value", "500 furlongs"}}, "value", "unknown unit"},
       {{{"value", "-300C"}}, "value", "absolute zero"},
       {{{"value", "-500F"}}, "value", "absolute zero"},
       {{{"value", "-1K"}}, "value", "absolute zero"},
       {{{"value", "-15psig"}}, "value", "perfect vacuum"},
       {{{"value", "-1Pa"}}, "value", "perfect vacuum"},
       {{{"value", "-2bar(g)"}}, "value", "perfect vacuum"},
       {{{"value", "-6lb"}}, "value", "negative mass"},
       {{{"value", "-6L"}}, "value", "negative volume"},
       {{{"value", "-1min"}}, "value", "negative time"},
       {{{"value", "-1cfm"}}, "value", "negative volume_flow"},
       {{{"value", "-3kg/m3"}}, "value", "negative density"},
       {{{"value", "5 mw"}}, "value", "may be"},
       {{{"value", "50 steps"}}, "value", "nothing to convert"},
       {{{"value", "+-5C"}}, "value", "number"},
       {{{"value", "5C"}, {"--ppm", "5"}}, "value", "doubled"},
       {{{"value", "-"}, {"--ppm", "2000000"}, {"--refrigerant", "R-32"}}, "--ppm", "million"},
       {{{"value", "-"}, {"--ppm", "many"}, {"--refrigerant", "R-32"}}, "--ppm", "no number"},
       {{{"value", "-"}, {"--ppm", "100"}}, "--refrigerant", "missing"},
       {{{"--altitude", "20km"}}, "--altitude", "unknown unit"},
       {{{"--altitude", "20000m"}}, "--altitude", "nobody installs"}});
}

TEST(Altitude, ImpossibleInputs) {
  expect_all_refused(
      altitude, {{"--altitude", "1600m"}, {"--reading", "0.75MPa(g)"}},
      {{{{"--altitude", "-"}}, "--altitude", "neither"},
       {{{"--altitude", "20000m"}}, "--altitude", "nobody installs"},
       {{{"--altitude", "-900m"}}, "--altitude", "nobody installs"},
       {{{"--altitude", "1600"}}, "--altitude", "no unit"},
       {{{"--altitude", "1600C"}}, "--altitude", "length is needed"},
       {{{"--altitude", "high"}}, "--altitude", "number"},
       {{{"--barometer", "83kPa"}}, "--altitude", "both given"},
       {{{"--altitude", "-"}, {"--barometer", "20kPa"}}, "--barometer", "no site"},
       {{{"--altitude", "-"}, {"--barometer", "150kPa"}}, "--barometer", "no site"},
       {{{"--altitude", "-"}, {"--barometer", "-83kPa"}}, "--barometer", "no site"},
       {{{"--altitude", "-"}, {"--barometer", "83"}}, "--barometer", "no unit"},
       {{{"--altitude", "-"}, {"--barometer", "83C"}}, "--barometer", "pressure is needed"},
       {{{"--reading", "0.75MPa"}}, "--reading", "neither gauge nor absolute"},
       {{{"--reading", "0.75MPa(a)"}}, "--reading", "does not depend"},
       {{{"--reading", "-2bar(g)"}}, "--reading", "perfect vacuum"},
       {{{"--reading", "-0.0835MPa(g)"}}, "--reading", "no saturation"},
       {{{"--reading", "20MPa(g)"}}, "--reading", "above the most"},
       {{{"--reading", "4.9MPa(g)"}}, "--reading", "no saturation"},
       {{{"--reading", "25C"}}, "--reading", "pressure is needed"},
       {{{"--reading", "low"}}, "--reading", "number"},
       {{{"--refrigerant", "R-999"}}, "--refrigerant", "R-999"},
       {{{"--date", "2026-02-30"}}, "--date", "no date"}});
}

}  // namespace
}  // namespace cw::field
