// Real recordings through the causes, without a sheet. Not part of the project: skipped where they
// are absent. What is known of them was stated by those who measured: the laboratory's machine
// hunts and nothing else is claimed of it; the heat pump in the loop and the ductless one were
// sound as far as anybody said.
#include <gtest/gtest.h>

#include <filesystem>

#include "diagnose/diagnose.h"
#include "ingest/import.h"

namespace cw::diagnose {
namespace {

namespace fs = std::filesystem;
const fs::path data = fs::path(CW_SOURCE_ROOT) / ".." / "shared" / "data";

Diagnosis diagnosed(const fs::path& file, const char* map, std::optional<PhaseKind> mode,
                    const char* time_column = nullptr) {
  ImportOptions options;
  options.maps.push_back(
      read_channel_map(fs::path(CW_SOURCE_ROOT) / "docs" / "examples" / map).value());
  if (time_column != nullptr) options.maps.back().time_column = time_column;
  Result<Import> import = import_recordings({file}, options);
  EXPECT_TRUE(import.has_value()) << import.error().text();
  JudgeOptions judging;
  judging.stated_mode = mode;
  const Judgement judgement = judge(std::move(import->recording), judging).value();
  return diagnose(judgement, nullptr, {}).value();
}

std::string all_of(const Diagnosis& d) {
  std::string out = d.unproven + " healthy " + std::to_string(d.healthy) + " unknown " +
                    std::to_string(d.unknown);
  for (const RankedCause& c : d.causes) {
    out += ", " + std::string(c.kind->id) + "@" + c.place + " " + std::to_string(c.probability);
  }
  return out;
}

/// No cause may be named, and none may look likelier than that nothing is wrong.
void expect_nothing_claimed(const Diagnosis& d) {
  EXPECT_EQ(d.named(), nullptr) << all_of(d);
  EXPECT_TRUE(d.generic);
  if (!d.unproven.empty()) return;
  for (const RankedCause& c : d.causes) EXPECT_LT(c.probability, d.healthy) << all_of(d);
}

TEST(FieldCauses, OfTheLaboratorysAirConditionerNothingIsClaimedButTheHunting) {
  const fs::path file = data / "lab-cooling-5s" / "raw_5s.csv";
  if (!fs::exists(file)) GTEST_SKIP() << "no recording of the laboratory's air conditioner";
  expect_nothing_claimed(diagnosed(file, "lab_cooling.toml", PhaseKind::cooling));
}

TEST(FieldCauses, TheHeatPumpInTheLoopRaisesNoAlarm) {
  const fs::path file = data / "field-hardware-in-loop" / "Buffalo_Eff_Default.csv";
  if (!fs::exists(file)) GTEST_SKIP() << "no recording of the heat pump in the loop";
  expect_nothing_claimed(diagnosed(file, "lab_building.toml", PhaseKind::cooling));
}

TEST(FieldCauses, TheDuctlessMachineRaisesNoAlarm) {
  const fs::path field = data / "field-ductless";
  if (!fs::exists(field)) GTEST_SKIP() << "no field recordings beside the project";
  for (const char* file :
       {"01_20200223T113135_20200224T030130.csv", "01_20200229T060510_20200301T071600.csv",
        "03_20210221T120000_20210221T115955.csv"}) {
    SCOPED_TRACE(file);
    expect_nothing_claimed(
        diagnosed(field / file, "ductless_logger.toml", std::nullopt, "TIMESTAMP"));
  }
}

}  // namespace
}  // namespace cw::diagnose
