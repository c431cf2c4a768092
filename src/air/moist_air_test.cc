#include "air/moist_air.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace cw::air {
namespace {

constexpr Pascal sea_level{standard_atmosphere};

MoistAir air_at(double t_degC, double p, Humidity known, double value) {
  const auto air = moist_air(from_celsius(t_degC), {p}, known, value);
  EXPECT_TRUE(air) << air.error().text();
  return air.value_or(MoistAir{});
}

// The check values that psychrolib's tests quote from the ASHRAE Handbook's table 3 (0.03 %: the
// table is of the real mixture).
TEST(MoistAir, saturation_pressures_of_the_handbook_table) {
  const double table[][2] = {{-20, 103.24}, {5, 872.6}, {25, 3169.7}, {50, 12351.3}};
  for (const auto& [t_degC, p] : table) {
    EXPECT_NEAR(saturation_pressure(from_celsius(t_degC)).value().value, p, 3e-4 * p);
  }
}

TEST(MoistAir, standard_pressure_of_altitudes) {
  // The same tests: 95461 Pa at 500 m, 89875 Pa at 1000 m, 61640 Pa at 4000 m.
  EXPECT_NEAR(standard_pressure_at({500}).value, 95461, 1);
  EXPECT_NEAR(standard_pressure_at({1000}).value, 89875, 1);
  EXPECT_NEAR(standard_pressure_at({4000}).value, 61640, 1);
}

TEST(MoistAir, enthalpy_check_value) {
  EXPECT_NEAR(enthalpy_of(from_celsius(30), {0.02}).value, 81316, 0.5);
}

TEST(MoistAir, handbook_example_of_a_wet_bulb) {
  // ASHRAE Fundamentals 2017 ch. 1, example 1: 40 degC, wet bulb 20 degC, sea level, read from the
  // chart of the real mixture: W 0.0065, h 56.7 kJ/kg, v 0.896 m3/kg, 14 %, to the chart's grain.
  const MoistAir air = air_at(40, sea_level.value, Humidity::wet_bulb, from_celsius(20).value);
  EXPECT_NEAR(air.humidity_ratio.value, 0.0065, 1e-4);
  EXPECT_NEAR(air.enthalpy.value, 56.7e3, 300);
  EXPECT_NEAR(air.volume, 0.896, 1e-3);
  EXPECT_NEAR(air.relative_humidity.value, 0.14, 5e-3);
  ASSERT_TRUE(air.dew_point);
  EXPECT_NEAR(to_celsius(*air.dew_point), 7.0, 0.6);
}

// Capacity of 900 m3/h (at the outlet) from 27/19 degC to 14/13 degC: 5.19 kW total and 4.03 kW
// sensible at sea level, 4.88 and 3.32 kW at 1600 m (83.52 kPa), worked apart from this code with
// the handbook's formulas; the condensate leaves at the outlet's wet bulb.
TEST(MoistAir, coil_capacity_at_sea_level_and_at_altitude) {
  const auto capacity = [](double p) {
    const MoistAir in = air_at(27, p, Humidity::wet_bulb, from_celsius(19).value);
    const MoistAir out = air_at(14, p, Humidity::wet_bulb, from_celsius(13).value);
    const double dry_air = 900.0 / 3600.0 / out.volume;
    const double cp = 1006.0 + 1860.0 * out.humidity_ratio.value;
    const double condensate =
        (in.humidity_ratio.value - out.humidity_ratio.value) * 4186.0 * to_celsius(out.wet_bulb);
    return std::pair{dry_air * (in.enthalpy.value - out.enthalpy.value - condensate),
                     dry_air * cp * 13.0};
  };
  const auto [total, sensible] = capacity(sea_level.value);
  EXPECT_NEAR(total, 5190, 10);
  EXPECT_NEAR(sensible, 4030, 10);
  const Pascal high = standard_pressure_at({1600});
  EXPECT_NEAR(high.value, 83520, 10);
  const auto [total_high, sensible_high] = capacity(high.value);
  EXPECT_NEAR(total_high, 4880, 10);
  EXPECT_NEAR(sensible_high, 3320, 10);
}

class MoistAirGrid : public testing::TestWithParam<double> {};

TEST_P(MoistAirGrid, every_measure_of_humidity_leads_back_to_the_same_air) {
  const double p = GetParam();
  for (double t = -60.0; t <= 90.0; t += 5.0) {
    for (const double rh : {0.01, 0.3, 0.8, 1.0}) {
      SCOPED_TRACE(testing::Message() << t << " degC, rh " << rh << ", " << p << " Pa");
      if (saturation_pressure(from_celsius(t)).value().value * rh > 0.95 * p) continue;
      const MoistAir air = air_at(t, p, Humidity::relative, rh);
      const double w = air.humidity_ratio.value;
      const MoistAir wet = air_at(t, p, Humidity::wet_bulb, air.wet_bulb.value);
      EXPECT_NEAR(wet.humidity_ratio.value, w, 1e-12 + 2e-9 * w);
      ASSERT_TRUE(air.dew_point);
      EXPECT_LE(air.dew_point->value, air.wet_bulb.value + 1e-3);
      EXPECT_LE(air.wet_bulb.value, air.dry_bulb.value);
      const MoistAir dew = air_at(t, p, Humidity::dew_point, air.dew_point->value);
      EXPECT_NEAR(dew.humidity_ratio.value, w, 1e-9 * w);
      const MoistAir ratio = air_at(t, p, Humidity::humidity_ratio, w);
      EXPECT_NEAR(ratio.relative_humidity.value, rh, 1e-12);
      const MoistAir vapour = air_at(t, p, Humidity::vapour_pressure, air.vapour_pressure.value);
      EXPECT_NEAR(vapour.humidity_ratio.value, w, 1e-13);
      if (w > 1e-4) {
        const MoistAir enthalpy =
            air_at(t, p, Humidity::enthalpy, air.enthalpy.value * (1 - 1e-12));
        EXPECT_NEAR(enthalpy.humidity_ratio.value, w, 1e-9);
      }
      EXPECT_NEAR(air.density * air.volume, 1.0 + w, 1e-14);
    }
  }
}
INSTANTIATE_TEST_SUITE_P(pressures, MoistAirGrid, testing::Values(101325.0, 83520.0, 61640.0));

TEST(MoistAir, saturation_temperature_inverts_saturation_pressure) {
  for (double t = -100.0; t <= 200.0; t += 7.0) {
    const Kelvin T = from_celsius(t);
    EXPECT_NEAR(saturation_temperature(saturation_pressure(T).value()).value().value, T.value,
                1e-9);
  }
}

TEST(MoistAir, ice_and_water_meet_at_the_triple_point) {
  const double ice = saturation_pressure({273.16}).value().value;
  const double water = saturation_pressure({273.16 + 1e-9}).value().value;
  EXPECT_NEAR(ice, 611.66, 0.05);
  EXPECT_NEAR(water, ice, 2e-4 * ice);
}

TEST(MoistAir, where_ice_and_water_both_give_a_wet_bulb_it_is_that_of_water) {
  // At 5 degC the humidity ratio of a wet bulb of 0 degC is 0.00175 over water, 0.00198 over ice.
  const MoistAir air = air_at(5, sea_level.value, Humidity::humidity_ratio, 0.0019);
  EXPECT_GT(to_celsius(air.wet_bulb), 0.0);
  EXPECT_NEAR(humidity_ratio_at_wet_bulb(air.dry_bulb, air.wet_bulb, sea_level).value, 0.0019,
              1e-12);
  const MoistAir drier = air_at(5, sea_level.value, Humidity::humidity_ratio, 0.0017);
  EXPECT_LT(to_celsius(drier.wet_bulb), 0.0);
}

TEST(MoistAir, dry_air_has_a_wet_bulb_and_no_dew_point) {
  const MoistAir air = air_at(25, sea_level.value, Humidity::relative, 0.0);
  EXPECT_FALSE(air.dew_point);
  EXPECT_EQ(air.humidity_ratio.value, 0.0);
  EXPECT_NEAR(air.density, 1.184, 1e-3);  // 101325/(287.042 * 298.15)
  EXPECT_NEAR(humidity_ratio_at_wet_bulb(air.dry_bulb, air.wet_bulb, sea_level).value, 0.0, 1e-12);
}

TEST(MoistAir, refuses_with_limits) {
  const auto refused = [](double t_degC, double p, Humidity known, double value) {
    const auto air = moist_air(from_celsius(t_degC), {p}, known, value);
    EXPECT_FALSE(air);
    return air ? std::string() : air.error().text();
  };
  const double p = sea_level.value;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NE(refused(250, p, Humidity::relative, 0.1).find("-100 to 200 degC"), std::string::npos);
  EXPECT_NE(refused(25, 5e3, Humidity::relative, 0.1).find("10 to 150 kPa"), std::string::npos);
  EXPECT_NE(refused(25, p, Humidity::relative, 1.1).find("0 to 1"), std::string::npos);
  EXPECT_NE(refused(25, p, Humidity::humidity_ratio, 0.03).find("at most 0.020"),
            std::string::npos);
  EXPECT_NE(refused(25, p, Humidity::wet_bulb, 300.0).find("above the dry bulb"),
            std::string::npos);
  EXPECT_NE(refused(40, p, Humidity::wet_bulb, 275.0).find("even dry air"), std::string::npos);
  EXPECT_NE(refused(25, p, Humidity::dew_point, 300.0).find("above the dry bulb"),
            std::string::npos);
  EXPECT_NE(refused(120, p, Humidity::relative, 1.0).find("leaves dry air"), std::string::npos);
  EXPECT_NE(refused(120, p, Humidity::wet_bulb, from_celsius(110).value).find("boils"),
            std::string::npos);
  for (const Humidity known :
       {Humidity::relative, Humidity::humidity_ratio, Humidity::wet_bulb, Humidity::dew_point,
        Humidity::vapour_pressure, Humidity::enthalpy}) {
    refused(25, p, known, nan);
    refused(nan, p, known, 0.5);
    refused(25, nan, known, 0.5);
    refused(25, p, known, std::numeric_limits<double>::infinity());
  }
}

}  // namespace
}  // namespace cw::air
