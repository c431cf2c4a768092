// Clocks of old loggers and printed reports. All files are invented.
#include <gmock/gmock.h>

#include "ingest/clock/span_text.h"
#include "ingest/clock/title_clock.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::import_text;
using testing::other_counts;
using testing::times_of;
using testing::values_of;
using testing::with_map;

constexpr const char* outdoor = "site.outdoor_temperature [degC]";

TEST(ShortDates, TwoDigitsAPartWithHhmmBesideThem) {
  const auto import = import_text(std::string("Date,Time,") + outdoor +
                                  "\n260114,2350,1\n260114,2355,2\n260115,0,3\n260115,5,4\n");
  EXPECT_THAT(times_of(import), ElementsAre("2026-01-14 23:50:00", "2026-01-14 23:55:00",
                                            "2026-01-15 00:00:00", "2026-01-15 00:05:00"));
  EXPECT_EQ(other_counts(import, {}), 0U);
}

TEST(ShortDates, OneDayAloneIsNotGuessed) {
  const std::string text =
      std::string("Date,Time,") + outdoor + "\n260114,0600,1\n260114,0605,2\n260114,0610,3\n";
  const auto refused = import_text(text);
  ASSERT_FALSE(refused.has_value());
  EXPECT_THAT(refused.error().text(), HasSubstr("the day first or the year first"));
  EXPECT_THAT(refused.error().text(), HasSubstr("order = "));
  const auto said = import_text(text, with_map("[clock]\norder = \"year-month-day\"\n"));
  EXPECT_THAT(times_of(said),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00"));
}

TEST(ShortDates, AHeaderThatSpellsTheOrderDecides) {
  const auto import = import_text(std::string("Date (DDMMYY),Time,") + outdoor +
                                  "\n50126,600,1\n50126,605,2\n50126,610,3\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-05 06:00:00", "2026-01-05 06:05:00", "2026-01-05 06:10:00"));
}

TEST(ShortDates, TenDigitsAreNoSecondsOfTheYear2052) {
  const auto import = import_text(std::string("YYMMDDhhmm,") + outdoor +
                                  "\n2601140600,1\n2601140605,2\n2601140610,3\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00"));
  // Real seconds from 1970 stay what they are, also where two rows look like pairs of digits.
  const auto epoch =
      import_text(std::string("time,") + outdoor + "\n1611010000,1\n1611010005,2\n1611010010,3\n");
  ASSERT_TRUE(epoch.has_value()) << epoch.error().text();
  EXPECT_EQ(epoch->recording.time[0].ms, 1611010000000);
}

TEST(DayOfYear, WithYearAndHhmm) {
  const auto import =
      import_text(std::string("Year,Day,Time,") + outdoor +
                  "\n2025,365,2330,1\n2025,365,2400,2\n2026,1,30,3\n2026,1,100,4\n");
  EXPECT_THAT(times_of(import), ElementsAre("2025-12-31 23:30:00", "2026-01-01 00:00:00",
                                            "2026-01-01 00:30:00", "2026-01-01 01:00:00"));
  EXPECT_EQ(other_counts(import, {}), 0U);
}

TEST(DayOfYear, A366thDayNeedsALeapYear) {
  const auto import = import_text(std::string("Year,DOY,hour,") + outdoor +
                                  "\n2024,366,23,1\n2025,1,0,2\n2025,366,1,3\n");
  EXPECT_THAT(times_of(import), ElementsAre("2024-12-31 23:00:00", "2025-01-01 00:00:00"));
  EXPECT_EQ(count_of(import, Counter::bad_time_stamp), 1U);
}

TEST(DayOfYear, WithoutAYearIsShownInTheFirstAndSaid) {
  const std::string text =
      std::string("DOY,hour,") + outdoor + "\n364,23,1\n365,1,2\n365,23,3\n1,1,4\n";
  const auto import = import_text(text);
  EXPECT_THAT(times_of(import), ElementsAre("1970-12-30 23:00:00", "1970-12-31 01:00:00",
                                            "1970-12-31 23:00:00", "1971-01-01 01:00:00"));
  ASSERT_TRUE(import.has_value());
  EXPECT_THAT(import->assumptions, ::testing::Contains(HasSubstr("carry no year")));
  const auto said = import_text(text, with_map("[clock]\nyear = 2025\n"));
  EXPECT_THAT(times_of(said), ::testing::Contains("2026-01-01 01:00:00"));
}

