#include "twin/sheet_tables.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>
#include <string>
#include <vector>

#include "base/file.h"
#include "fluid/saturation.h"
#include "system/sheet.h"
#include "twin/pressure_limits.h"
#include "twin/twin.h"

namespace {

using namespace cw;
using namespace cw::twin;
using testing::HasSubstr;

// Eight lines: the tables of a test start on line 9.
constexpr const char* head = R"(refrigerant = "R-410A"
[[outdoor]]
cooling = "28 kW"
[[indoor]]
cooling = "14 kW"
[piping]
main = "20 m"
branch = "5 m"
)";

Result<Parameters> read_tables(const std::string& tables) {
  const Result<System> system = parse_system(head + tables, "office.toml");
  if (!system) return system.error();
  return parameters_of(*system);
}

/// Every figure in one line, to compare two sets.
std::string shown(const Parameters& p) {
  std::ostringstream out;
  out.precision(12);
  const Controls& c = p.controls;
  for (const double v : {c.condensing_target_K,
                         c.evaporating_target_K,
                         c.cooling_condensing_K,
                         c.heating_evaporating_K,
                         c.subcooling_K,
                         c.superheat_K,
                         c.outdoor_superheat_K,
                         c.outdoor_band_K,
                         c.stopped_opening,
                         c.discharge_limit_K,
                         c.discharge_trip_K,
                         c.high_pressure_limit_Pa,
                         c.high_pressure_trip_Pa,
                         c.low_pressure_limit_Pa,
                         c.low_pressure_trip_Pa,
                         c.period_s,
                         c.ramp_Hz_per_s,
                         c.valve_per_period,
                         c.start_s,
                         c.start_speed,
                         c.least_off_s,
                         c.thermostat_K,
                         c.heating_offset_K,
                         c.defrost_coil_K,
                         c.defrost_drop_K,
                         c.defrost_least_interval_s,
                         c.defrost_end_K,
                         c.defrost_longest_s,
                         c.turn_over_K,
                         c.turn_under_K,
                         c.turn_after_s,
                         c.oil_return_interval_s,
                         c.oil_return_s,
                         static_cast<double>(c.defrost_at_once),
                         p.outdoor_coil_factor,
                         p.indoor_coil_factor,
                         p.outdoor_air_factor,
                         p.volumetric_factor,
                         p.work_factor,
                         p.leak_factor,
                         p.volume_ratio_factor,
                         p.shell_loss_factor,
                         p.suction_heat_factor,
                         p.volume_factor,
                         p.longest_step_s,
                         p.step_factor,
                         static_cast<double>(p.outdoor_cells),
                         static_cast<double>(p.indoor_cells),
                         static_cast<double>(static_cast<int>(p.slip))}) {
    out << v << ' ';
  }
  return out.str();
}

/// The defaults as they are for R-410A, the refrigerant of `head`.
Parameters defaults() {
  Parameters p;
  settle_pressure_limits(**fluid::find_refrigerant("R-410A"), p.controls);
  p.controls.defrost_at_once = 1;  // all of one module
  return p;
}

TEST(SheetTables, WithoutThemTheDefaultsHold) {
  EXPECT_EQ(shown(read_tables("").value()), shown(defaults()));
}

TEST(SheetTables, FiguresWithUnitsBecomeSi) {
  const Parameters p = read_tables(R"([control]
condensing_target = "120.2 degF"
superheat = "9 degF"
high_pressure_limit = "37 bar"
ramp = "1.5 Hz/s"
stopped_opening = "4 %"
oil_return_interval = "6 h"
heating_offset = "-2 K"
[twin]
slip = "smith"
outdoor_cells = 12
indoor_cells = 3
work_factor = 1.1
longest_step = "2 s"
)")
                           .value();
  EXPECT_NEAR(p.controls.condensing_target_K, 322.15, 1e-9);  // 49 degC
  EXPECT_NEAR(p.controls.superheat_K, 5.0, 1e-9);
  EXPECT_NEAR(p.controls.high_pressure_limit_Pa, 3.7e6, 1e-3);
  EXPECT_DOUBLE_EQ(p.controls.ramp_Hz_per_s, 1.5);
  EXPECT_DOUBLE_EQ(p.controls.stopped_opening, 0.04);
  EXPECT_DOUBLE_EQ(p.controls.oil_return_interval_s, 21600.0);
  EXPECT_DOUBLE_EQ(p.controls.heating_offset_K, -2.0);
  EXPECT_EQ(p.slip, SlipModel::smith);
  EXPECT_EQ(p.outdoor_cells, 12);
  EXPECT_EQ(p.indoor_cells, 3);
  EXPECT_DOUBLE_EQ(p.work_factor, 1.1);
  EXPECT_DOUBLE_EQ(p.longest_step_s, 2.0);
}

