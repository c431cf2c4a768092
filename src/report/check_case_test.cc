#include "report/check_case.h"

#include <gmock/gmock.h>

#include "system/sheet.h"

namespace cw {
namespace {

using ::testing::HasSubstr;

ChannelMap map_with(const std::string& name, const std::string& refrigerant) {
  ChannelMap map;
  map.name = name;
  map.refrigerant = refrigerant;
  return map;
}

System sheet_of(const std::string& refrigerant) {
  return parse_system("refrigerant = \"" + refrigerant +
                          "\"\n[[outdoor]]\ncooling = \"28 kW\"\n[[indoor]]\ncount = 2\n"
                          "cooling = \"14 kW\"\n[piping]\nmain = \"30 m\"\nbranch = \"8 m\"\n",
                      "sheet.toml")
      .value();
}

/// As the command line does: the words, then the sheet, then all together.
Result<JudgeOptions> settled(const CaseWords& words, const System* system,
                             const std::vector<ChannelMap>& maps) {
  CaseOptions options = read_case(words, LimitSheet::defaults(), UnitSystem::si).value();
  if (system != nullptr) fill_from_sheet(*system, words, options.import, options.judge);
  const Status one = settle_refrigerant(words, system, maps, options.judge);
  if (!one) return one.error();
  return options.judge;
}

TEST(SettleRefrigerant, NothingSaidIsTheUsualOneAndNothingIsAdded) {
  const auto options = settled({}, nullptr, {map_with("a.toml", "")});
  ASSERT_TRUE(options.has_value());
  EXPECT_EQ(options->refrigerant, "R-410A");
  EXPECT_TRUE(options->refrigerant_source.empty());
}

TEST(SettleRefrigerant, AMapDecidesAndItIsSaid) {
  const auto options = settled({}, nullptr, {map_with("a.toml", "r32"), map_with("b.toml", "")});
  ASSERT_TRUE(options.has_value()) << options.error().text();
  EXPECT_EQ(options->refrigerant, "R-32");
  EXPECT_EQ(options->refrigerant_source, "as the map a.toml says");
}

TEST(SettleRefrigerant, AMapMayAgreeWithTheSheetAndNotDeny) {
  const System sheet = sheet_of("R-32");
  const auto same = settled({}, &sheet, {map_with("a.toml", "R-32")});
  ASSERT_TRUE(same.has_value()) << same.error().text();
  EXPECT_EQ(same->refrigerant, "R-32");
  const auto other = settled({}, &sheet, {map_with("a.toml", "R-410A")});
  ASSERT_FALSE(other.has_value());
  EXPECT_THAT(other.error().text(), HasSubstr("the sheet says R-32, the map a.toml says R-410A"));
}

TEST(SettleRefrigerant, WhatWasSaidOverrulesAMapAndItIsSaid) {
  CaseWords words;
  words.refrigerant = "R-454B";
  const auto options = settled(words, nullptr, {map_with("a.toml", "R-32")});
  ASSERT_TRUE(options.has_value()) << options.error().text();
  EXPECT_EQ(options->refrigerant, "R-454B");
  EXPECT_THAT(options->refrigerant_source, HasSubstr("the map a.toml says R-32"));
}

TEST(SettleRefrigerant, TwoMapsThatDifferAndUnknownNamesAreRefused) {
  const auto two = settled({}, nullptr, {map_with("a.toml", "R-32"), map_with("b.toml", "R-410A")});
  ASSERT_FALSE(two.has_value());
  EXPECT_THAT(two.error().text(), HasSubstr("b.toml"));
  const auto unknown = settled({}, nullptr, {map_with("a.toml", "R-999")});
  ASSERT_FALSE(unknown.has_value());
  EXPECT_THAT(unknown.error().text(), HasSubstr("a.toml"));
}

}  // namespace
}  // namespace cw
