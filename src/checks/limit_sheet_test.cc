#include "checks/limit_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <set>

#include "base/file.h"
#include "support/judged.h"

namespace cw {
namespace {

using testing::HasSubstr;

Error refused(std::string_view text) {
  const Result<LimitSheet> sheet = LimitSheet::parse(text, "mine.toml");
  EXPECT_FALSE(sheet.has_value());
  return sheet.has_value() ? Error{} : sheet.error();
}

TEST(LimitSheet, TheDefaultsOfTheProject) {
  const LimitSheet& sheet = LimitSheet::defaults();
  EXPECT_EQ(sheet.name(), "default");
  EXPECT_DOUBLE_EQ(sheet.value("discharge-temperature.watch_above"), 368.15);
  EXPECT_DOUBLE_EQ(sheet.value("discharge-temperature.watch_hold"), 600.0);
  EXPECT_DOUBLE_EQ(sheet.value("discharge-temperature.fault_at_once_above"), 388.15);
  EXPECT_DOUBLE_EQ(sheet.value("discharge-superheat.watch_below"), 10.0);
  EXPECT_DOUBLE_EQ(sheet.value("shell-superheat.fault_hold"), 900.0);
  EXPECT_DOUBLE_EQ(sheet.value("condensing-target.target"), 322.15);
  EXPECT_DOUBLE_EQ(sheet.value("condensing-target.watch_below_by"), 3.0);
  EXPECT_DOUBLE_EQ(sheet.value("indoor-coil-heat.fault_below"), 318.15);
  EXPECT_DOUBLE_EQ(sheet.value("outdoor-coil-frost.frost_coil_below"), 268.15);
  EXPECT_DOUBLE_EQ(sheet.value("outdoor-coil-frost.short_intervals"), 2.0);
  EXPECT_DOUBLE_EQ(sheet.value("set-point.fault_off_by"), 2.8);
  EXPECT_EQ(sheet.limit("set-point.watch_off_by").dimension, Dimension::temperature_difference);
}

TEST(LimitSheet, EveryDefaultHasASourceAndASectionThatExists) {
  std::set<std::string> sections = {"phases", "observation", "accuracy"};
  for (const Check& check : check_catalogue()) sections.insert(check.id);
  std::set<std::string> keys;
  for (const Limit& limit : LimitSheet::defaults().all()) {
    EXPECT_FALSE(limit.source.empty()) << limit.key;
    EXPECT_FALSE(limit.overridden) << limit.key;
    EXPECT_EQ(limit.sheet, "default") << limit.key;
    EXPECT_TRUE(keys.insert(limit.key).second) << limit.key;
    EXPECT_TRUE(sections.contains(limit.key.substr(0, limit.key.find('.')))) << limit.key;
  }
}

TEST(LimitSheet, OverridesInAnyUnit) {
  const LimitSheet sheet = LimitSheet::parse(R"(sheet = "cold site"
[discharge-temperature]
watch_above = { value = "212 degF", source = "maker's letter", note = "for this site" }
[discharge-superheat]
watch_below = { value = "18 degF", source = "maker's letter" }
watch_hold = { value = "0.25 h", source = "maker's letter" }
)",
                                             "mine.toml")
                               .value();
  EXPECT_EQ(sheet.name(), "cold site");
  const Limit& limit = sheet.limit("discharge-temperature.watch_above");
  EXPECT_NEAR(limit.value, 373.15, 1e-9);
  EXPECT_EQ(limit.text, "212 degF");
  EXPECT_EQ(limit.source, "maker's letter");
  EXPECT_EQ(limit.note, "for this site");
  EXPECT_EQ(limit.sheet, "cold site");
  EXPECT_TRUE(limit.overridden);
  EXPECT_NEAR(sheet.value("discharge-superheat.watch_below"), 10.0, 1e-9)
      << "a difference has no offset";
  EXPECT_DOUBLE_EQ(sheet.value("discharge-superheat.watch_hold"), 900.0);
  EXPECT_FALSE(sheet.limit("shell-superheat.watch_below").overridden);
  EXPECT_DOUBLE_EQ(sheet.value("shell-superheat.watch_below"), 10.0);
}

TEST(LimitSheet, WithoutANameItIsCalledByItsFile) {
  EXPECT_EQ(LimitSheet::parse("", "mine.toml").value().name(), "mine.toml");
}

TEST(LimitSheet, AnUnknownKeyIsRefusedWithTheKnownOnes) {
  const Error error = refused(
      "[discharge-temperature]\n"
      "watch_over = { value = \"95 degC\", source = \"x\" }\n");
  EXPECT_EQ(error.code, ErrorCode::parse);
  EXPECT_EQ(error.message, "there is no limit \"discharge-temperature.watch_over\"");
  EXPECT_EQ(error.where, "mine.toml:2");
  EXPECT_THAT(error.fix, HasSubstr("discharge-temperature.watch_above"));
}

TEST(LimitSheet, AnUnknownSectionIsRefused) {
  const Error error =
      refused("\n\n[discharge]\nwatch_above = { value = \"95 degC\", source = \"x\" }\n");
  EXPECT_EQ(error.where, "mine.toml:4");
  EXPECT_THAT(error.fix, HasSubstr("Sections are the check ids"));
}

TEST(LimitSheet, AUnitOfAnotherKindIsRefused) {
  const Error error =
      refused("[discharge-temperature]\n\nwatch_above = { value = \"95 kPa\", source = \"x\" }\n");
  EXPECT_EQ(error.code, ErrorCode::unit);
  EXPECT_EQ(error.where, "mine.toml:3");
  EXPECT_THAT(error.message, HasSubstr("discharge-temperature.watch_above"));
  EXPECT_EQ(refused("[set-point]\nwatch_hold = { value = \"60\", source = \"x\" }\n").code,
            ErrorCode::unit);
  EXPECT_EQ(refused("[set-point]\nwatch_hold = { value = \"60 bananas\", source = \"x\" }\n").code,
            ErrorCode::unit);
}

TEST(LimitSheet, AFigureWithoutASourceIsRefused) {
  const Error error = refused("[set-point]\nwatch_hold = { value = \"60 min\" }\n");
  EXPECT_EQ(error.where, "mine.toml:2");
  EXPECT_EQ(error.message, "set-point.watch_hold has no source");
  EXPECT_THAT(error.fix, HasSubstr("common practice, no source"));
}

TEST(LimitSheet, AMissingValueAndABareNumberAreRefused) {
  EXPECT_EQ(refused("[set-point]\nwatch_hold = { source = \"x\" }\n").where, "mine.toml:2");
  EXPECT_EQ(refused("[set-point]\nwatch_hold = { value = 60, source = \"x\" }\n").where,
            "mine.toml:2");
  EXPECT_THAT(refused("[set-point]\nwatch_hold = 60\n").fix, HasSubstr("{ value = "));
  EXPECT_THAT(refused("set-point = 60\n").message, HasSubstr("must be a [section]"));
}

TEST(LimitSheet, AMisspeltFieldIsRefused) {
  const Error error =
      refused("[set-point]\nwatch_hold = { value = \"60 min\", sources = \"x\" }\n");
  EXPECT_EQ(error.where, "mine.toml:2");
  EXPECT_THAT(error.text(), HasSubstr("source"));
}

TEST(LimitSheet, BadTomlSaysWhere) {
  const Error error = refused("[set-point\n");
  EXPECT_EQ(error.code, ErrorCode::parse);
  EXPECT_THAT(error.where, HasSubstr("mine.toml:1"));
}

TEST(LimitSheet, NegativeTimesAreRefused) {
  const Error error =
      refused("[set-point]\nwatch_hold = { value = \"-60 min\", source = \"x\" }\n");
  EXPECT_EQ(error.code, ErrorCode::out_of_range);
  EXPECT_EQ(error.where, "mine.toml:2");
}

TEST(LimitSheet, AFileThatIsNotThere) {
  const Result<LimitSheet> sheet = LimitSheet::read("no-such-sheet.toml");
  ASSERT_FALSE(sheet.has_value());
  EXPECT_EQ(sheet.error().code, ErrorCode::not_found);
}

TEST(LimitSheet, SetByHand) {
  LimitSheet sheet = LimitSheet::defaults();
  sheet.set("condensing-target.target", 319.15, "46 degC", "--target");
  const Limit& limit = sheet.limit("condensing-target.target");
  EXPECT_DOUBLE_EQ(limit.value, 319.15);
  EXPECT_TRUE(limit.overridden);
  EXPECT_EQ(limit.sheet, "command line");
  EXPECT_DOUBLE_EQ(LimitSheet::defaults().value("condensing-target.target"), 322.15);
}

TEST(LimitSheet, PhaseLengthsReachThePhases) {
  using test::Signal;
  auto log = test::healthy_heating(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).from(10, 60));
  const Judgement judgement = test::judged(
      log, test::with_limits("[phases]\nstarting = { value = \"5 min\", source = \"x\" }\n"));
  EXPECT_EQ(judgement.phases.system.kind_at[29], PhaseKind::starting);
  EXPECT_EQ(judgement.phases.system.kind_at[30], PhaseKind::heating);
}