TEST(ZoneBeforeTheYear, WellKnownLettersAreReadAndSaid) {
  const auto import = import_text(std::string("When,") + outdoor +
                                  "\nWed Jan 14 06:05:00 CET 2026,1\nWed Jan 14 06:10:00 CET "
                                  "2026,2\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(iso_text(import->recording.time[0], {}), "2026-01-14T05:05:00");
  EXPECT_THAT(import->assumptions, ::testing::Contains(HasSubstr("\"CET\" behind the times")));
}

TEST(ZoneBeforeTheYear, LettersOfManyMeaningsAskForAZone) {
  const std::string text = std::string("When,") + outdoor +
                           "\nWed Jan 14 06:05:00 CST 2026,1\nWed Jan 14 06:10:00 CST 2026,2\n";
  const auto refused = import_text(text);
  ASSERT_FALSE(refused.has_value());
  EXPECT_THAT(refused.error().text(), HasSubstr("\"CST\""));
  EXPECT_THAT(refused.error().text(), HasSubstr("zone = "));
  const auto said = import_text(text, with_map("[clock]\nzone = \"Asia/Shanghai\"\n"));
  ASSERT_TRUE(said.has_value()) << said.error().text();
  EXPECT_EQ(iso_text(said->recording.time[0], {}), "2026-01-13T22:05:00");
}

TEST(SpanOfTime, IsSplit) {
  struct Case {
    const char* text;
    const char* begin;
    const char* end;
  };
  for (const Case& c :
       {Case{"06:00-06:05", "06:00", "06:05"},
        Case{"2026-01-14 06:00 - 06:05", "2026-01-14 06:00", "06:05"},
        Case{"14.01.2026 06:00 \xE2\x80\x93 14.01.2026 06:15", "14.01.2026 06:00",
             "14.01.2026 06:15"},
        Case{"2026-01-14T06:00/2026-01-14T06:05", "2026-01-14T06:00", "2026-01-14T06:05"},
        Case{"6:00 AM to 6:05 AM", "6:00 AM", "6:05 AM"},
        Case{"06:00 bis 06:05", "06:00", "06:05"}}) {
    const auto span = split_span(c.text);
    ASSERT_TRUE(span.has_value()) << c.text;
    EXPECT_EQ(span->begin, c.begin);
    EXPECT_EQ(span->end, c.end);
  }
  for (const char* text : {"06:00", "2026-01-14 06:00:00", "06:00 +01:00", "21.5-22.0", "a-b"}) {
    EXPECT_FALSE(split_span(text).has_value()) << text;
  }
}

TEST(SpanOfTime, TheBeginningCountsAndIsSaid) {
  const auto import = import_text(std::string("Interval,") + outdoor +
                                  "\n23:55-00:00,1\n00:00-00:05,2\n00:05-00:10,3\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("1970-01-01 23:55:00", "1970-01-02 00:00:00", "1970-01-02 00:05:00"));
  ASSERT_TRUE(import.has_value());
  EXPECT_THAT(import->assumptions, ::testing::Contains(HasSubstr("span of time")));
  const auto dated = import_text(std::string("Day;Span;") + outdoor +
                                 "\n14.01.2026;06:00 - 06:15;1\n14.01.2026;06:15 - 06:30;2\n");
  EXPECT_THAT(times_of(dated), ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:15:00"));
}

TEST(SpanOfTime, AnEndThatNeverChangesIsAnOffset) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  "\n2026-01-14 06:00-05:00,1\n2026-01-14 06:05-05:00,2\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(iso_text(import->recording.time[0], {}), "2026-01-14T11:00:00");
}

TEST(SpanOfTime, BesideFullStampsIsNoClock) {
  const auto import =
      import_text(std::string("Timestamp,Schedule,") + outdoor +
                  "\n2026-01-14 06:00,06:00-18:00,1\n2026-01-14 06:05,06:00-18:00,2\n"
                  "2026-01-14 06:10,07:00-17:00,3\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00"));
  const auto apart =
      import_text(std::string("Schedule;Date;Time;") + outdoor +
                  "\n06:00-18:00;14.01.2026;06:00;1\n07:00-17:00;14.01.2026;06:05;2\n"
                  "06:00-18:00;14.01.2026;06:10;3\n");
  EXPECT_THAT(times_of(apart),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00"));
  const auto epoch = import_text(std::string("time,Schedule,") + outdoor +
                                 "\n1768372200,06:00-18:00,1\n1768372500,07:00-17:00,2\n"
                                 "1768372800,06:00-18:00,3\n");
  ASSERT_TRUE(epoch.has_value()) << epoch.error().text();
  EXPECT_EQ(epoch->recording.time[0].ms, 1768372200000);
}

TEST(SpanOfTime, OffsetsThatChangeWithinTheFileAreOffsets) {
  const std::string text = std::string("time,") + outdoor +
                           "\n2026-03-08T01:15:00-06:00,1\n2026-03-08T01:45:00-06:00,2\n"
                           "2026-03-08T03:00:00-05:00,3\n2026-03-08T03:15:00-05:00,4\n";
  for (const char* map : {"", "[clock]\ncolumn = \"time\"\n", "[clock]\nform = \"stamps\"\n",
                          "[clock]\ncolumn = \"time\"\nform = \"stamps\"\n"}) {
    const auto import = import_text(text, with_map(map));
    ASSERT_TRUE(import.has_value()) << import.error().text();
    ASSERT_EQ(import->recording.size(), 4U) << map;
    EXPECT_EQ(iso_text(import->recording.time[0], {}), "2026-03-08T07:15:00") << map;
    EXPECT_EQ(iso_text(import->recording.time[2], {}), "2026-03-08T08:00:00") << map;
  }
  // One stamp a day at the same hour: the ends change with the offset only.
  const auto daily = import_text(std::string("time,") + outdoor +
                                 "\n2026-03-06T06:00-06:00,1\n2026-03-07T06:00-06:00,2\n"
                                 "2026-03-08T06:00-05:00,3\n2026-03-09T06:00-05:00,4\n");
  ASSERT_TRUE(daily.has_value()) << daily.error().text();
  EXPECT_EQ(iso_text(daily->recording.time[3], {}), "2026-03-09T11:00:00");
}

TEST(SpanOfTime, DatedSpansWithoutBlanksStaySpans) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  "\n2026-01-14 06:00-06:15,1\n2026-01-14 06:15-06:30,2\n"
                                  "2026-01-14 06:30-06:45,3\n2026-01-14 06:45-07:00,4\n");
  EXPECT_THAT(times_of(import), ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:15:00",
                                            "2026-01-14 06:30:00", "2026-01-14 06:45:00"));
}

