// What the program says of small invented logs in every mode, from file to text. Together with the
// demo they show every check of the catalogue at work, which the last test holds.
#include <gtest/gtest.h>

#include "checks/check.h"
#include "support/golden.h"
#include "support/recording_csv.h"

namespace cw {
namespace {

using test::RecordingBuilder;
using test::Scratch;
using test::Signal;

/// Runs `check` on a log and compares what it prints.
void expect_report(const std::string& name, const RecordingBuilder& log,
                   const std::string& arguments = "") {
  const Scratch scratch;
  const std::string file = scratch.file("log.csv", test::csv_of(log.build()));
  const auto ran = test::run_program(scratch, "check '" + file + "' " + arguments);
  EXPECT_EQ(ran.exit, 0) << ran.err;
  test::expect_no_paths(ran.out);
  test::compare_golden("check/" + name, ran.out);
}

/// Two modules and six units in cooling at 32 degC: module 2 reads a wrong suction pressure and its
/// fan stands; unit 4 has stopped and stays cold; unit 6 gets nothing; suction of module 1 hunts.
RecordingBuilder cooling_day() {
  RecordingBuilder log(30, 180);
  for (int k = 1; k <= 2; ++k) {
    const std::string place = "outdoor." + std::to_string(k);
    const bool odd = k == 2;
    log.with(place + ".mode", test::mode("cooling"))
        .with(place + ".compressor_frequency [Hz]", odd ? 52 : 55)
        .with(place + ".fan_step", 8)
        .with(place + ".discharge_pressure [kPa(a)]", odd ? 3380 : 3350)
        .with(place + ".suction_pressure [kPa(a)]", odd ? 1060 : 960)
        .with(place + ".discharge_temperature [degC]", odd ? 84 : 86)
        .with(place + ".suction_temperature [degC]",
              Signal([odd](double m) { return (odd ? 16.0 : 15.0 + 3.0 * std::sin(m * 2.0)); }))
        .with(place + ".liquid_temperature [degC]", 47)
        .with(place + ".shell_temperature [degC]", 46);
  }
  log.with("outdoor.1.suction_pressure [kPa(a)]",
           Signal([](double m) { return 960.0 + 20.0 * std::sin(m * 2.0); }))
      .with("site.outdoor_temperature [degC]", 32);
  for (int k = 1; k <= 6; ++k) {
    const std::string place = "indoor." + std::to_string(k);
    log.with(place + ".call", k == 4 ? Signal(1).from(20, 0) : Signal(1))
        .with(place + ".set_point [degC]", 24)
        .with(place + ".controlled_temperature [degC]", k == 6 ? 27.5 : 24.0 + 0.1 * k)
        .with(place + ".gas_pipe_temperature [degC]", k == 6 ? 26.0 : 12.0 + 0.3 * k)
        .with(place + ".liquid_pipe_temperature [degC]", k == 6 ? 24.0 : 8.0 + 0.1 * k);
  }
  return log;
}

/// A night at rest: the suction sensor of the module reads 6 K too much, the pressures agree.
RecordingBuilder resting_night() {
  return test::resting(300).with("outdoor.1.suction_temperature [degC]", 11);
}

/// Heating and cooling at once: unit 1 turns to cooling at 01:00 and its pipe follows after 14 min;
/// the box's liquid has no subcooling.
RecordingBuilder recovery_day() {
  RecordingBuilder log = test::healthy_recovery(180);
  log.with("indoor.1.mode", Signal(test::mode("heating")).from(60, test::mode("cooling")))
      .with("indoor.1.set_point [degC]", Signal(22).from(60, 21))
      .with("indoor.1.gas_pipe_temperature [degC]", Signal(55).from(74, 12))
      .with("indoor.1.liquid_pipe_temperature [degC]", Signal(38).from(74, 8))
      .with("indoor.3.mode", test::mode("heating"))
      .with("indoor.3.call", 1)
      .with("indoor.3.set_point [degC]", 22)
      .with("indoor.3.controlled_temperature [degC]", 21.6)
      .with("indoor.3.gas_pipe_temperature [degC]", 54)
      .with("indoor.3.liquid_pipe_temperature [degC]", 37)
      .with("branch.1.liquid_temperature [degC]", 42.6);
  return log;
}

/// Heating at full speed in the cold, with a system sheet: thin suction gas, so that the module
/// gives far less than it is rated for; discharge colder than its compressor makes dry gas.
RecordingBuilder heating_day() {
  RecordingBuilder log = test::healthy_heating(240);
  Signal flag(0);
  Signal coil(-13);
  for (const double start : {60.0, 150.0}) {
    flag = flag.during(start, start + 6, 1);
    coil = coil.during(start + 3, start + 6, 12);
  }
  log.with("outdoor.1.defrost", flag)
      .with("outdoor.1.coil_temperature [degC]", coil)
      .with("outdoor.1.compressor_frequency [Hz]", 110)
      .with("outdoor.1.compressor_frequency_limit [Hz]", 110)
      .with("outdoor.1.discharge_pressure [kPa(a)]", 2950)
      .with("outdoor.1.suction_pressure [kPa(a)]", 380)
      .with("outdoor.1.discharge_temperature [degC]", 86)
      .with("outdoor.1.suction_temperature [degC]", -15)
      .with("outdoor.1.liquid_temperature [degC]", 38)
      .with("outdoor.1.shell_temperature [degC]", 16)
      .with("outdoor.1.fan_speed [Hz]", 14)
      .with("indoor.1.liquid_pipe_temperature [degC]", 41);
  log.without("outdoor.1.saturated_condensing_temperature")
      .without("outdoor.1.saturated_evaporating_temperature");
  return log;
}

constexpr const char* heating_sheet = R"(name = "Small office"
refrigerant = "R-410A"
[site]
altitude = "600 m"
[[outdoor]]
cooling = "28 kW"
heating = "31.5 kW"
compressor = { displacement = "68 mL", speed_highest = "110 Hz" }
[[indoor]]
cooling = "28 kW"
[[pipe]]
from = "outdoor.1"
to = "indoor.1"
length = "20 m"
)";

TEST(CheckGolden, Cooling) { expect_report("cooling.txt", cooling_day()); }

TEST(CheckGolden, Standstill) { expect_report("standstill.txt", resting_night()); }

TEST(CheckGolden, HeatRecovery) { expect_report("recovery.txt", recovery_day()); }

TEST(CheckGolden, HeatingWithASystemSheet) {
  const Scratch scratch;
  const std::string sheet = scratch.file("system.toml", heating_sheet);
  const std::string log = scratch.file("log.csv", test::csv_of(heating_day().build()));
  scratch.file("machines.toml", R"(sheet = "machines of 2019"
[discharge-temperature]
watch_above = { value = "100 degC", source = "their book" }
[condensing-target]
target = { value = "50 degC", source = "their book" }
)");
  const std::string limits = scratch.file("site.toml", R"(sheet = "small office"
inherits = "machines.toml"
[condensing-target]
target = { value = "48 degC", source = "commissioning sheet" }
)");
  const auto ran = test::run_program(
      scratch, "check '" + log + "' --system '" + sheet + "' --limits '" + limits + "'");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  test::expect_no_paths(ran.out);
  test::compare_golden("check/heating_sheet.txt", ran.out);
}

TEST(CheckGolden, EveryCheckIsAtWorkInOneOfThem) {
  std::string all;
  const auto golden = std::filesystem::path(CW_SOURCE_ROOT) / "tests" / "golden";
  for (const char* name : {"demo.txt", "check/cooling.txt", "check/standstill.txt",
                           "check/recovery.txt", "check/heating_sheet.txt"}) {
    all += test::slurp(golden / name);
  }
  for (const Check& check : check_catalogue()) {
    bool found = false;
    for (const char* verdict : {"ok        ", "watch     ", "fault     "}) {
      found = found ||
              all.find("\n  " + std::string(verdict) + check.title + "\n") != std::string::npos;
    }
    EXPECT_TRUE(found) << check.id << " gives an answer in no golden report";
  }
}

}  // namespace
}  // namespace cw
