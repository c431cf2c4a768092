// Units and marks that stand in columns of their own: what the rows looked at first show must not
// decide alone how the others are read. All files are invented.
#include <gmock/gmock.h>

#include "ingest/delimited/unit_columns.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using ::testing::Contains;
using testing::count_of;
using ::testing::HasSubstr;
using testing::import_text;
using ::testing::Not;
using testing::other_counts;
using testing::values_of;
using testing::with_map;

/// "2026-01-14 06:30", that many minutes behind midnight of the day.
std::string minute(int i) {
  char text[24];
  std::snprintf(text, sizeof text, "2026-01-%02d %02d:%02d", 14 + i / 1440, i / 60 % 24, i % 60);
  return text;
}

/// Minutes that no sample of the first, middle and last rows of a long file looks at.
constexpr int many = 6000;
constexpr int unseen = 2000;

constexpr const char* outside_map =
    "[shape]\nname = \"Point\"\nvalue = \"Value\"\n[[column]]\nheader = \"Outside\"\n"
    "channel = \"site.outdoor_temperature\"\nunit = \"degC\"\n";

TEST(UnitColumn, OfWhichManyAreNotKnownStillTurnsThoseThatAre) {
  // Of the units "degC", "degF" and "imp/h" every third is none that is known.
  std::string text = "Time;Point;Value;Unit\n";
  for (int i = 0; i < 30; i += 3) {
    text += minute(i) + ";Outside;-5.0;degC\n" + minute(i + 1) + ";Outside;23.0;degF\n" +
            minute(i + 2) + ";Meter;7;imp/h\n";
  }
  const auto import = import_text(text, with_map(outside_map));
  const auto t = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(t.size(), 20U);
  for (const float value : t) EXPECT_FLOAT_EQ(value, 268.15F);  // 23 °F is -5 °C
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("units in 20 of 30 rows")));
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("\"imp/h\"")));
}

TEST(UnitColumn, ThatNamesRoomsIsNotAppliedAndSaid) {
  std::string text = "Time;Point;Value;Unit\n";
  const char* const rooms[] = {"Kitchen", "Bar", "Lobby"};
  for (int i = 0; i < 30; ++i) text += minute(i) + ";Outside;-5.0;" + rooms[i % 3] + "\n";
  const auto import = import_text(text, with_map(outside_map));
  const auto t = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(t.size(), 30U);
  for (const float value : t) EXPECT_FLOAT_EQ(value, 268.15F);
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("is not taken as the readings' units")));
}

TEST(UnitColumn, OfALongTableIsJudgedByAllRows) {
  // The unit is written only from the middle of the file on.
  std::string text = "Time;Point;Value;Unit\n";
  for (int i = 0; i < many; ++i) {
    const bool late = i >= unseen && i < unseen + 10;
    text += minute(i) + ";Outside;" + (late ? "23.0;degF" : "-5.0;") + "\n";
  }
  const auto import = import_text(text, with_map(outside_map));
  const auto t = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(t.size(), static_cast<std::size_t>(many));
  EXPECT_FLOAT_EQ(t[unseen], 268.15F);
}

TEST(UnitColumn, BesideReadingsCountsInEveryRow) {
  std::string text = "time,outdoor.1.suction_pressure,Unit,outdoor.1.discharge_pressure,Unit\n";
  for (int i = 0; i < many; ++i) {
    text += minute(i) + (i == unseen       ? ",800,kPa,25.0,bar\n"
                         : i == unseen + 1 ? ",8.0,bar,99,degC\n"
                                           : ",8.0,bar,25.0,bar\n");
  }
  const auto import = import_text(text);
  const auto low = values_of(import, "outdoor.1", "suction_pressure");
  const auto high = values_of(import, "outdoor.1", "discharge_pressure");
  ASSERT_EQ(low.size(), static_cast<std::size_t>(many));
  EXPECT_FLOAT_EQ(low[0], 8.0e5F);
  EXPECT_FLOAT_EQ(low[unseen], 8.0e5F);
  EXPECT_FLOAT_EQ(high[unseen], 2.5e6F);
  EXPECT_TRUE(is_missing(high[unseen + 1]));
  EXPECT_EQ(count_of(import, Counter::bad_cell), 1U);
  EXPECT_EQ(other_counts(import, {Counter::bad_cell, Counter::unknown_column}), 0U);
}