TEST(SpanOfTime, AMapThatSaysStampsIsNotOverruled) {
  const auto import = import_text(
      std::string("Timestamp,") + outdoor + "\n06:00-06:05,1\n06:05-06:10,2\n06:10-06:15,3\n",
      with_map("[clock]\ncolumn = \"Timestamp\"\nform = \"stamps\"\n"));
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_THAT(import->assumptions, ::testing::Not(::testing::Contains(HasSubstr("span of time"))));
}

TEST(DatesOnceADay, GoOnBelowAndOverMidnight) {
  const auto import = import_text(std::string("Date;Time;") + outdoor +
                                  "\n14.01.2026;22:00;1\n;23:00;2\n;00:00;3\n;01:00;4\n"
                                  "15.01.2026;02:00;5\n;03:00;6\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 22:00:00", "2026-01-14 23:00:00", "2026-01-15 00:00:00",
                          "2026-01-15 01:00:00", "2026-01-15 02:00:00", "2026-01-15 03:00:00"));
  ASSERT_TRUE(import.has_value());
  EXPECT_THAT(import->assumptions,
              ::testing::Contains(HasSubstr("4 rows have a time and no date")));
}

TEST(DatesOnceADay, ARefusedRowGivesItsDate) {
  // The dated row of the second day lacks a cell, has one too many, or an hour that is none.
  for (const char* dated : {"15.01.2026;06:00", "15.01.2026;06:00;3;9;9", "15.01.2026;25:77;3"}) {
    const auto import = import_text(std::string("Date;Time;") + outdoor +
                                    "\n14.01.2026;06:00;1\n;06:05;2\n;06:10;2\n" + dated +
                                    "\n;06:05;4\n;06:10;5\n");
    EXPECT_THAT(times_of(import),
                ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00",
                            "2026-01-15 06:05:00", "2026-01-15 06:10:00"))
        << dated;
    EXPECT_EQ(count_of(import, Counter::duplicate_time_stamp), 0U) << dated;
  }
}