struct Refused {
  const char* tables;
  ErrorCode code;
  const char* message;
  const char* fix;
};

// The one key of each stands on line 10.
const Refused refused[] = {
    {"[control]\ncondensing_taget = \"49 degC\"", ErrorCode::parse, "condensing_taget",
     "\"condensing_target\""},
    {"[twin]\noutdoor_cels = 5", ErrorCode::parse, "outdoor_cels", "\"outdoor_cells\""},
    {"[control]\nsubcooling = \"6 kPa\"", ErrorCode::unit, "subcooling", "6 K"},
    {"[control]\nsubcooling = 6", ErrorCode::unit, "subcooling", "6 K"},
    {"[control]\nsubcooling = true", ErrorCode::parse, "subcooling", "6 K"},
    {"[control]\nramp = \"0.5 Hz\"", ErrorCode::unit, "Hz/s", "0.5 Hz/s"},
    {"[control]\nramp = \"fast Hz/s\"", ErrorCode::parse, "ramp", "0.5 Hz/s"},
    {"[control]\nramp = \"50 Hz/s\"", ErrorCode::out_of_range, "50.0 Hz/s", "0.5 Hz/s"},
    {"[control]\ncondensing_target = \"120 degC\"", ErrorCode::out_of_range, "120.0", "unit"},
    {"[control]\nsuperheat = \"nan K\"", ErrorCode::parse, "superheat", "5 K"},
    {"[control]\ndefrost_at_once = 2", ErrorCode::out_of_range, "1 to 1", "defrost_at_once = 1"},
    {"[twin]\noutdoor_cells = 13", ErrorCode::out_of_range, "3 to 12", "outdoor_cells = 8"},
    {"[twin]\nindoor_cells = 5.5", ErrorCode::out_of_range, "whole number", "indoor_cells = 5"},
    {"[twin]\nslip = \"zivvi\"", ErrorCode::parse, "slip", "\"zivi\""},
    {"[twin]\nslip = 3", ErrorCode::parse, "slip", "\"zivi\""},
    {"[control]\nhigh_pressure_limit = \"43 bar\"", ErrorCode::inconsistent, "high_pressure_trip",
     "one of the two"},
    {"[control]\nlow_pressure_limit = \"1 bar\"", ErrorCode::inconsistent, "low_pressure_trip",
     "one of the two"},
    {"[control]\ndischarge_limit = \"118 degC\"", ErrorCode::inconsistent, "discharge_trip",
     "one of the two"},
};

TEST(SheetTables, MistakesAreRefusedWithTheirLine) {
  for (const Refused& r : refused) {
    const Result<Parameters> p = read_tables(r.tables);
    ASSERT_FALSE(p) << r.tables;
    EXPECT_EQ(p.error().code, r.code) << p.error().text();
    EXPECT_EQ(p.error().where, "office.toml:10") << p.error().text();
    EXPECT_THAT(p.error().message, HasSubstr(r.message)) << r.tables;
    EXPECT_THAT(p.error().fix, HasSubstr(r.fix)) << r.tables;
  }
}

// With two lines there is one gas line for all, and so one position of the reversing valves.
TEST(SheetTables, OnlyThreeLinesLetModulesDefrostByTurns) {
  const auto at_once = [](const std::string& sheet) {
    const auto p = parameters_of(parse_system(sheet, "office.toml").value());
    return p ? p->controls.defrost_at_once : -1;
  };
  std::string two = head;
  two.insert(two.find("[[indoor]]"), "[[outdoor]]\ncooling = \"14 kW\"\n");
  EXPECT_EQ(at_once(two), 2);
  EXPECT_EQ(at_once(two + "[control]\ndefrost_at_once = 2\n"), 2);
  const auto refuses =
      parameters_of(parse_system(two + "[control]\ndefrost_at_once = 1\n", "office.toml").value());
  ASSERT_FALSE(refuses);
  EXPECT_EQ(refuses.error().where, "office.toml:12");
  EXPECT_THAT(refuses.error().message, HasSubstr("one gas line"));
  std::string three = two.substr(0, two.find("[piping]")) + "[[branch]]\nports = 1\n";
  for (const char* run : {"outdoor.1\"\nto = \"joint.1", "outdoor.2\"\nto = \"joint.1",
                          "joint.1\"\nto = \"branch.1", "branch.1\"\nto = \"indoor.1"}) {
    three += std::string("[[pipe]]\nfrom = \"") + run + "\"\nlength = \"8 m\"\n";
  }
  EXPECT_EQ(at_once(three), 1);
  EXPECT_EQ(at_once(three + "[control]\ndefrost_at_once = 2\n"), 2);
}