TEST(UnitColumn, ThatDeniesTheHeaderCountsAndIsSaid) {
  const auto import = import_text(
      "time,outdoor.1.suction_pressure [bar],Unit\n2026-01-14 06:00,800,kPa\n"
      "2026-01-14 06:01,810,kPa\n2026-01-14 06:02,820,kPa\n");
  const auto p = values_of(import, "outdoor.1", "suction_pressure");
  ASSERT_EQ(p.size(), 3U);
  EXPECT_FLOAT_EQ(p[0], 8.0e5F);
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("what stands in the row counts")));
}

TEST(UnitColumn, IsCalledSoByItsWholeNameOrBehindItsReading) {
  EXPECT_TRUE(is_called_unit("Unit"));
  EXPECT_TRUE(is_called_unit("Einheit #2"));
  EXPECT_TRUE(is_called_unit("HP unit", "HP"));
  EXPECT_TRUE(is_called_unit("HP_Unit", "HP"));
  EXPECT_FALSE(is_called_unit("Indoor unit"));
  EXPECT_FALSE(is_called_unit("Indoor unit", "HP"));
  EXPECT_FALSE(is_called_unit("HPunit", "HP"));
}

TEST(UnitColumn, ThatNumbersMachinesIsNone) {
  // "A" reads as ampere, and all rows say it.
  const auto import = import_text(
      "time,outdoor.1.compressor_current,Indoor unit\n2026-01-14 06:00,8.0,A\n"
      "2026-01-14 06:01,8.1,A\n2026-01-14 06:02,8.2,A\n");
  ASSERT_FALSE(import.has_value() && import->recording.size() > 0 &&
               import->recording.find("outdoor.1", "compressor_current") != nullptr);
}

TEST(Marks, ThatAreNotAppliedAreSaidWhereverTheyStand) {
  // "OK" may be a machine's state, so that the column is not applied; "bad" is a reading's.
  std::string text = "time,site.outdoor_temperature [degC],site.outdoor_temperature status\n";
  for (int i = 0; i < many; ++i) text += minute(i) + (i == unseen ? ",1.0,bad\n" : ",1.0,OK\n");
  const auto import = import_text(text);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("they are not applied")));
  const auto fine = import_text("time,site.outdoor_temperature [degC],Status\n" + minute(0) +
                                ",1.0,OK\n" + minute(1) + ",1.0,OK\n");
  ASSERT_TRUE(fine.has_value()) << fine.error().text();
  EXPECT_THAT(fine->assumptions, Not(Contains(HasSubstr("they are not applied"))));
}

TEST(Marks, ThatAreAppliedCountInEveryRow) {
  std::string text = "time,site.outdoor_temperature [degC],site.outdoor_temperature quality\n";
  for (int i = 0; i < many; ++i) {
    text += minute(i) + (i == unseen ? ",1.0,sensor lost\n" : ",1.0,good\n");
  }
  const auto import = import_text(text);
  EXPECT_TRUE(is_missing(values_of(import, "site", "outdoor_temperature")[unseen]));
  EXPECT_EQ(count_of(import, Counter::bad_quality), 1U);
}

TEST(Marks, OfALongTableThatAreNotAppliedAreSaid) {
  std::string text = "time,name,value,status\n";
  for (int i = 0; i < many; ++i) {
    text +=
        minute(i) + ",site.outdoor_temperature [degC],1.0," + (i == unseen ? "bad" : "OK") + "\n";
  }
  const auto import = import_text(text);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("they are not applied")));
}

}  // namespace
}  // namespace cw
