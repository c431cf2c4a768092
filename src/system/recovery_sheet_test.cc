#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/file.h"
#include "system/piping.h"
#include "system/sheet.h"

namespace {

using namespace cw;
using ::testing::HasSubstr;

std::string text_of(const std::string& name) {
  return read_file(std::string(CW_SOURCE_ROOT) + "/data/systems/" + name).value();
}

System sheet() {
  auto system = parse_system(text_of("heat_recovery.toml"), "r.toml");
  EXPECT_TRUE(system) << (system ? "" : system.error().text());
  return std::move(system).value();
}

TEST(HeatRecovery, ThirdLinesLeadToBranchBoxesOnly) {
  const System system = sheet();
  EXPECT_TRUE(system.heat_recovery());
  for (const Segment& segment : system.segments()) {
    const bool before_a_box = segment.id <= "pipe.4" && segment.id != "pipe.10";
    EXPECT_EQ(segment.third != nullptr, before_a_box) << segment.id;
  }
  // 25 m x 0.32111 + (10 + 12) m x 0.15109 + 4 m of 12.7x0.8 (11.2 kW) x 0.09677 = 11.7388 L
  EXPECT_NEAR(line_volumes(system).third_m3 * 1e3, 11.7388, 1e-3);
}

TEST(HeatRecovery, BranchBoxesTakePortsAndVolume) {
  const System system = sheet();
  EXPECT_EQ(system.branches()[0].ports, 4);
  EXPECT_NEAR(system.branches()[0].volume_m3, 0.8e-3, 1e-12);
  EXPECT_EQ(system.branches()[1].ports, 2);
  EXPECT_NEAR(system.branches()[1].volume_m3, 2 * 0.15e-3, 1e-12);
  EXPECT_TRUE(system.is_assumed("branch.2", "ports"));
  EXPECT_TRUE(system.is_assumed("branch.2", "volume"));
}

TEST(HeatRecovery, UnitsWithoutABoxAreWarnedOf) {
  const System system = sheet();
  ASSERT_FALSE(system.warnings().empty());
  EXPECT_THAT(system.warnings().front().message,
              HasSubstr("indoor.server-room does not stand behind a branch box"));
}

TEST(HeatRecovery, HeightsAndLifts) {
  const System system = sheet();
  const PipeLengths lengths = pipe_lengths(system);
  EXPECT_NEAR(lengths.highest_lift_m, 6.0, 1e-12);
  EXPECT_EQ(lengths.deepest_drop_m, 0.0);
  EXPECT_NEAR(system.nodes()[system.node_of("indoor.server-room").value()].height_m, 4.0, 1e-12);
  EXPECT_FALSE(system.node_of("indoor.99").has_value());
}

TEST(HeatRecovery, ChargeByTheDocumentsCoefficients) {
  const System system = sheet();
  // 25 m x 0.115 + (10 + 12 + 6 + 9 + 12) m x 0.057 + (9 + 7 + 8) m x 0.023 = 6.220 kg, 2 boxes x
  // 0.5, 6 units x 0.2. pipe.4 (11.2 kW) is taken as 9.52x0.8: 4 m x 0.057.
  EXPECT_NEAR(system.charge().added_kg(), 6.220 + 1.0 + 1.2 + 0.228, 1e-6);
  EXPECT_TRUE(system.is_assumed("charge", "added"));
  EXPECT_NEAR(system.charge().factory_kg, 11.8, 1e-12);
}

TEST(HeatRecovery, SizesWithoutCoefficientAreFilledWithLiquid) {
  std::string text = text_of("heat_recovery.toml");
  const std::string_view entry = "\"6.35 mm\" = \"0.023 kg/m\"";
  text.replace(text.find(entry), entry.size(), "\"8x1\" = \"0.03 kg/m\"");
  const auto system = parse_system(text, "r.toml");
  ASSERT_TRUE(system) << system.error().text();
  // Instead of 24 m x 0.023: 24 m x 0.0173 kg/m of 6.35x0.8 at 40 degC.
  EXPECT_NEAR(system->charge().added_kg(), 8.648 + 24 * (0.0173 - 0.023), 0.002);
  EXPECT_THAT(system->warnings().back().message,
              HasSubstr("no coefficient for the liquid line 6.35x0.8"));
}

TEST(HeatRecovery, TooFewPortsAreRefused) {
  std::string text = text_of("heat_recovery.toml");
  text.replace(text.find("ports = 4"), 9, "ports = 2");
  const SheetReading reading = read_sheet_text(text, "r.toml");
  ASSERT_FALSE(reading.system);
  EXPECT_THAT(reading.errors.front().message, HasSubstr("branch.1 has 2 ports, but 3 pipes"));
}

TEST(HeatRecovery, AThirdLineBehindABoxIsRefused) {
  std::string text = text_of("heat_recovery.toml");
  const std::string_view line = "to = \"indoor.1\"\n";
  text.insert(text.find(line) + line.size(), "third = \"12.7 mm\"\n");
  const SheetReading reading = read_sheet_text(text, "r.toml");
  ASSERT_FALSE(reading.system);
  EXPECT_THAT(reading.errors.front().fix, HasSubstr("two lines leave a branch box"));
}

}  // namespace
