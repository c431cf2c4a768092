#include "scenario/logger.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "scenario/detail/chance.h"
#include "scenario/test_support.h"
#include "series/place.h"

namespace {

using namespace cw;
using namespace cw::scenario;
using cw::scenario::test::scenario_of;
using cw::scenario::test::text_with;

/// A logger's sheet from the text of its table.
struct Bench {
  Scenario scenario;
  twin::Readings readings;
  Logger logger;

  explicit Bench(const std::string& sheet, std::uint64_t seed = 1)
      : scenario(scenario_of(text_with("[[logger]]\n" + sheet))),
        logger(scenario.loggers[0], scenario.system, seed, 0, scenario.start, scenario.clock,
               scenario.duration_s, {"a test"}) {
    readings.modules.resize(2);
    readings.units.resize(12);
    for (auto& module : readings.modules)
      module = {2.8734e6, 0.5e6, 350.0, 270.0, 300.0, 260.0, 61.4, 0.437, 0.5, 8123.0, false};
    for (auto& unit : readings.units)
      unit = {320.0, 310.0, 294.0, 300.0, 294.15, 0.3, 0.6, true, true, false};
    readings.outdoor_temperature = 264.237;
  }
  std::string rows(int n) {
    const std::vector<double> none(channels_of(scenario.system).size(), 0.0);
    const Moment now{&readings, {264.0, 0.8}, twin::Plant::heating};
    for (int i = 0; i < n; ++i) logger.take(now, none);
    return logger.text();
  }
};

const std::string exact =
    "noise = { temperature = \"0 K\", pressure = \"0 kPa\", ratio = \"0 %\" }\n";

TEST(Logger, RoundsLikeARealOneInItsOwnUnits) {
  Bench si(exact +
           "channels = [\"outdoor.1.discharge_pressure\", \"outdoor.1.compressor_frequency\", "
           "\"outdoor.1.valve_opening\", \"outdoor.1.power\", \"site.outdoor_temperature\"]\n");
  EXPECT_EQ(si.rows(2),
            "# a test\n"
            "time,site.outdoor_temperature [degC],outdoor.1.discharge_pressure [kPa(a)],"
            "outdoor.1.compressor_frequency [Hz],outdoor.1.valve_opening [%],outdoor.1.power [kW]\n"
            "2026-01-20T05:00:00-06:00,-8.9,2870,61,44,8.12\n"
            "2026-01-20T05:00:30-06:00,-8.9,2870,61,44,8.12\n");
  // 2.8734 MPa less 99.18 kPa of air at 180 m is 402.4 psi; 264.237 K is 15.96 degF; 8123 W are
  // 27717 Btu/h.
  Bench ip(exact +
           "units = \"ip\"\ngauge = true\nstamps = \"month/day/year\"\n"
           "channels = [\"outdoor.1.discharge_pressure\", \"outdoor.1.power\", "
           "\"site.outdoor_temperature\"]\n");
  EXPECT_EQ(ip.rows(1),
            "# a test\n# Gauge pressures are above 99.181 kPa.\n"
            "time,site.outdoor_temperature [degF],outdoor.1.discharge_pressure [psi(g)],"
            "outdoor.1.power [Btu/h]\n"
            "01/20/2026 05:00:00,16.0,402,27700\n");
  EXPECT_EQ(ip.logger.map_text(),
            "# What recording.csv does not say of itself.\nbarometer = \"99.181 kPa\"\n[clock]\n"
            "column = \"time\"\norder = \"month-day-year\"\nzone = \"America/Chicago\"\n");
}

TEST(Logger, DecimalCommaStandsBesideSemicolons) {
  Bench bench(exact +
              "decimal = \",\"\nstamps = \"day.month.year\"\ninterval = \"1 min\"\n"
              "channels = [\"site.outdoor_temperature\", \"system.mode\"]\n");
  EXPECT_EQ(bench.rows(2),
            "# a test\ntime;site.outdoor_temperature [degC];system.mode\n"
            "20.01.2026 05:00:00;-8,9;off\n20.01.2026 05:01:00;-8,9;off\n");
}

TEST(Logger, EpochAndLocalStamps) {
  Bench epoch(exact + "stamps = \"epoch\"\nchannels = \"indoor.1.call\"\n");
  EXPECT_EQ(epoch.rows(1), "# a test\ntime,indoor.1.call\n1768906800,1\n");
  Bench local(exact + "stamps = \"local\"\nchannels = \"indoor.1.call\"\n");
  EXPECT_EQ(local.rows(1), "# a test\ntime,indoor.1.call\n2026-01-20 05:00:00,1\n");
  EXPECT_THAT(local.logger.map_text(), testing::HasSubstr("zone = \"America/Chicago\""));
}

TEST(Logger, AFixedGapLosesItsRowsAndChangesNothingAround) {
  const std::string one = "channels = \"site.outdoor_temperature\"\n";
  Bench whole(one);
  Bench gap(one + "gap = [{ from = \"1 min\", until = \"2 min\" }]\n");
  const std::string all = whole.rows(6);
  const std::string some = gap.rows(6);
  std::string expected;
  for (const std::string_view line : split(all, '\n')) {
    if (line.find("05:01:") != std::string_view::npos) continue;
    expected += std::string(line) + (line.empty() ? "" : "\n");
  }
  EXPECT_EQ(some, expected);
  EXPECT_EQ(gap.logger.rows(), 4U);
}

TEST(Logger, ChanceIsOfTheSeedAndOfEachChannelAlone) {
  const std::string one =
      "channels = \"site.outdoor_temperature\"\nlost_cells = \"10 %\"\n"
      "accuracy = { temperature = \"0.5 K\" }\n"
      "random_gaps = { per_day = 48, longest = \"5 min\" }\n";
  const std::string first = Bench(one).rows(100);
  EXPECT_EQ(first, Bench(one).rows(100));
  EXPECT_NE(first, Bench(one, 2).rows(100));
  // Another channel beside it leaves its cells as they are.
  std::string wide = one;
  wide.replace(wide.find("\"site"), 26, "[\"site.outdoor_temperature\", \"outdoor.1.power\"]");
  const std::string two = Bench(wide).rows(100);
  const auto a = split(first, '\n');
  const auto b = split(two, '\n');
  ASSERT_EQ(a.size(), b.size());
  EXPECT_LT(a.size(), 102U) << "there are gaps";
  bool lost = false;
  for (std::size_t i = 2; i + 1 < a.size(); ++i) {
    EXPECT_EQ(split(a[i], ',')[1], split(b[i], ',')[1]);
    lost = lost || split(a[i], ',')[1].empty();
  }
  EXPECT_TRUE(lost);
}

TEST(Logger, NoiseHasTheDeviationThatIsAskedFor) {
  // 4000 readings with 0.3 K: the deviation of the sample's deviation is 1.1 %.
  Bench bench(
      "channels = \"site.outdoor_temperature\"\nnoise = { temperature = \"0.3 K\" }\n"
      "resolution = { temperature = \"0 K\" }\ninterval = \"1 s\"\n");
  const std::string text = bench.rows(4000);
  double sum = 0.0;
  double squares = 0.0;
  int n = 0;
  for (const std::string_view line : split(text, '\n')) {
    double value = 0.0;
    const auto cells = split(line, ',');
    if (cells.size() != 2 || !read_number(cells[1], value)) continue;
    sum += value;
    squares += value * value;
    ++n;
  }
  ASSERT_EQ(n, 4000);
  const double mean = sum / n;
  EXPECT_NEAR(mean, 264.237 - 273.15, 4.0 * 0.3 / std::sqrt(4000.0));
  EXPECT_NEAR(std::sqrt(squares / n - mean * mean), 0.3, 0.3 * 0.045);
}

TEST(Logger, AccuracyIsOneOffsetASensorWithinItsBound) {
  Bench bench(exact +
              "channels = \"indoor.*.gas_pipe_temperature\"\n"
              "accuracy = { temperature = \"0.8 K\" }\n"
              "resolution = { temperature = \"0 K\" }\n");
  const std::string text = bench.rows(2);
  const auto lines = split(text, '\n');
  const auto first = split(lines[2], ',');
  const auto second = split(lines[3], ',');
  double least = 1e9;
  double most = -1e9;
  for (std::size_t i = 1; i < first.size(); ++i) {
    EXPECT_EQ(first[i], second[i]) << "the offset stays";
    double value = 0.0;
    ASSERT_TRUE(read_number(first[i], value));
    least = std::min(least, value - 46.85);
    most = std::max(most, value - 46.85);
  }
  EXPECT_GE(least, -0.8001);
  EXPECT_LE(most, 0.8001);
  EXPECT_GT(most - least, 0.5) << "twelve sensors of one bound are not alike";
}

TEST(Chance, IsTheSameOnEveryMachine) {
  // First numbers of SplitMix64 with seed 0 (its authors' reference, from memory).
  std::uint64_t state = 0;
  EXPECT_EQ(detail::next_random(state), 0xE220A8397B1DCDAFULL);
  EXPECT_EQ(detail::next_random(state), 0x6E789E6AA1B965F4ULL);
}

TEST(Patterns, StarsStandForAnyText) {
  EXPECT_TRUE(matches("*", "outdoor.1.power"));
  EXPECT_TRUE(matches("outdoor.*.power", "outdoor.1.power"));
  EXPECT_TRUE(matches("*.power", "outdoor.1.power"));
  EXPECT_TRUE(matches("o*o*1*r", "outdoor.1.power"));
  EXPECT_FALSE(matches("indoor.1", "indoor.11"));
  EXPECT_FALSE(matches("", "x"));
  EXPECT_TRUE(matches("", ""));
}

TEST(Channels, EveryQuantityIsInTheTableAndPlacesAreRead) {
  const Scenario s = scenario_of(text_with(""));
  const auto channels = channels_of(s.system);
  EXPECT_EQ(channels.size(), 3U + 2U * 11U + 12U * 9U);
  for (const ChannelSource& channel : channels) {
    ASSERT_NE(channel.quantity, nullptr);
    const std::size_t dot = channel.name.rfind('.');
    EXPECT_TRUE(parse_place(channel.name.substr(0, dot))) << channel.name;
    EXPECT_EQ(channel.name.substr(dot + 1), channel.quantity->name);
  }
}

}  // namespace
