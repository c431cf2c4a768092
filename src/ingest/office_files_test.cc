// Files as an office, a building's controller and a mail program leave them: what would be read as
// another number without a word is set aside, turned or refused. All of them are invented.
#include <gmock/gmock.h>

#include "ingest/clock/title_clock.h"
#include "ingest/delimited/mail_text.h"
#include "ingest/header.h"
#include "ingest/open.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::import_text;
using testing::map_of;
using testing::other_counts;
using testing::values_of;

constexpr const char* outdoor = "site.outdoor_temperature [degC]";

/// Rows of a minute each: in `form` stands @ for the minute, # for a number that rises by 0.25 from
/// 20, with so many places.
std::string rows_of(std::string_view form, int places, int count) {
  std::string out;
  for (int i = 0; i < count; ++i) {
    for (const char c : form) {
      char text[24] = {c, '\0'};
      if (c == '@') std::snprintf(text, sizeof text, "%02d", i);
      if (c == '#') std::snprintf(text, sizeof text, "%.*f", places, 20.0 + 0.25 * i);
      out += text;
    }
  }
  return out;
}

TEST(CutOff, ANumberThatEndsWithTheFileIsNotRead) {
  const std::string text =
      std::string("time,") + outdoor + "\n" + rows_of("2026-01-14 06:@,#\n", 2, 8);
  EXPECT_EQ(count_of(import_text(text), Counter::cut_value), 0U);
  // Without its last line end it is whole, without the digit before that it is not.
  const auto whole = import_text(text.substr(0, text.size() - 1));
  EXPECT_EQ(count_of(whole, Counter::cut_value), 0U);
  EXPECT_EQ(values_of(whole, "site", "outdoor_temperature").back(), 273.15F + 21.75F);
  for (const std::size_t cut : {2U, 3U, 4U, 5U}) {
    const auto import = import_text(text.substr(0, text.size() - cut));
    ASSERT_TRUE(import.has_value()) << import.error().text();
    EXPECT_EQ(count_of(import, Counter::cut_value), 1U) << cut;
    EXPECT_EQ(import->log.rejects().front().line, 9U);
    EXPECT_TRUE(is_missing(values_of(import, "site", "outdoor_temperature").back())) << cut;
  }
}

TEST(CutOff, TheLastReadingOfALongTableToo) {
  const std::string text =
      "time,name,value\n" + rows_of("2026-01-14 06:@,site.outdoor_temperature [degC],#\n", 2, 8);
  const auto import = import_text(text.substr(0, text.size() - 4));
  EXPECT_EQ(count_of(import, Counter::cut_value), 1U);
  EXPECT_TRUE(is_missing(values_of(import, "site", "outdoor_temperature").back()));
}

TEST(CutOff, WholeNumbersMayBecomeShorter) {
  const std::string head = std::string("time,") + outdoor + "\n";
  const auto shorter =
      import_text(head + rows_of("2026-01-14 06:@,1#\n", 0, 8) + "2026-01-14 06:08,12");
  EXPECT_EQ(count_of(shorter, Counter::cut_value), 1U);
  const auto before = import_text(head + rows_of("2026-01-14 06:@,#\n", 0, 8) +
                                  "2026-01-14 06:08,5\n2026-01-14 06:09,4");
  EXPECT_EQ(count_of(before, Counter::cut_value), 0U);
}

TEST(CutOff, ANumberThatMayGoOnIsReadAndSaid) {
  const std::string head = std::string("time,") + outdoor + "\n";
  const std::string rows =
      "2026-01-14 06:00,12\n2026-01-14 06:01,9\n2026-01-14 06:02,11\n"
      "2026-01-14 06:03,8\n2026-01-14 06:04,12\n";
  const auto doubted = import_text(head + rows + "2026-01-14 06:05,1");
  EXPECT_EQ(values_of(doubted, "site", "outdoor_temperature").back(), 274.15F);
  EXPECT_THAT(doubted->assumptions, ::testing::Contains(HasSubstr("the beginning of a longer")));
  // As long as the longest, or with a line end behind it, it is whole.
  for (const char* last : {"2026-01-14 06:05,13", "2026-01-14 06:05,1\n"}) {
    const auto whole = import_text(head + rows + last);
    ASSERT_TRUE(whole.has_value()) << whole.error().text();
    EXPECT_THAT(whole->assumptions,
                ::testing::Not(::testing::Contains(HasSubstr("the beginning of a longer"))))
        << last;
  }
}