TEST(DatesOnceADay, ADateThatCannotBeReadCarriesNoOther) {
  const auto import = import_text(std::string("Date;Time;") + outdoor +
                                  "\n14.01.2026;06:00;1\n;06:05;2\n;06:10;2\n1?.01.2026;06:15;3\n"
                                  ";06:20;4\n16.01.2026;06:00;5\n;06:05;6\n"
                                  "17.01.2026;06:00;7\n18.01.2026;06:00;8\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00",
                          "2026-01-16 06:00:00", "2026-01-16 06:05:00", "2026-01-17 06:00:00",
                          "2026-01-18 06:00:00"));
  EXPECT_EQ(count_of(import, Counter::bad_time_stamp), 2U);
}

TEST(DatesOnceADay, HoursThatStepBackAreNotOfTheSameDay) {
  const auto import = import_text(std::string("Date;Time;") + outdoor +
                                  "\n14.01.2026;06:00;1\n;12:00;2\n;06:00;3\n;06:05;4\n"
                                  "16.01.2026;06:00;5\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 12:00:00", "2026-01-16 06:00:00"));
  EXPECT_EQ(count_of(import, Counter::bad_time_stamp), 2U);
  // The hour that the end of summer time repeats is of the same day.
  const auto autumn = import_text(
      std::string("Date;Time;") + outdoor + "\n25.10.2026;02:00;1\n;02:30;2\n;02:00;3\n;02:30;4\n",
      with_map("[clock]\nzone = \"Europe/Berlin\"\n"));
  ASSERT_TRUE(autumn.has_value()) << autumn.error().text();
  EXPECT_EQ(autumn->recording.size(), 4U);
}

TEST(DatesOnceADay, InLinesBetweenTheRowsAreRefused) {
  const auto import = import_text(std::string("Time;") + outdoor +
                                  ";outdoor.1.power [kW]\n22:00;1;2\n23:00;2;2\n"
                                  "Date: 17.01.2026;;\n00:00;3;2\n01:00;4;2\n");
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("17.01.2026"));
}

TEST(ShortenedStamps, AreRefusedWithTheReason) {
  for (const char* cell : {"1.76837E+12", "########"}) {
    std::string text = std::string("time;") + outdoor + "\n";
    for (int i = 0; i < 5; ++i) text += std::string(cell) + ";1\n";
    const auto import = import_text(text);
    ASSERT_FALSE(import.has_value()) << cell;
    EXPECT_THAT(import.error().text(), HasSubstr("shortened by a spreadsheet")) << cell;
  }
}