TEST(LimitSheet, AHeaderWithoutANameIsRefusedWithItsLine) {
  // The TOML library takes a name for granted there; these texts must not reach it.
  for (const char* text : {"sheet = \"x\"\n[[[\n", "sheet = \"x\"\n[ = ]\n"}) {
    const Result<LimitSheet> sheet = LimitSheet::parse(text, "mine.toml");
    ASSERT_FALSE(sheet.has_value());
    EXPECT_EQ(sheet.error().where, "mine.toml:2");
  }
}

/// Files beside each other in a directory of the test's own.
class Stacked : public testing::Test {
 protected:
  void SetUp() override {
    const auto* info = testing::UnitTest::GetInstance()->current_test_info();
    folder_ = std::filesystem::path(testing::TempDir()) / ("limits." + std::string(info->name()));
    std::filesystem::create_directories(folder_ / "sites");
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }
  void write(const std::string& name, std::string_view text) const {
    ASSERT_TRUE(write_file(folder_ / name, text).has_value());
  }
  Result<LimitSheet> read(const std::string& name) const {
    return LimitSheet::read(folder_ / name);
  }

  std::filesystem::path folder_;
};

TEST_F(Stacked, ASheetLiesOnAnotherOne) {
  write("machines.toml", R"(sheet = "machines of 2019"
[discharge-temperature]
watch_above = { value = "100 degC", source = "their book" }
[condensing-target]
target = { value = "50 degC", source = "their book" }
)");
  write("sites/north.toml", R"(sheet = "north side"
inherits = "../machines.toml"
[condensing-target]
target = { value = "52 degC", source = "commissioning sheet" }
)");
  const LimitSheet sheet = read("sites/north.toml").value();
  EXPECT_THAT(sheet.chain(), testing::ElementsAre("default", "machines of 2019", "north side"));
  EXPECT_DOUBLE_EQ(sheet.value("condensing-target.target"), 325.15);
  EXPECT_DOUBLE_EQ(sheet.value("discharge-temperature.watch_above"), 373.15);
  const Limit& target = sheet.limit("condensing-target.target");
  EXPECT_EQ(target.sheet, "north side");
  EXPECT_THAT(target.replaced,
              testing::ElementsAre("50 degC of machines of 2019", "49 degC of default"));
  EXPECT_EQ(sheet.limit("discharge-temperature.watch_above").sheet, "machines of 2019");
  EXPECT_TRUE(sheet.limit("set-point.watch_hold").replaced.empty());
}

