// Gauge or absolute, from machines at rest whose pressures are saturation pressures of the
// coldest part.
#include "report/saturation_curves.h"

#include <gmock/gmock.h>
#include <unistd.h>

#include <cmath>
#include <filesystem>
#include <fstream>

#include "fluid/saturation.h"
#include "ingest/import.h"

namespace cw {
namespace {

using ::testing::HasSubstr;

struct Day {
  const char* refrigerant = "R-410A";
  const char* unit = "kPa";
  double scale = 1e3;  ///< of the unit [Pa]
  double added = 0.0;  ///< what the gauges leave out [Pa]
  double mean = 1.0;   ///< outdoor air [degC]
  bool frequency = true;
  bool rests = true;
};

/// A day of a heat pump that runs twice, minute by minute, as a log without a map.
std::string log_of(const Day& day) {
  const auto refrigerant = fluid::find_refrigerant(day.refrigerant);
  std::string out = "time,Outdoor temp (degC),Discharge pressure (" + std::string(day.unit) +
                    "),Suction pressure (" + day.unit + ")" +
                    (day.frequency ? ",Compressor frequency (Hz)" : "") + "\n";
  double high = 0.0;
  double low = 0.0;
  for (int minute = 0; minute < 1440; minute += 2) {
    const double outdoor = day.mean + 3.0 * std::sin(minute / 1440.0 * 6.283);
    const double sat = fluid::bubble_pressure(**refrigerant, Kelvin{outdoor + 273.15})->value;
    const bool on = !day.rests || (minute > 300 && minute < 700) || (minute > 900 && minute < 1100);
    const double to_high = on ? 2.5 * sat : sat;
    const double to_low = on ? 0.7 * sat : sat;
    high = minute == 0 ? to_high : high + 0.3 * (to_high - high);
    low = minute == 0 ? to_low : low + 0.3 * (to_low - low);
    char row[160];
    std::snprintf(row, sizeof row, "2026-01-14 %02d:%02d,%.1f,%.3f,%.3f", minute / 60, minute % 60,
                  outdoor, (high - day.added) / day.scale, (low - day.added) / day.scale);
    out += row;
    if (day.frequency) out += on ? ",55" : ",0";
    out += "\n";
  }
  return out;
}

std::vector<Proposal> proposals(const Day& day, std::vector<SaturationCurve> curves,
                                double barometer = 101325.0,
                                const std::vector<ChannelMap>& maps = {}) {
  const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
  const std::filesystem::path file =
      std::filesystem::temp_directory_path() /
      ("cw_" + std::string(info->name()) + std::to_string(::getpid()) + ".csv");
  std::ofstream(file) << log_of(day);
  ImportOptions options;
  options.survey = true;
  options.maps = maps;
  options.barometric_pressure = Pascal{barometer};
  options.saturation = std::move(curves);
  const Result<Import> import = import_recordings({file}, options);
  std::filesystem::remove(file);
  std::vector<Proposal> out;
  if (!import) {
    ADD_FAILURE() << import.error().text();
    return out;
  }
  for (const Proposal& p : import->surveys.front().proposals) {
    if (p.kind == "gauge") out.push_back(p);
  }
  return out;
}

std::vector<SaturationCurve> of(const char* name) {
  return saturation_of(**fluid::find_refrigerant(name));
}

TEST(GaugeAtRest, IsDecidedWhereTheRefrigerantIsKnown) {
  for (const char* refrigerant : {"R-410A", "R-32", "R-454B", "R-407C", "R-134a"}) {
    for (const double mean : {-8.0, 1.0, 12.0}) {
      for (const double added : {101325.0, 0.0}) {
        Day day;
        day.refrigerant = refrigerant;
        day.mean = mean;
        day.added = added;
        const auto found = proposals(day, of(refrigerant));
        ASSERT_EQ(found.size(), 2U) << refrigerant << " at " << mean;
        for (const Proposal& p : found) {
          EXPECT_THAT(p.what, HasSubstr(added > 0.0 ? "gauge" : "absolute"))
              << refrigerant << " at " << mean << ": " << p.evidence;
          EXPECT_EQ(p.toml, added > 0.0 ? "unit = \"kPa(g)\"" : "unit = \"kPa(a)\"");
          EXPECT_GE(p.confidence, 0.7);
        }
      }
    }
  }
}

TEST(GaugeAtRest, TakesTheBarometerOfTheSite) {
  Day day;
  day.added = 80e3;  // about 1950 m
  EXPECT_THAT(proposals(day, of("R-410A"), 80e3).front().what, HasSubstr("gauge"));
}

TEST(GaugeAtRest, WithoutARefrigerantAllThatFitMustAgree) {
  Day day;
  day.added = 101325.0;
  const std::vector<SaturationCurve> all = saturation_of_all();
  EXPECT_GE(all.size(), 8U);
  const auto found = proposals(day, all);
  ASSERT_FALSE(found.empty());
  // R-410A as gauge is near R-125 as absolute: nothing may be said then.
  for (const Proposal& p : found) {
    EXPECT_THAT(p.what, HasSubstr("not decided"));
    EXPECT_TRUE(p.toml.empty());
    EXPECT_THAT(p.evidence, HasSubstr("R-410A"));
    EXPECT_THAT(p.evidence, HasSubstr("the refrigerant, once it is said, may decide it"));
  }
}

TEST(GaugeAtRest, AMapNamesTheRefrigerant) {
  Day day;
  day.added = 101325.0;
  const auto map = parse_channel_map("refrigerant = \"r410a\"\n", "map.toml");
  ASSERT_TRUE(map.has_value());
  const auto found = proposals(day, saturation_of_all(), 101325.0, {*map});
  ASSERT_FALSE(found.empty());
  EXPECT_THAT(found.front().what, HasSubstr("gauge"));
}

TEST(GaugeAtRest, DeniesAUnitThatIsWrong) {
  Day day;
  day.unit = "psig";
  day.scale = 6894.757;
  const auto wrong = proposals(day, of("R-410A"));
  ASSERT_FALSE(wrong.empty());
  EXPECT_THAT(wrong.front().what, HasSubstr("which the unit denies"));
  day.added = 101325.0;
  EXPECT_TRUE(proposals(day, of("R-410A")).empty());
}

TEST(GaugeAtRest, PressuresThatMeetTellOfRestByThemselves) {
  Day day;
  day.frequency = false;
  day.added = 101325.0;
  EXPECT_THAT(proposals(day, of("R-410A")).front().what, HasSubstr("gauge"));
}

TEST(GaugeAtRest, NothingIsSaidOfAMachineThatNeverRests) {
  Day day;
  day.rests = false;
  EXPECT_TRUE(proposals(day, of("R-410A")).empty());
}

TEST(GaugeAtRest, AnotherRefrigerantFitsNeither) {
  Day day;
  day.refrigerant = "R-134a";
  const auto found = proposals(day, of("R-410A"));
  ASSERT_FALSE(found.empty());
  EXPECT_THAT(found.front().evidence, HasSubstr("neither"));
}

}  // namespace
}  // namespace cw