TEST(CutOff, ARowOfALongTableThatLacksCellsIsCut) {
  // "18" of "1893;good": as long as the numbers above, but no unit and no mark follow.
  const auto import =
      import_text("time;name;value;unit;quality\n" +
                  rows_of("2026-01-14 06:@;outdoor.1.discharge_pressure;19;bar;good\n", 0, 7) +
                  "2026-01-14 06:07;outdoor.1.discharge_pressure;18");
  EXPECT_EQ(count_of(import, Counter::cut_value), 1U);
  const auto p = values_of(import, "outdoor.1", "discharge_pressure");
  EXPECT_TRUE(p.empty() || is_missing(p.back()) || p.back() > 1.85e6F);
}

TEST(CutOff, ATimeInTheLastColumnIsNoTime) {
  const auto import =
      import_text(std::string(outdoor) + ",time\n" + rows_of("#,2026-01-14 06:@:30\n", 2, 7) +
                  "25.00,2026-01-14 06:07");
  EXPECT_EQ(count_of(import, Counter::cut_value), 1U);
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature").size(), 7U);
}

TEST(CommasOfTwoKinds, AreRefused) {
  const std::string text = "Time,HP bar,LP bar\n" + rows_of("2026-01-14 06:@,27,5,8,3\n", 2, 8);
  const auto import = import_text(text);
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("between cells and within numbers"));
}

TEST(CommasOfTwoKinds, AreNotSuspectedWhereNumbersHavePoints) {
  // The rows have a cell more than the header: each is too long, which is another thing.
  const auto import =
      import_text(std::string("time,") + outdoor + "\n" + rows_of("2026-01-14 06:@,#,7,\n", 2, 8));
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("no row could be read"));
  EXPECT_THAT(import.error().text(), ::testing::Not(HasSubstr("within numbers")));
}

TEST(UnitsInCells, OfTheSameKindAreTurned) {
  const auto import = import_text(
      "time,outdoor.1.suction_pressure [bar(a)]\n2026-01-14 06:00,1.02 bar\n"
      "2026-01-14 06:01,950 mbar\n");
  EXPECT_THAT(values_of(import, "outdoor.1", "suction_pressure"), ElementsAre(102000.0F, 95000.0F));
  EXPECT_EQ(other_counts(import, {}), 0U);
}

TEST(UnitsInCells, OfAnotherKindOrReferenceAreNoReadingAndCounted) {
  const auto import = import_text(
      "time,outdoor.1.suction_pressure [bar(a)]\n2026-01-14 06:00,1.02 bar\n"
      "2026-01-14 06:01,95 degC\n2026-01-14 06:02,1.1 bar(g)\n");
  const auto p = values_of(import, "outdoor.1", "suction_pressure");
  ASSERT_EQ(p.size(), 3U);
  EXPECT_FLOAT_EQ(p[0], 102000.0F);
  EXPECT_TRUE(is_missing(p[1])) << "a temperature in a column of pressures";
  EXPECT_TRUE(is_missing(p[2])) << "gauge in a column of absolute pressures";
  ASSERT_EQ(count_of(import, Counter::bad_cell), 2U);
  EXPECT_EQ(import->log.rejects()[0].text, "95 degC");
  EXPECT_EQ(import->log.rejects()[1].text, "1.1 bar(g)");
}

