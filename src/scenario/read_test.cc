#include "scenario/read.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/file.h"
#include "scenario/test_support.h"

namespace {

using namespace cw;
using namespace cw::scenario;
using cw::scenario::test::scenario_of;
using cw::scenario::test::text_with;
using testing::HasSubstr;

TEST(ReadScenario, TheLeastThatIsNeeded) {
  const Scenario s = scenario_of(text_with(""));
  EXPECT_EQ(s.duration_s, 3600.0);
  EXPECT_EQ(s.warm_up_s, 0.0);
  // The sheet's zone: 05:00 in Chicago in January is 11:00 UTC.
  EXPECT_EQ(s.clock.zone, "America/Chicago");
  EXPECT_EQ(s.start, *instant_of({2026, 1, 20, 11, 0, 0, 0}));
  EXPECT_EQ(s.loggers.size(), 1U);
  EXPECT_EQ(s.loggers[0].file, "recording.csv");
  EXPECT_EQ(s.schedule.first.size(), 12U);
  // 18 kg as shipped and 9.7 kg weighed in, the sheet says.
  EXPECT_DOUBLE_EQ(s.charge_kg, 27.7);
}

TEST(ReadScenario, AnOffsetInTheStartRulesOverTheSheetsZone) {
  const Scenario s = scenario_of(
      "system = \"demo_office\"\nstart = 2026-01-20T05:00:00+09:30\nduration = \"2 h\"\n"
      "[weather]\nmean = \"20 degF\"\n");
  EXPECT_EQ(s.clock.kind, Clock::Kind::offset);
  EXPECT_EQ(s.clock.offset_minutes, 570);
  EXPECT_EQ(s.start, *instant_of({2026, 1, 19, 19, 30, 0, 0}));
  EXPECT_NEAR(s.weather.at(0.0).temperature_K, 266.4833, 1e-4);  // (20 + 459.67) / 1.8
}

TEST(ReadScenario, EverythingAtOnce) {
  const Scenario s = scenario_of(R"(
name = "All"
note = "of it"
system = "demo_office"
start = 2026-01-20T05:00:00
zone = "Europe/Oslo"
duration = "48 h"
warm_up = "2 h"
rooms = "66 degF"
charge = "30 kg"
seed = 7
[weather]
mean = "-9 degC"
swing = "10 K"
coldest = 06:30:00
humidity = "85 %"
[plant]
change_over = "15 degC"
band = "3 K"
[schedule]
on = true
set_point = "21 degC"
gains = "200 W"
[[schedule.change]]
at = 18:00:00
days = "weekdays"
units = ["indoor.1", "indoor.1*"]
set_point = "19 degC"
[[schedule.change]]
at = "90 min"
on = false
[[fault]]
kind = "leak"
severity = "0.4 kg/h"
from = 2026-01-20T09:00:00
ramp = "2 h"
[[fault]]
kind = "valve_stuck"
place = "indoor.7"
severity = "3 %"
from = "4 h"
until = "6 h"
[[fault]]
kind = "sensor_bias"
place = "outdoor.2.suction_pressure"
severity = "30 kPa"
[[fault]]
kind = "outdoor_coil_blocked"
place = "outdoor.*"
severity = "20 %"
[[logger]]
file = "roof.csv"
interval = "1 min"
channels = ["outdoor.*", "site.*"]
without = "*.fan_step"
units = "ip"
gauge = true
stamps = "month/day/year"
decimal = ","
noise = { temperature = "0.2 K", pressure = "1 psi" }
accuracy = { temperature = "0.5 K" }
resolution = { pressure = "0 kPa", temperature = "1 K" }
lost_cells = "1 %"
random_gaps = { per_day = 3, longest = "5 min" }
gap = [{ from = "3 h", until = "3.5 h" }]
)");
  ASSERT_EQ(s.faults.size(), 5U);  // one of the four is for both modules
  EXPECT_EQ(s.faults[0].from_s, 4.0 * 3600.0);
  EXPECT_DOUBLE_EQ(s.faults[0].at(5.0 * 3600.0), 0.5 * 0.4 / 3600.0);  // half of the ramp
  EXPECT_EQ(s.faults[0].at(3.9 * 3600.0), 0.0);
  EXPECT_EQ(s.faults[1].target.index, 6U);
  EXPECT_FALSE(s.faults[1].is_on(6.0 * 3600.0));
  EXPECT_EQ(s.faults[2].target.channel, "outdoor.2.suction_pressure");
  EXPECT_DOUBLE_EQ(s.faults[2].severity, 30e3);
  EXPECT_EQ(s.faults[4].place, "outdoor.2");
  ASSERT_EQ(s.loggers.size(), 1U);
  EXPECT_EQ(s.loggers[0].units, UnitSystem::ip);
  EXPECT_EQ(s.loggers[0].resolution.at(Dimension::temperature), 1.0);
  EXPECT_EQ(*s.plant.change_over_K, 288.15);

  // 18:00 of the day, of the next, and of the Mondays to Fridays before; 06:30 once.
  ScheduleFollower follower(s.schedule);
  const auto& units = follower.at(-7200.0);
  EXPECT_EQ(units[0].set_point_K, 292.15) << "Monday 18:00 was before the start";
  EXPECT_EQ(units[1].set_point_K, 294.15);
  EXPECT_EQ(units[9].set_point_K, 292.15) << "indoor.10 matches indoor.1*";
  EXPECT_TRUE(units[0].on);
  EXPECT_FALSE(follower.at(5400.0)[11].on);
  EXPECT_EQ(follower.next_change_s(), 13.0 * 3600.0);
}

TEST(ReadScenario, ADailyTimeThatTheClockChangeLeavesOutComesAnHourLater) {
  // Chicago 2026-03-08: 02:00 becomes 03:00.
  const Scenario s = scenario_of(
      "system = \"demo_office\"\nstart = 2026-03-08T00:00:00\nduration = \"24 h\"\n"
      "[weather]\nmean = \"5 degC\"\n[schedule]\n[[schedule.change]]\nat = 02:30:00\non = true\n");
  ScheduleFollower follower(s.schedule);
  follower.at(0.0);
  EXPECT_EQ(follower.next_change_s(), 2.5 * 3600.0);
}

struct Bad {
  const char* text;
  const char* where;
  const char* message;
};

class BadScenario : public testing::TestWithParam<Bad> {};

TEST_P(BadScenario, IsRefusedWithItsLineAndAWayOut) {
  const ScenarioReading reading = read_scenario_text(GetParam().text, "bad.toml", ".");
  EXPECT_FALSE(reading.scenario);
  ASSERT_FALSE(reading.errors.empty());
  const Error& error = reading.errors.front();
  EXPECT_EQ(error.where, GetParam().where) << error.text();
  EXPECT_THAT(error.text(), HasSubstr(GetParam().message));
  EXPECT_FALSE(error.fix.empty()) << error.text();
}

#define HEAD "system = \"demo_office\"\nstart = 2026-01-20T05:00:00\nduration = \"8 h\"\n"
#define COLD "[weather]\nmean = \"-9 degC\"\n"

INSTANTIATE_TEST_SUITE_P(
    All, BadScenario,
    testing::Values(
        Bad{"system = \"demo_office\n", "bad.toml:1:22", ""},
        Bad{"start = 2026-01-20T05:00:00\nduration = \"8 h\"\n" COLD, "bad.toml:1",
            "system is missing"},
        Bad{"system = \"demo_offise\"\n", "bad.toml:1", "no system sheet"},
        Bad{"system = \"absent.toml\"\nstart = 2026-01-20T05:00:00\nduration = \"8 h\"\n" COLD,
            "./absent.toml", "Check the path"},
        Bad{"system = \"demo_office\"\nduration = \"8 h\"\n" COLD, "bad.toml:1",
            "start is missing"},
        Bad{"system = \"demo_office\"\nstart = \"tomorrow\"\nduration = \"8 h\"\n" COLD,
            "bad.toml:2", "must be a date and time"},
        Bad{"system = \"demo_office\"\nstart = 2026-03-08T02:30:00\nduration = \"8 h\"\n" COLD,
            "bad.toml:2", "clock change"},
        Bad{"system = \"demo_office\"\nstart = 2026-01-20T05:00:00\n" COLD, "bad.toml:1",
            "duration is missing"},
        Bad{"system = \"demo_office\"\nstart = 2026-01-20T05:00:00\nduration = \"8\"\n" COLD,
            "bad.toml:3", "has no unit"},
        Bad{"system = \"demo_office\"\nstart = 2026-01-20T05:00:00\nduration = \"-8 h\"\n" COLD,
            "bad.toml:3", "cannot be"},
        Bad{HEAD "weathr = 1\n" COLD, "bad.toml:4", "Did you mean \"weather\"?"},
        Bad{HEAD, "bad.toml:1", "there is no weather"},
        Bad{HEAD "[weather]\nswing = \"3 K\"\n", "bad.toml:4", "how warm"},
        Bad{HEAD "[weather]\nmean = \"-80 degC\"\n", "bad.toml:5", "from -45 degC to 55 degC"},
        Bad{HEAD "[weather]\nmean = \"1 degC\"\nfile = \"x.epw\"\n", "bad.toml:6", "one of"},
        Bad{HEAD "[weather]\nfile = \"absent.epw\"\n", "./absent.epw", ""},
        Bad{HEAD "[weather]\nmean = \"1 degC\"\ncoldest = \"6 h\"\n", "bad.toml:6", "time of day"},
        Bad{HEAD "[[weather.point]]\nat = \"1 h\"\ntemperature = \"1 degC\"\n[[weather.point]]\nat "
                 "= \"1 h\"\ntemperature = \"1 degC\"\n",
            "bad.toml:8", "follow each other"},
        Bad{HEAD COLD "[plant]\nmode = \"heat\"\n", "bad.toml:7", "not known"},
        Bad{HEAD COLD "[plant]\nmode = \"heating\"\nchange_over = \"10 degC\"\n", "bad.toml:8",
            "contradict"},
        Bad{HEAD COLD "[schedule]\nset_point = \"80 degF\"\ncall = \"no\"\n", "bad.toml:8",
            "\"never\""},
        Bad{HEAD COLD "[[schedule.change]]\nunits = \"indoor.13\"\nat = 18:00:00\non = false\n",
            "bad.toml:7", "no indoor unit"},
        Bad{HEAD COLD "[[schedule.change]]\nat = 18:00:00\n", "bad.toml:7", "changes nothing"},
        Bad{HEAD COLD "[[fault]]\nkind = \"leek\"\n", "bad.toml:7", "Did you mean \"leak\"?"},
        Bad{HEAD COLD "[[fault]]\nkind = \"leak\"\n", "bad.toml:6", "needs a severity"},
        Bad{HEAD COLD "[[fault]]\nkind = \"leak\"\nseverity = \"4 kg\"\n", "bad.toml:8",
            "mass_flow is needed"},
        Bad{HEAD COLD "[[fault]]\nkind = \"leak\"\nplace = \"outdoor.1\"\nseverity = \"1 kg/h\"\n",
            "bad.toml:8", "whole system"},
        Bad{HEAD COLD "[[fault]]\nkind = \"fan_lost\"\nseverity = \"1\"\n", "bad.toml:6",
            "needs a place"},
        Bad{HEAD COLD "[[fault]]\nkind = \"fan_lost\"\nplace = \"indoor.1\"\nseverity = \"1\"\n",
            "bad.toml:8", "no outdoor module"},
        Bad{HEAD COLD "[[fault]]\nkind = \"filter_blocked\"\nplace = \"indoor.1\"\nseverity = "
                      "\"99 %\"\n",
            "bad.toml:9", "from 0 % to 95 %"},
        Bad{HEAD COLD "[[fault]]\nkind = \"sensor_bias\"\nplace = \"indoor.1.call\"\nseverity = "
                      "\"1 K\"\n",
            "bad.toml:8", "no channel"},
        Bad{HEAD COLD "[[fault]]\nkind = \"leak\"\nseverity = \"1 kg/h\"\nfrom = \"9 h\"\n",
            "bad.toml:9", "after the end"},
        Bad{HEAD COLD "[[fault]]\nkind = \"leak\"\nseverity = \"1 kg/h\"\nfrom = \"3 h\"\nuntil = "
                      "\"2 h\"\n",
            "bad.toml:10", "ends before"},
        Bad{HEAD COLD "[[fault]]\nkind = \"undercharge\"\nseverity = \"50 kg\"\n", "bad.toml:1",
            "more refrigerant is missing"},
        Bad{HEAD COLD "[[fault]]\nkind = \"undercharge\"\nseverity = \"2 kg\"\nramp = \"1 h\"\n",
            "bad.toml:9", "gradually"},
        Bad{HEAD COLD "[[logger]]\nfile = \"../x.csv\"\n", "bad.toml:7", "no name"},
        Bad{HEAD COLD "[[logger]]\nchannels = \"outdoor.3.*\"\n", "bad.toml:7", "no channel"},
        Bad{HEAD COLD "[[logger]]\n[[logger]]\nfile = \"recording.csv\"\n", "bad.toml:8",
            "two loggers"},
        Bad{HEAD COLD "[[logger]]\nnoise = { temp = \"1 K\" }\n", "bad.toml:7", "unknown key"},
        Bad{HEAD COLD "[[logger]]\ngap = [{ from = \"2 h\" }]\n", "bad.toml:7", "needs from"},
        Bad{HEAD COLD "[[logger]]\nstamps = \"dd.mm.yyyy\"\n", "bad.toml:7", "not known"},
        Bad{HEAD "seed = -3\n" COLD, "bad.toml:4", "whole number"}));

TEST(ReadScenario, SeveralMistakesComeTogetherInTheOrderOfTheFile) {
  const ScenarioReading reading = read_scenario_text(
      HEAD "seed = \"x\"\n[weather]\nmean = 3\n[[fault]]\nkind = \"leek\"\n", "bad.toml", ".");
  ASSERT_EQ(reading.errors.size(), 3U);
  EXPECT_EQ(reading.errors[0].where, "bad.toml:4");
  EXPECT_EQ(reading.errors[1].where, "bad.toml:6");
  EXPECT_EQ(reading.errors[2].where, "bad.toml:8");
}

TEST(ReadScenario, NoCutOfAScenarioCrashes) {
  const std::string whole =
      *read_file(std::string(CW_SOURCE_ROOT) + "/data/scenarios/demo_winter.toml");
  for (std::size_t size = 0; size < whole.size(); size += 7) {
    const ScenarioReading reading = read_scenario_text(whole.substr(0, size), "cut.toml", ".");
    EXPECT_TRUE(reading.scenario || !reading.errors.empty()) << size;
  }
}

TEST(ReadScenario, EveryFaultOfTheListCanBeWritten) {
  for (const FaultKind& kind : fault_kinds()) {
    std::string text = "[[fault]]\nkind = \"" + std::string(kind.name) + "\"\n";
    if (!kind.example.empty()) text += "severity = \"" + std::string(kind.example) + "\"\n";
    if (kind.place == FaultPlace::unit) text += "place = \"indoor.3\"\n";
    if (kind.place == FaultPlace::module || kind.place == FaultPlace::module_or_unit) {
      text += "place = \"outdoor.2\"\n";
    }
    if (kind.place == FaultPlace::channel) text += "place = \"site.outdoor_temperature\"\n";
    const Scenario s = scenario_of(text_with(text));
    ASSERT_EQ(s.faults.size(), 1U) << kind.name;
    twin::Faults faults;
    faults_at(s.faults, s.system, 10.0, faults);
    EXPECT_EQ(faults.modules.size(), 2U);
    EXPECT_EQ(faults.units.size(), 12U);
    if (kind.charge_sign == 0.0) {
      ASSERT_NE(kind.apply, nullptr) << kind.name;
      twin::Faults later;
      faults_at(s.faults, s.system, 1e9, later);
    }
  }
}

TEST(ReadScenario, TheGuideHasEveryFault) {
  const std::string guide = *read_file(std::string(CW_SOURCE_ROOT) + "/docs/user/simulate.md");
  for (const FaultKind& kind : fault_kinds()) {
    EXPECT_THAT(guide, HasSubstr("`" + std::string(kind.name) + "`"));
  }
}

TEST(Faults, SeveritiesOfOneKindAddUpToTheMostThatThereIs) {
  const Scenario s = scenario_of(text_with(
      "[[fault]]\nkind = \"outdoor_coil_blocked\"\nplace = \"outdoor.1\"\nseverity = \"60 %\"\n"
      "[[fault]]\nkind = \"outdoor_coil_blocked\"\nplace = \"outdoor.*\"\nseverity = \"50 %\"\n"
      "from = \"10 min\"\nramp = \"20 min\"\n"));
  twin::Faults faults;
  faults_at(s.faults, s.system, 0.0, faults);
  EXPECT_DOUBLE_EQ(faults.modules[0].coil_blocked, 0.6);
  EXPECT_EQ(faults.modules[1].coil_blocked, 0.0);
  faults_at(s.faults, s.system, 1200.0, faults);
  EXPECT_DOUBLE_EQ(faults.modules[0].coil_blocked, 0.85);
  EXPECT_DOUBLE_EQ(faults.modules[1].coil_blocked, 0.25);
  faults_at(s.faults, s.system, 1800.0, faults);
  EXPECT_DOUBLE_EQ(faults.modules[0].coil_blocked, 0.95);
}

}  // namespace
