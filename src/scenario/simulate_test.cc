// The run itself, with a test double in place of the twin (tests/scenario/stand_in_twin.cc): what
// is tested is who is asked what and when, and that the recording and the truth say so.
#include "scenario/simulate.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "base/file.h"
#include "ingest/import.h"
#include "scenario/test_support.h"
#include "scenario/write.h"
#include "support/run_program.h"

namespace {

using namespace cw;
using namespace cw::scenario;
using cw::scenario::test::scenario_of;
using cw::scenario::test::text_with;
using cw::test::Scratch;
using testing::HasSubstr;

Simulation run_of(const std::string& text) {
  Result<Simulation> out = simulate(scenario_of(text));
  EXPECT_TRUE(out) << (out ? "" : out.error().text());
  return out ? std::move(*out) : Simulation{};
}

const OutputFile& file_of(const Simulation& run, const std::string& name) {
  for (const OutputFile& file : run.files) {
    if (file.name == name) return file;
  }
  ADD_FAILURE() << "no " << name;
  static const OutputFile none;
  return none;
}

std::string without_speed(std::string text) {
  const std::size_t at = text.find("\"real_time_factor\"");
  if (at != std::string::npos) text.erase(at, text.find('\n', at) - at);
  return text;
}

const std::string day =
    "system = \"demo_office\"\nstart = 2026-01-20T05:00:00\nduration = \"24 h\"\n"
    "warm_up = \"1 h\"\nrooms = \"19 degC\"\n[weather]\nmean = \"-9 degC\"\nswing = \"10 K\"\n";

TEST(Simulate, TheSameSeedGivesTheSameBytes) {
  const Simulation a = run_of(day);
  const Simulation b = run_of(day);
  ASSERT_EQ(a.files.size(), 3U);
  for (std::size_t i = 0; i < a.files.size(); ++i) {
    EXPECT_EQ(without_speed(a.files[i].text), without_speed(b.files[i].text)) << a.files[i].name;
  }
  const Simulation other = run_of("seed = 2\n" + day);
  EXPECT_NE(file_of(a, "recording.csv").text, file_of(other, "recording.csv").text);
  EXPECT_EQ(file_of(a, "recording.csv").rows, 2881U);
}

TEST(Simulate, TheTruthSaysWhatWasDone) {
  const Simulation run = run_of(
      day +
      "[[fault]]\nkind = \"leak\"\nseverity = \"0.5 kg/h\"\nfrom = \"10 h\"\nuntil = \"14 h\"\n"
      "[[fault]]\nkind = \"undercharge\"\nseverity = \"2 kg\"\n"
      "[[fault]]\nkind = \"overcharge\"\nseverity = \"1.5 kg\"\nfrom = \"20 h\"\n");
  const auto truth = nlohmann::json::parse(file_of(run, "truth.json").text);
  EXPECT_EQ(truth["schema"], "coilwright.truth/1");
  EXPECT_EQ(truth["time_s"].size(), 1441U);
  const auto& total = truth["series"]["inventory.total_kg"];
  ASSERT_EQ(total.size(), 1441U);
  EXPECT_NEAR(total[0].get<double>(), 25.7, 1e-4);     // 27.7 less 2
  EXPECT_NEAR(total[600].get<double>(), 25.7, 1e-4);   // the leak begins at 10 h
  EXPECT_NEAR(total[720].get<double>(), 24.7, 1e-4);   // two hours of 0.5 kg/h
  EXPECT_NEAR(total[1100].get<double>(), 23.7, 1e-4);  // four
  EXPECT_NEAR(total[1440].get<double>(), 25.2, 1e-4);  // and 1.5 put in
  EXPECT_EQ(truth["faults"].size(), 3U);
  EXPECT_EQ(truth["conservation"]["mass_relative"], 1e-12);
  EXPECT_EQ(truth["conservation"]["energy_relative"], 2e-9);
  EXPECT_GT(truth["real_time_factor"].get<double>(), 1.0);
  EXPECT_TRUE(truth["series"].contains("outdoor.2.accumulator_level"));
  EXPECT_TRUE(truth["series"].contains("indoor.12.room_K"));
  // The double defrosts for five minutes before each full hour of running, both modules at once;
  // it runs most of the time.
  ASSERT_FALSE(truth["defrosts"].empty());
  for (const auto& defrost : truth["defrosts"]) {
    EXPECT_LE(defrost["until_s"].get<double>() - defrost["from_s"].get<double>(), 300.0);
    EXPECT_EQ(std::fmod(defrost["from_s"].get<double>() + 3600.0, 10.0), 0.0);
  }
  // Activities join without a hole.
  double at = 0.0;
  for (const auto& activity : truth["activities"]) {
    EXPECT_EQ(activity["from_s"].get<double>(), at);
    at = activity["until_s"].get<double>();
  }
  EXPECT_EQ(at, 86400.0);
}

TEST(Simulate, TheScheduleAndTheFaultsReachTheMachine) {
  const Simulation run = run_of(
      day +
      "[schedule]\nset_point = \"21 degC\"\n[[schedule.change]]\nat = 18:00:00\nunits = "
      "\"indoor.1\"\nset_point = \"18 degC\"\n[[schedule.change]]\nat = 06:00:00\nunits = "
      "\"indoor.1\"\nset_point = \"21 degC\"\n"
      "[[fault]]\nkind = \"valve_stuck\"\nplace = \"indoor.7\"\nseverity = \"3 %\"\nfrom = \"4 "
      "h\"\n"
      "[[fault]]\nkind = \"sensor_bias\"\nplace = \"outdoor.2.discharge_pressure\"\nseverity = "
      "\"100 kPa\"\n"
      "[[fault]]\nkind = \"sensor_bias\"\nplace = \"indoor.3.supply_air_temperature\"\nseverity = "
      "\"5 K\"\n");
  const Scratch scratch;
  ASSERT_TRUE(write_simulation(scratch.path("out"), false, run));
  const auto import = import_recordings({scratch.path("out")}, {});
  ASSERT_TRUE(import) << import.error().text();
  const Recording& r = import->recording;
  const auto at = [&](const char* place, const char* quantity, double time_s) {
    const Channel* channel = r.find(place, quantity);
    EXPECT_NE(channel, nullptr) << place << "." << quantity;
    return channel == nullptr
               ? 0.0
               : static_cast<double>(channel->values[static_cast<std::size_t>(time_s / 30.0)]);
  };
  EXPECT_NEAR(at("indoor.1", "set_point", 0.0), 291.15, 0.01) << "since 18:00 of the day before";
  // A machine takes an order up in its next step.
  EXPECT_NEAR(at("indoor.1", "set_point", 3600.0), 291.15, 0.01);
  EXPECT_NEAR(at("indoor.1", "set_point", 3630.0), 294.15, 0.01);
  EXPECT_NEAR(at("indoor.1", "set_point", 13.0 * 3600.0), 294.15, 0.01);
  EXPECT_NEAR(at("indoor.1", "set_point", 13.0 * 3600.0 + 30.0), 291.15, 0.01);
  EXPECT_NEAR(at("indoor.2", "set_point", 13.0 * 3600.0 + 30.0), 294.15, 0.01);
  EXPECT_NEAR(at("indoor.7", "valve_opening", 4.0 * 3600.0 - 30.0), 0.60, 1e-6);
  EXPECT_NEAR(at("indoor.7", "valve_opening", 4.0 * 3600.0), 0.03, 1e-6);
  // Sensors: the double adds the bias that its controls would see, the logger the other. Noise is
  // 3 kPa and 0.1 K, the steps 10 kPa and 0.1 K.
  EXPECT_NEAR(
      at("outdoor.2", "discharge_pressure", 0.0) - at("outdoor.1", "discharge_pressure", 0.0),
      100e3, 25e3);
  EXPECT_NEAR(at("indoor.3", "supply_air_temperature", 0.0) -
                  at("indoor.3", "controlled_temperature", 0.0) -
                  20.0 * at("indoor.3", "call", 0.0),
              5.0, 0.8);
}

/// What `check` reads: the wide default file and every odd one, nothing set aside.
class RoundTrip : public testing::TestWithParam<const char*> {};

TEST_P(RoundTrip, ImportsWithoutRejects) {
  const std::string logger = GetParam();
  const Simulation run = run_of("seed = 5\n" + day + logger);
  const Scratch scratch;
  ASSERT_TRUE(write_simulation(scratch.path("out"), false, run));
  ImportOptions options;
  for (const OutputFile& file : run.files) {
    if (!file.name.ends_with(".map.toml")) continue;
    auto map = read_channel_map(scratch.path("out") + "/" + file.name);
    ASSERT_TRUE(map) << map.error().text();
    options.maps.push_back(std::move(*map));
  }
  const auto import = import_recordings({scratch.path("out")}, options);
  ASSERT_TRUE(import) << import.error().text();
  EXPECT_TRUE(import->log.rejects().empty())
      << import->log.rejects().front().file << ": " << import->log.rejects().front().reason;
  EXPECT_TRUE(import->not_understood.empty());
  std::size_t columns = 0;
  for (const OutputFile& file : run.files) columns += file.columns;
  EXPECT_EQ(import->recording.channels.size(), columns);
  EXPECT_EQ(import->recording.time.front(), *instant_of({2026, 1, 20, 11, 0, 0, 0}));
  EXPECT_EQ(import->recording.time.back(), *instant_of({2026, 1, 21, 11, 0, 0, 0}));
  const Channel* pressure = import->recording.find("outdoor.1", "discharge_pressure");
  ASSERT_NE(pressure, nullptr);
  // The double stands at 1 MPa and runs at 3 MPa; a step of 10 kPa or 1 psi and 3 kPa of noise.
  for (const float reading : pressure->values) {
    if (is_missing(reading)) continue;
    const double p = static_cast<double>(reading);
    EXPECT_LT(std::min(std::abs(p - 1e6), std::abs(p - 3e6)), 25e3);
  }
}

INSTANTIATE_TEST_SUITE_P(
    All, RoundTrip,
    testing::Values(
        "", "[[logger]]\nunits = \"ip\"\n", "[[logger]]\ngauge = true\n",
        "[[logger]]\ndecimal = \",\"\n",
        "[[logger]]\ndecimal = \",\"\nstamps = \"day.month.year\"\nunits = \"ip\"\ngauge = true\n",
        "[[logger]]\nstamps = \"month/day/year\"\ninterval = \"1 min\"\n",
        "[[logger]]\nstamps = \"epoch\"\ninterval = \"15 min\"\n",
        "[[logger]]\nstamps = \"local\"\n",
        "[[logger]]\nfile = \"a.csv\"\nchannels = [\"outdoor.*\", \"site.*\"]\n[[logger]]\nfile = "
        "\"b.csv\"\nchannels = \"indoor.*\"\ninterval = \"5 min\"\n",
        "[[logger]]\nrandom_gaps = { per_day = 5, longest = \"20 min\" }\nlost_cells = \"2 %\"\n"));

TEST(Simulate, StopsWhenAskedWithNothingToWrite) {
  SimulateOptions options;
  int asked = 0;
  options.stop = [&] { return ++asked > 5; };
  const auto run = simulate(scenario_of(day), options);
  ASSERT_FALSE(run);
  EXPECT_THAT(run.error().text(), HasSubstr("nothing was written"));
}

TEST(Simulate, ProgressCoversTheWarmUpAndEndsAtTheEnd) {
  SimulateOptions options;
  SimulateProgress last;
  options.progress = [&](const SimulateProgress& p) {
    EXPECT_GT(p.done_s, last.done_s);
    last = p;
  };
  ASSERT_TRUE(simulate(scenario_of(day), options));
  EXPECT_EQ(last.total_s, 25.0 * 3600.0);
  EXPECT_EQ(last.done_s, last.total_s);
}

TEST(Simulate, ATwinThatFailsIsQuotedWithTheScenario) {
  const auto run = simulate(scenario_of("charge = \"500 kg\"\n" + day));
  ASSERT_FALSE(run);
  EXPECT_EQ(run.error().where, "test.toml");
}

TEST(Write, RefusesAFullDirectoryAndForceReplacesOnlyItsOwn) {
  const Scratch scratch;
  const Simulation two =
      run_of(text_with("[[logger]]\nfile = \"a.csv\"\nchannels = \"site.*\"\n[[logger]]\nfile = "
                       "\"b.csv\"\nchannels = \"indoor.1.*\"\n"));
  const Simulation one = run_of(text_with("[[logger]]\nfile = \"a.csv\"\nchannels = \"site.*\"\n"));
  const std::string out = scratch.path("deep/er/out");
  ASSERT_TRUE(write_simulation(out, false, two));
  const Status refused = write_simulation(out, false, one);
  ASSERT_FALSE(refused);
  EXPECT_THAT(refused.error().text(), HasSubstr("--force"));
  ASSERT_TRUE(write_file(out + "/notes.txt", "mine"));
  ASSERT_TRUE(write_simulation(out, true, one));
  EXPECT_FALSE(std::filesystem::exists(out + "/b.csv")) << "a stale recording would be read, too";
  EXPECT_EQ(*read_file(out + "/notes.txt"), "mine");
  EXPECT_TRUE(std::filesystem::exists(out + "/truth.json"));
  EXPECT_TRUE(std::filesystem::exists(out + "/system.toml"));
  const Status no_directory = check_directory(out + "/a.csv", true);
  ASSERT_FALSE(no_directory);
}

TEST(Write, ATruthThatNamesOtherPlacesRemovesNothingThere) {
  const Scratch scratch;
  const std::string out = scratch.path("out");
  std::filesystem::create_directories(out);
  ASSERT_TRUE(write_file(scratch.path("precious.txt"), "keep"));
  ASSERT_TRUE(write_file(out + "/truth.json",
                         R"({"schema":"coilwright.truth/1","files":["../precious.txt",".",3]})"));
  ASSERT_TRUE(write_simulation(out, true, run_of(text_with(""))));
  EXPECT_EQ(*read_file(scratch.path("precious.txt")), "keep");
}

}  // namespace