// What a limit protects from stands at a temperature, not at a pressure. Dew pressures at the
// points of R-410A, from the equations of state, checked against the tables in their sources.
TEST(SheetTables, LimitsOfPressureFollowTheRefrigerant) {
  const auto limits = [](const std::string& name, const std::string& tables) {
    std::string sheet = head + tables;
    sheet.replace(sheet.find("R-410A"), 6, name);
    return parameters_of(parse_system(sheet, "office.toml").value()).value().controls;
  };
  const Controls known = limits("R-410A", "");
  EXPECT_DOUBLE_EQ(known.high_pressure_limit_Pa, 3.7e6);
  EXPECT_DOUBLE_EQ(known.high_pressure_trip_Pa, 4.2e6);
  for (const char* name : {"R-32", "R-454B", "R-407C", "R-134a", "R-22"}) {
    SCOPED_TRACE(name);
    const Controls c = limits(name, "");
    const auto& r = **fluid::find_refrigerant(name);
    const auto& r410a = **fluid::find_refrigerant("R-410A");
    EXPECT_NEAR(fluid::dew_temperature(r, {c.high_pressure_limit_Pa})->value,
                fluid::dew_temperature(r410a, {3.7e6})->value, 1e-3);
    EXPECT_LT(c.high_pressure_limit_Pa, c.high_pressure_trip_Pa);
    EXPECT_GT(c.low_pressure_limit_Pa, c.low_pressure_trip_Pa);
    EXPECT_GT(c.low_pressure_trip_Pa, 1.01325e5);
    EXPECT_EQ(assumed_pressure_limits(c).size(), 4U);
  }
  const Controls given = limits("R-134a", "[control]\nhigh_pressure_limit = \"17 bar\"\n");
  EXPECT_NEAR(given.high_pressure_limit_Pa, 1.7e6, 1e-3);
  EXPECT_EQ(assumed_pressure_limits(given).size(), 3U);
}

TEST(SheetTables, AListIsNoTable) {
  const Result<Parameters> p = read_tables("[[control]]\nsubcooling = \"6 K\"");
  ASSERT_FALSE(p);
  EXPECT_THAT(p.error().fix, HasSubstr("[control]"));
}

/// The third column of the guide's row of a key.
std::string default_in_guide(const std::string& guide, std::string_view key) {
  const std::size_t row = guide.find("\n| `" + std::string(key) + "` |");
  if (row == std::string::npos) return {};
  const std::string line = guide.substr(row + 1, guide.find('\n', row + 1) - row - 1);
  std::vector<std::string> columns;
  std::istringstream in(line);
  for (std::string column; std::getline(in, column, '|');) columns.push_back(column);
  if (columns.size() < 4) return {};
  const std::size_t first = columns[3].find('`');
  const std::size_t last = columns[3].rfind('`');
  return first < last ? columns[3].substr(first + 1, last - first - 1) : std::string();
}

// What the guide calls the default must read as the default.
TEST(SheetTables, EveryKeyStandsInTheGuideWithItsDefault) {
  const std::string guide = read_file(std::string(CW_SOURCE_ROOT) + "/docs/user/sheet.md").value();
  const auto table = [&](const std::string& name, const std::vector<std::string_view>& keys) {
    std::string text = "[" + name + "]\n";
    for (const std::string_view key : keys) {
      const std::string value = default_in_guide(guide, key);
      EXPECT_FALSE(value.empty()) << key;
      text += std::string(key) + " = " + value + "\n";
    }
    return text;
  };
  const Result<Parameters> p =
      read_tables(table("control", control_keys()) + table("twin", twin_keys()));
  ASSERT_TRUE(p) << p.error().text();
  EXPECT_EQ(shown(*p), shown(defaults()));
}

}  // namespace
