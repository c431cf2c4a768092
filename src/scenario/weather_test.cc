#include "scenario/weather.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <string>

#include "base/units.h"
#include "scenario/test_support.h"

namespace {

using namespace cw;
using namespace cw::scenario;
using testing::HasSubstr;

constexpr double zero_C = 273.15;

/// A year of our own: temperature is the hour of the day in degC, humidity 50 %.
std::string epw_year(int wrong_hour = -1, const char* wrong_cell = "") {
  std::string text = "LOCATION,Nowhere,-,-,own,0,0.0,0.0,-6.0,100.0\n";
  for (int i = 0; i < 7; ++i) text += "HEADING\n";
  constexpr int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  int n = 0;
  for (int month = 1; month <= 12; ++month) {
    for (int day = 1; day <= days[month - 1]; ++day) {
      for (int hour = 1; hour <= 24; ++hour, ++n) {
        text += "2001," + std::to_string(month) + "," + std::to_string(day) + "," +
                std::to_string(hour) + ",0,x," +
                (n == wrong_hour ? std::string(wrong_cell) : std::to_string(hour % 24)) +
                ",0,50,99000\n";
      }
    }
  }
  return text;
}

TEST(WeatherYear, AnEpwYearOfOurOwn) {
  const auto year = parse_weather_year(epw_year(), "own.epw");
  ASSERT_TRUE(year) << year.error().text();
  EXPECT_EQ(year->name, "Nowhere");
  EXPECT_EQ(year->offset_h, -6.0);
  ASSERT_EQ(year->temperature_K.size(), 8760U);
  // Hour 24 of 31 December is 00:00 of the year.
  EXPECT_NEAR(year->temperature_K[0], zero_C, 1e-4);
  EXPECT_NEAR(year->temperature_K[23], zero_C + 23.0, 1e-4);
  const WeatherCourse course(*year, 10.5, -5.0);
  EXPECT_NEAR(course.at(0.0).temperature_K, zero_C + 5.5, 1e-3);
  EXPECT_NEAR(course.at(365.0 * 86400.0).temperature_K, zero_C + 5.5, 1e-3) << "it repeats";
  EXPECT_NEAR(course.at(-11.0 * 3600.0).temperature_K, zero_C + 6.5, 1e-3)
      << "23:30 the day before";
  EXPECT_NEAR(course.at(0.0).relative_humidity, 0.5, 1e-6);
}

TEST(WeatherYear, WhatIsWrongIsNamedWithItsLine) {
  const auto missing = parse_weather_year(epw_year(100, "99.9"), "own.epw");
  ASSERT_FALSE(missing);
  EXPECT_EQ(missing.error().where, "own.epw:109");
  EXPECT_THAT(missing.error().message, HasSubstr("missing"));
  const auto text = parse_weather_year(epw_year(100, "warm"), "own.epw");
  ASSERT_FALSE(text);
  EXPECT_THAT(text.error().message, HasSubstr("no number"));
  EXPECT_FALSE(parse_weather_year("", "empty"));
  EXPECT_FALSE(parse_weather_year("time,temperature\n1,2\n", "log.csv"));
  EXPECT_FALSE(parse_weather_year("LOCATION\n", "short.epw"));
  std::string half = epw_year();
  half.resize(half.size() / 2);
  half.resize(half.rfind('\n') + 1);
  const auto part = parse_weather_year(half, "half.epw");
  ASSERT_FALSE(part);
  EXPECT_THAT(part.error().message, HasSubstr("hours are missing"));
}

/// Two published years; the numbers below were read from the files by hand.
TEST(WeatherYear, PublishedYears) {
  const std::filesystem::path data =
      std::filesystem::path(CW_SOURCE_ROOT) / ".." / "shared" / "data" / "weather";
  if (!std::filesystem::exists(data)) GTEST_SKIP() << "no weather years beside the repository";
  const auto cold = read_weather_year(data / "Fairbanks_TMY3.csv");
  ASSERT_TRUE(cold) << cold.error().text();
  EXPECT_EQ(cold->name, "FAIRBANKS INTL ARPT");
  EXPECT_EQ(cold->offset_h, -9.0);
  EXPECT_NEAR(cold->temperature_K[1], zero_C - 14.4, 1e-3);  // 01/01 01:00
  EXPECT_NEAR(cold->relative_humidity[1], 0.87, 1e-6);
  EXPECT_NEAR(cold->temperature_K[24], zero_C - 15.0, 1e-3);  // 01/01 24:00
  const auto mild = read_weather_year(data / "chicago.epw");
  ASSERT_TRUE(mild) << mild.error().text();
  EXPECT_NEAR(mild->temperature_K[1], zero_C - 12.2, 1e-3);
  EXPECT_NEAR(mild->relative_humidity[2], 0.75, 0.2);
}

TEST(WeatherCourse, AProfileIsColdestWhenItSays) {
  // Starts at 05:00; coldest at 06:00.
  const WeatherCourse course(WeatherProfile{264.15, 10.0, 6.0 * 3600.0, 0.85}, 5.0 * 3600.0);
  EXPECT_NEAR(course.at(3600.0).temperature_K, 259.15, 1e-9);
  EXPECT_NEAR(course.at(13.0 * 3600.0).temperature_K, 269.15, 1e-9);
  EXPECT_NEAR(course.at(7.0 * 3600.0).temperature_K, 264.15, 1e-9);
  EXPECT_EQ(course.at(0.0).relative_humidity, 0.85);
}

TEST(WeatherCourse, PointsAreJoinedByLinesAndHoldAtTheEnds) {
  const WeatherCourse course(std::vector<WeatherPoint>{{0.0, 270.0, 0.6}, {3600.0, 260.0, 0.9}});
  EXPECT_EQ(course.at(-100.0).temperature_K, 270.0);
  EXPECT_NEAR(course.at(900.0).temperature_K, 267.5, 1e-9);
  EXPECT_NEAR(course.at(900.0).relative_humidity, 0.675, 1e-9);
  EXPECT_EQ(course.at(1e6).temperature_K, 260.0);
}

TEST(WeatherCourse, ThroughAScenario) {
  const Scenario s = cw::scenario::test::scenario_of(cw::scenario::test::text_with(
      "", "[weather]\nmean = \"-9 degC\"\nswing = \"10 K\"\ncoldest = 05:30:00\n"));
  EXPECT_NEAR(s.weather.at(1800.0).temperature_K, 259.15, 1e-9);
}

}  // namespace
