// Causes from end to end: a simulated recording through importer, checks and twin. The big scoring
// is bench/faults; here is one case of each main fault, large enough that it must not be missed.
#include <gtest/gtest.h>

#include <atomic>
#include <fstream>

#include "checks/judgement.h"
#include "diagnose/diagnose.h"
#include "ingest/import.h"
#include "scenario/read.h"
#include "scenario/simulate.h"
#include "support/run_program.h"
#include "system/sheet.h"

namespace cw::diagnose {
namespace {

constexpr const char* sheet =
    "name = \"test machine\"\nrefrigerant = \"R-410A\"\n[[outdoor]]\ncooling = \"12 kW\"\n"
    "[[indoor]]\ncount = 3\ncooling = \"4 kW\"\n[piping]\nmain = \"10 m\"\nbranch = \"4 m\"\n";

std::string scenario_text(bool cooling, const std::string& fault) {
  return std::string(
             "system = \"system.toml\"\nstart = 2026-01-20T10:00:00\nduration = \"50 min\"\n"
             "warm_up = \"60 min\"\nrooms = \"") +
         (cooling ? "26" : "20") + " degC\"\nseed = 5\n[weather]\nmean = \"" +
         (cooling ? "32" : "10") +
         " degC\"\nswing = \"4 K\"\nhumidity = \"55 %\"\n[plant]\nmode = \"" +
         (cooling ? "cooling" : "heating") + "\"\n[schedule]\nset_point = \"" +
         (cooling ? "20" : "25") + " degC\"\ncall = \"always\"\ngains = \"" +
         (cooling ? "2500" : "-2800") + " W\"\n" + fault;
}

Judgement judged(const System& system, bool cooling, const std::string& fault,
                 const std::string& unlike_its_sheet = "") {
  const test::Scratch scratch;
  const std::filesystem::path place = scratch.path();
  std::ofstream(place / "system.toml") << sheet << unlike_its_sheet;
  const auto reading = scenario::read_scenario_text(scenario_text(cooling, fault), "test", place);
  EXPECT_TRUE(reading.scenario.has_value());
  const auto run = scenario::simulate(*reading.scenario);
  EXPECT_TRUE(run.has_value()) << (run ? "" : run.error().text());
  for (const auto& file : run->files) {
    if (file.name == "recording.csv") std::ofstream(place / "recording.csv") << file.text;
  }
  auto import = import_recordings({place / "recording.csv"}, {});
  EXPECT_TRUE(import.has_value());
  JudgeOptions options;
  options.system = &system;
  return judge(std::move(import->recording), options).value();
}

Diagnosis diagnosed(bool cooling, const std::string& fault) {
  const System system = parse_system(sheet, "sheet").value();
  const Judgement judgement = judged(system, cooling, fault);
  DiagnoseOptions diagnose_options;
  diagnose_options.look_ahead = false;
  return diagnose(judgement, &system, diagnose_options).value();
}

std::string all_of(const Diagnosis& d) {
  std::string out = "healthy " + std::to_string(d.healthy) + " " + d.unproven;
  for (const RankedCause& c : d.causes) {
    out += ", " + std::string(c.kind->id) + "@" + c.place + " " + std::to_string(c.probability);
  }
  return out;
}

void expect_named(bool cooling, const std::string& fault, std::string_view id,
                  std::string_view place) {
  const Diagnosis d = diagnosed(cooling, fault);
  const RankedCause* named = d.named();
  ASSERT_NE(named, nullptr) << all_of(d);
  EXPECT_EQ(named->kind->id, id) << all_of(d);
  EXPECT_EQ(named->place, place) << all_of(d);
  EXPECT_FALSE(named->speaks_for.empty());
}

std::string fault(const std::string& kind, const std::string& place, const std::string& severity) {
  return "[[fault]]\nkind = \"" + kind + "\"\n" +
         (place.empty() ? "" : "place = \"" + place + "\"\n") + "severity = \"" + severity + "\"\n";
}

TEST(DiagnoseSimulated, AHealthyMachineGetsNoName) {
  for (const bool cooling : {false, true}) {
    const Diagnosis d = diagnosed(cooling, "");
    EXPECT_TRUE(d.unproven.empty()) << d.unproven;
    EXPECT_EQ(d.named(), nullptr) << all_of(d);
    EXPECT_GT(d.readings, 10U);
  }
}

TEST(DiagnoseSimulated, ABlockedOutdoorCoil) {
  expect_named(true, fault("outdoor_coil_blocked", "outdoor.1", "65 %"), "outdoor-airflow",
               "outdoor.1");
}

TEST(DiagnoseSimulated, AThirdOfTheChargeMissing) {
  const double charge_kg = parse_system(sheet, "sheet").value().charge().total_kg();
  const std::string third = std::to_string(charge_kg / 3.0) + " kg";
  expect_named(true, fault("undercharge", "", third), "undercharge", "system");
}

TEST(DiagnoseSimulated, AWornCompressor) {
  expect_named(false, fault("compressor_leak", "outdoor.1", "30 %"), "compressor-leak",
               "outdoor.1");
}

TEST(DiagnoseSimulated, AnIndoorValveNearlyShut) {
  expect_named(false, fault("valve_stuck", "indoor.2", "1.5 %"), "indoor-valve-closed", "indoor.2");
}

TEST(DiagnoseSimulated, ADirtyFilter) {
  expect_named(false, fault("filter_blocked", "indoor.3", "75 %"), "filter", "indoor.3");
}

TEST(DiagnoseSimulated, ADischargeSensorThatReadsWrong) {
  expect_named(true, fault("sensor_bias", "outdoor.1.discharge_temperature", "-14 K"),
               "sensor-discharge-temperature", "outdoor.1");
}

// A machine whose coils, compressor and charge are not quite its sheet's looks faulty or hides a
// fault. What it showed when it was sound tells them apart.
TEST(DiagnoseSimulated, ASoundRecordingTellsAnotherMachineFromAFault) {
  const System system = parse_system(sheet, "sheet").value();
  const std::string unlike =
      "[twin]\nvolumetric_factor = \"94 %\"\nwork_factor = \"106 %\"\n"
      "outdoor_coil_factor = \"82 %\"\nindoor_coil_factor = \"115 %\"\n";
  const Judgement sound = judged(system, true, "", unlike);
  const Judgement still_sound = judged(system, true, "", unlike);
  const Judgement faulty =
      judged(system, true, fault("outdoor_coil_blocked", "outdoor.1", "35 %"), unlike);
  DiagnoseOptions options;
  options.look_ahead = false;
  const Diagnosis alone = diagnose(faulty, &system, options).value();
  options.sound = &sound;
  const Diagnosis with = diagnose(faulty, &system, options).value();
  const Diagnosis nothing = diagnose(still_sound, &system, options).value();
  EXPECT_TRUE(with.compared_with_sound);
  EXPECT_FALSE(alone.compared_with_sound);
  ASSERT_NE(with.named(), nullptr) << all_of(with);
  EXPECT_EQ(with.named()->kind->id, "outdoor-airflow") << all_of(with);
  EXPECT_LT(with.healthy, 0.2 * alone.healthy) << all_of(with) << "\nalone: " << all_of(alone);
  EXPECT_EQ(nothing.named(), nullptr) << all_of(nothing);
  EXPECT_GT(nothing.healthy, 0.8) << all_of(nothing);
  // What is shown is what was read, and what is expected moves.
  EXPECT_EQ(with.readings, alone.readings);
}

// What stops it is asked by several threads; whenever it says so, the answer is an error and no
// half of a diagnosis.
TEST(DiagnoseSimulated, IsStoppedAtAnyTime) {
  const System system = parse_system(sheet, "sheet").value();
  const Judgement judgement = judged(system, true, "");
  std::atomic<int> asked{0};
  DiagnoseOptions options;
  options.stop = [&] { return ++asked < 0; };
  ASSERT_TRUE(diagnose(judgement, &system, options).has_value());
  const int all = asked;
  ASSERT_GT(all, 100);
  for (const int after : {0, 1, all / 4, all / 2, all - 20}) {
    asked = 0;
    options.stop = [&] { return ++asked > after; };
    const auto d = diagnose(judgement, &system, options);
    ASSERT_FALSE(d.has_value()) << after << " of " << all;
    EXPECT_EQ(d.error().code, ErrorCode::invalid_argument) << d.error().text();
    EXPECT_LE(asked, after + 20) << all;
  }
}

// A recording in which nothing stands still is no error, and no guess either.
TEST(DiagnoseSimulated, ARecordingTooShortIsUnproven) {
  const System system = parse_system(sheet, "sheet").value();
  const Judgement judgement = judge(Recording{}, {}).value();
  const auto d = diagnose(judgement, &system, {});
  ASSERT_TRUE(d.has_value());
  EXPECT_FALSE(d->unproven.empty());
  EXPECT_EQ(d->named(), nullptr);
}

}  // namespace
}  // namespace cw::diagnose