TEST(UnitsInRows, OfALongTableAreTurned) {
  const char* map =
      "[shape]\nname = \"Point\"\nvalue = \"Value\"\n[[column]]\nheader = \"Outside\"\n"
      "channel = \"site.outdoor_temperature\"\nunit = \"degC\"\n";
  ImportOptions options;
  options.maps.push_back(map_of(map));
  const auto import = import_text(
      "Time;Point;Value;Unit\n2026-01-14 06:00;Outside;-5.0;degC\n"
      "2026-01-14 06:01;Outside;23.0;degF\n2026-01-14 06:02;Outside;23.0;bar\n",
      options);
  const auto t = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(t.size(), 3U);
  EXPECT_FLOAT_EQ(t[0], 268.15F);
  EXPECT_FLOAT_EQ(t[1], 268.15F);  // 23 °F is -5 °C
  EXPECT_TRUE(is_missing(t[2]));
  EXPECT_EQ(count_of(import, Counter::bad_cell), 1U);
}

TEST(QualityBeside, ReadingsMarkedBadAreMissing) {
  const auto import = import_text(
      std::string("time,") + outdoor +
      ",site.outdoor_temperature quality\n2026-01-14 06:00,1.0,GOOD\n2026-01-14 06:01,2.0,BAD\n"
      "2026-01-14 06:02,3.0,good\n2026-01-14 06:03,4.0,sensor lost\n");
  const auto t = values_of(import, "site", "outdoor_temperature");
  // Of these words one is neither, so that the column may be anything.
  ASSERT_EQ(t.size(), 4U);
  EXPECT_EQ(count_of(import, Counter::bad_quality), 0U);
  const auto known = import_text(
      std::string("time,") + outdoor +
      ",site.outdoor_temperature quality\n2026-01-14 06:00,1.0,GOOD\n2026-01-14 06:01,2.0,BAD\n"
      "2026-01-14 06:02,3.0,good\n");
  EXPECT_EQ(count_of(known, Counter::bad_quality), 1U);
  EXPECT_TRUE(is_missing(values_of(known, "site", "outdoor_temperature")[1]));
}

TEST(QualityBeside, AMachinesStateIsNone) {
  const auto import = import_text(
      std::string("time,") + outdoor +
      ",site.outdoor_temperature status\n2026-01-14 06:00,1.0,OK\n2026-01-14 06:01,2.0,error\n"
      "2026-01-14 06:02,3.0,OK\n");
  EXPECT_EQ(count_of(import, Counter::bad_quality), 0U);
}

TEST(Headers, NumbersBelowOneNameForAllTellThemApart) {
  // No column is a channel, so that the message names the headers as they were joined.
  const auto import =
      import_text("Time,Temp,Temp\nTime,1,2\n" + rows_of("2026-01-14 06:@,#,1.5\n", 1, 8));
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("\"Temp 1\", \"Temp 2\""));
}

TEST(Quotes, ARemarkThatGoesOverLinesIsOneCell) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  ",Note\n2026-01-14 06:00,1.0,\"fan off\nthen on\"\n"
                                  "2026-01-14 06:01,2.0,\n");
  // "then on" is no row, and its row keeps its reading.
  EXPECT_THAT(values_of(import, "site", "outdoor_temperature"), ElementsAre(274.15F, 275.15F));
  EXPECT_EQ(other_counts(import, {Counter::unknown_column}), 0U);
}

TEST(Quotes, OneThatIsNeverClosedTakesNoRowBelowWithIt) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  ",Note\n2026-01-14 06:01,2.0,\"5 in. pipe\n"
                                  "2026-01-14 06:02,3.0,\n2026-01-14 06:03,4.0,\n");
  EXPECT_THAT(values_of(import, "site", "outdoor_temperature"),
              ElementsAre(275.15F, 276.15F, 277.15F));
  EXPECT_EQ(other_counts(import, {Counter::unknown_column}), 0U);
}