TEST(IntervalInATitle, IsFoundWithItsUnitOnly) {
  const auto said = [](std::vector<std::string> titles) { return clock_in_titles(titles); };
  const auto both = said({"Start: 2026-01-14 06:00, Interval: 5 min"});
  ASSERT_TRUE(both.has_value());
  EXPECT_EQ(both->interval_s, 300.0);
  ASSERT_TRUE(both->start.has_value());
  EXPECT_EQ(iso_text(*both->start, {}), "2026-01-14T06:00:00");
  EXPECT_EQ(said({"Messintervall;00:00:30"})->interval_s, 30.0);
  EXPECT_EQ(said({"Sample rate (s): 15"})->interval_s, 15.0);
  EXPECT_EQ(said({"\xE9\x96\x93\xE9\x9A\x94: 10 \xE5\x88\x86"})->interval_s, 600.0);
  // Half a minute or half an hour; a number without a unit; hertz.
  EXPECT_FALSE(said({"Interval: 00:30"}).has_value());
  EXPECT_FALSE(said({"Interval: 5"}).has_value());
  EXPECT_FALSE(said({"Sample rate: 5 Hz"}).has_value());
  // A start that can be read in two ways is shown and not taken.
  const auto unclear = said({"Interval 1 h", "Start 01/02/2026 06:00"});
  ASSERT_TRUE(unclear.has_value());
  EXPECT_FALSE(unclear->start.has_value());
  EXPECT_FALSE(unclear->start_title.empty());
}

TEST(ClockOfRows, IsRefusedWithTheWayAndReadWithAMap) {
  const std::string text = std::string("Interval: 5 min\nStart: 2026-01-14 06:00\n") + outdoor +
                           ",outdoor.1.power [kW]\n1,2\n2,3\n3\n4,5\n";
  const auto refused = import_text(text);
  ASSERT_FALSE(refused.has_value());
  EXPECT_THAT(refused.error().text(), HasSubstr("A title says \"Interval: 5 min\""));
  EXPECT_THAT(refused.error().text(), HasSubstr("interval = \"300 s\""));
  const auto import =
      import_text(text, with_map("[clock]\ninterval = \"5 min\"\nstart = \"2026-01-14 06:00\"\n"));
  // The row that was cut off keeps its time.
  EXPECT_THAT(times_of(import), ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00",
                                            "2026-01-14 06:10:00", "2026-01-14 06:15:00"));
  EXPECT_EQ(count_of(import, Counter::bad_row_short), 1U);
  EXPECT_TRUE(is_missing(values_of(import, "outdoor.1", "power")[2]));
}

TEST(ClockOfRows, SumsAndTitlesBetweenTheRowsTakeNoTime) {
  const std::string head = std::string("Site log 1\n") + outdoor + ",outdoor.1.power [kW]\n";
  const char* const map = "[clock]\ninterval = \"5 min\"\nstart = \"2026-01-14 06:00\"\n";
  const auto import = import_text(
      head + "1,2\n2,2\nMean,99\nSite log 2,\n3,2\nremark\n4,2\n--\n5,2\n", with_map(map));
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00",
                          "2026-01-14 06:15:00", "2026-01-14 06:20:00", "2026-01-14 06:25:00"));
  const auto power = values_of(import, "outdoor.1", "power");
  ASSERT_EQ(power.size(), 6U);
  EXPECT_FLOAT_EQ(power[2], 2000.0F);
  EXPECT_TRUE(is_missing(power[4]));  // "--": a row that the logger could not fill
  EXPECT_EQ(count_of(import, Counter::table_foot), 1U);
  EXPECT_EQ(count_of(import, Counter::page_title), 1U);
  // A column of words may hold those of a foot.
  for (const char* header : {"outdoor.1.mode", "Louvre"}) {
    const auto words = import_text(
        std::string(header) + "," + outdoor + "\nmin,1\nmax,2\nmax,3\nauto,4\n", with_map(map));
    EXPECT_EQ(words ? words->recording.size() : 0U, 4U) << header;
  }
}

TEST(ClockOfRows, AMapThatContradictsItselfIsRefused) {
  for (const char* text :
       {"[clock]\nform = \"rows\"\n", "[clock]\ninterval = \"5 min\"\ncolumn = \"Time\"\n",
        "[clock]\ninterval = \"5 min\"\nform = \"epoch\"\n", "[clock]\ninterval = \"0 s\"\n",
        "[clock]\ninterval = \"-5 min\"\n", "[clock]\ninterval = \"5 kPa\"\n"}) {
    EXPECT_FALSE(parse_channel_map(text, "m.toml").has_value()) << text;
  }
}

}  // namespace
}  // namespace cw