TEST_F(Stacked, ACircleIsRefusedAndSoIsWhatIsMissing) {
  write("a.toml", "inherits = \"b.toml\"\n");
  write("b.toml", "inherits = \"a.toml\"\n");
  const Result<LimitSheet> circle = read("a.toml");
  ASSERT_FALSE(circle.has_value());
  EXPECT_EQ(circle.error().code, ErrorCode::inconsistent);
  EXPECT_THAT(circle.error().message, HasSubstr("inherits from itself through a.toml"));
  EXPECT_THAT(circle.error().where, HasSubstr("b.toml:1"));
  write("self.toml", "inherits = \"self.toml\"\n");
  EXPECT_FALSE(read("self.toml").has_value());
  write("lost.toml", "inherits = \"nowhere.toml\"\n");
  EXPECT_EQ(read("lost.toml").error().code, ErrorCode::not_found);
  write("number.toml", "inherits = 3\n");
  EXPECT_EQ(read("number.toml").error().code, ErrorCode::parse);
}

TEST_F(Stacked, AnErrorBelowNamesTheFileBelow) {
  write("below.toml", "[set-point]\nwatch_hold = { value = \"1 K\", source = \"x\" }\n");
  write("above.toml", "inherits = \"below.toml\"\n");
  const Result<LimitSheet> sheet = read("above.toml");
  ASSERT_FALSE(sheet.has_value());
  EXPECT_THAT(sheet.error().where, HasSubstr("below.toml:2"));
}

}  // namespace
}  // namespace cw