TEST(Mail, IsRefusedAndAnAnswerIsRead) {
  const auto mail = import_text(
      "From: a@example.org\nSubject: log\nMIME-Version: 1.0\n\ntime,HP\n2026-01-14 06:00,1\n");
  ASSERT_FALSE(mail.has_value());
  EXPECT_THAT(mail.error().text(), HasSubstr("a mail"));
  const auto answer = import_text("Hello,\n\n> time;" + std::string(outdoor) + "\n" +
                                  rows_of("> 2026-01-14 06:@;#\n", 2, 6) + "\nRegards\n");
  EXPECT_EQ(values_of(answer, "site", "outdoor_temperature").size(), 6U);
  EXPECT_FALSE(without_reply_marks("a,b\n> 5,1\n2,3\n4,5\n").has_value());
  EXPECT_FALSE(without_reply_marks(">30.0\n>30.0\n29.5\n>30.0\n").has_value());
}

TEST(LineEnds, OfSeveralKindsEndLines) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  "\r\n2026-01-14 06:00,1\r2026-01-14 06:01,2\r\n"
                                  "2026-01-14 06:02,3\n");
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature").size(), 3U);
}

TEST(Titles, DateAndTimeOfTheStartMayStandApart) {
  const std::vector<std::string> titles = {"Start date 2026/01/14", "Start time 06:30:00"};
  const auto said = start_in_titles(titles);
  ASSERT_TRUE(said.has_value());
  EXPECT_EQ(iso_text(*said->start, {}), "2026-01-14T06:30:00");
  EXPECT_FALSE(clock_in_titles(titles).has_value());
}

TEST(Minus, BehindANumberIsReadWhereNothingElseStandsThere) {
  const std::string head = "time;site.outdoor_temperature [degC]\n";
  const auto import =
      import_text(head + "2026-01-14 06:00;1,5\n2026-01-14 06:01;0,5-\n2026-01-14 06:02;1,5-\n");
  EXPECT_THAT(values_of(import, "site", "outdoor_temperature"),
              ElementsAre(274.65F, 272.65F, 271.65F));
  EXPECT_THAT(import->assumptions, ::testing::Contains(HasSubstr("minus behind")));
  for (const char* other : {"-2,5", "2,5+"}) {
    const auto doubted = import_text(head + "2026-01-14 06:00;0,5-\n2026-01-14 06:01;1,5-\n" +
                                     "2026-01-14 06:02;" + other + "\n");
    EXPECT_GE(count_of(doubted, Counter::bad_cell), 2U) << other;
  }
}

TEST(Switches, AreDataWhereTheDelimiterIsSought) {
  const auto import = import_text(
      "Zeit;A;B;C;D;site.outdoor_temperature [degC]\n14.01.2026 06:00;TRUE;Auf;nein;;27,5\n"
      "14.01.2026 06:01;TRUE;Zu;nein;;27,7\n14.01.2026 06:02;FALSE;Auf;ja;;27,9\n");
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature").size(), 3U);
}

TEST(Stamps, WithoutZerosWithUhrAndWithH) {
  const auto at = [](const char* text) {
    StampFields f;
    if (!parse_stamp(text, f) || !f.has_time) return std::string("none");
    return std::to_string(f.hour) + ":" + std::to_string(f.minute) + ":" + std::to_string(f.second);
  };
  EXPECT_EQ(at("2026-2-3 8:0:5"), "8:0:5");
  EXPECT_EQ(at("08.15 Uhr"), "8:15:0");
  EXPECT_EQ(at("08h15"), "8:15:0");
  EXPECT_EQ(at("8:5"), "none");
  EXPECT_EQ(at("08.15"), "none");
}

TEST(Dates, WithoutATimeInManyRowsAreRefused) {
  const auto import = import_text(std::string("Date,When,") + outdoor + "\n" +
                                  rows_of("2026-01-14,at about @,#\n", 1, 8));
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("a date without a time"));
}

TEST(Headers, AGaugeMarkBelongsToTheUnitBeforeIt) {
  EXPECT_EQ(split_header("HP bar(g)").unit_text, "bar(g)");
  EXPECT_EQ(split_header("HP bar(g)").name, "HP");
  EXPECT_EQ(split_header("Dose (g)").unit_text, "g");
  EXPECT_EQ(split_header("BP (bar rel.)").unit_text, "bar rel.");
}

}  // namespace
}  // namespace cw
