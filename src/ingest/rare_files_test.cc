// Files that are rare and real: clocks of old loggers, printed reports, tables turned over. All of
// them are invented.
#include <gmock/gmock.h>

#include "ingest/clock/span_text.h"
#include "ingest/clock/title_clock.h"
#include "ingest/delimited/page_lines.h"
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

std::vector<std::string> times_of(const Result<Import>& import) {
  if (!import) {
    ADD_FAILURE() << import.error().text();
    return {};
  }
  std::vector<std::string> out;
  for (std::size_t i = 0; i < import->recording.size(); ++i) {
    std::string text = iso_text(import->recording.time[i], {});
    text[10] = ' ';
    out.push_back(std::move(text));
  }
  return out;
}

ImportOptions with_map(const char* text) {
  ImportOptions options;
  options.maps.push_back(map_of(text));
  return options;
}

const Reject* first_of(const Result<Import>& import, Counter counter) {
  if (!import) return nullptr;
  for (const Reject& reject : import->log.rejects()) {
    if (reject.counter == counter) return &reject;
  }
  return nullptr;
}

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

TEST(SingleQuotes, GoAndWhatStandsInThemStays) {
  const auto import = import_text(std::string("'time','") + outdoor +
                                  "','outdoor.1.mode'\n'2026-01-14 06:00','-5.2','heating'\n"
                                  "'2026-01-14 06:01','1,5','heating'\n"
                                  "'2026-01-14 06:02','-5.0','off'\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  const auto values = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(values.size(), 3U);
  EXPECT_NEAR(values[0], 273.15F - 5.2F, 1e-3F);
  EXPECT_TRUE(is_missing(values[1]));
  const Reject* reject = first_of(import, Counter::bad_cell);
  ASSERT_NE(reject, nullptr);
  EXPECT_EQ(reject->line, 3U);
  EXPECT_EQ(reject->text, "1,5");
}

TEST(SingleQuotes, ALoneQuoteIsNotClosedByThatOfALaterCell) {
  const std::string head = std::string("'time','") + outdoor +
                           "','outdoor.1.power [kW]'\n'2026-01-14 05:58','15','2'\n"
                           "'2026-01-14 05:59','15','2'\n'2026-01-14 06:00','15','2'\n"
                           "'2026-01-14 06:01','15','2'\n'2026-01-14 06:02','15','2'\n";
  const auto import =
      import_text(head + "2026-01-14 06:10,'15,'2,'80,'7\n2026-01-14 06:11,'15,'2\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(count_of(import, Counter::bad_row_long), 1U);
  const auto power = values_of(import, "outdoor.1", "power");
  ASSERT_EQ(power.size(), 6U);
  EXPECT_FLOAT_EQ(power[5], 2000.0F);
}

TEST(SingleQuotes, LoneQuotesDecideOnlyWhereAllRowsAgree) {
  const std::string head = std::string("time,") + outdoor + ",outdoor.1.power [kW]\n";
  const auto marked = import_text(head +
                                  "2026-01-14 06:00,'15,'2\n2026-01-14 06:01,'16,'2\n"
                                  "2026-01-14 06:02,'16,'2\n");
  ASSERT_TRUE(marked.has_value()) << marked.error().text();
  EXPECT_NEAR(values_of(marked, "site", "outdoor_temperature")[1], 273.15F + 16.0F, 1e-3F);
  // Decimal commas that cut each number in two: such rows are refused, not put together.
  const auto cut = import_text(head +
                               "2026-01-14 06:10,'15,'2,'80,'7\n"
                               "2026-01-14 06:11,'15,'3,'80,'8\n"
                               "2026-01-14 06:12,'15,'3,'80,'8\n");
  EXPECT_FALSE(cut.has_value() && cut->recording.size() > 0);
}

TEST(SingleQuotes, ARowThatWasCutOffIsALoss) {
  const auto import = import_text(
      std::string("'time','") + outdoor +
      "','outdoor.1.power [kW]','outdoor.1.mode'\n"
      "'2026-01-14 06:29','15','2','heating, full'\n'2026-01-14 06:30','15','2','heating'\n"
      "'2026-01-14 06:31','15'\n'2026-01-14 06:32','15','2','off'\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.size(), 3U);
  EXPECT_EQ(count_of(import, Counter::bad_row_short), 1U);
  const Reject* reject = first_of(import, Counter::bad_row_short);
  ASSERT_NE(reject, nullptr);
  EXPECT_EQ(reject->line, 4U);
}

TEST(TimesAcross, AreTurnedOver) {
  const auto import = import_text(
      "Trend\nSignal;Unit;14.01.2026 06:00;14.01.2026 06:05;14.01.2026 06:10;Average\n"
      "site.outdoor_temperature;degC;-5,2;;-5,0;-5,1\n"
      "outdoor.1.discharge_temperature;degC;81,4;??;81,6;81,5\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00", "2026-01-14 06:10:00"));
  const auto outside = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(outside.size(), 3U);
  EXPECT_NEAR(outside[0], 273.15F - 5.2F, 1e-3F);
  EXPECT_TRUE(is_missing(outside[1]));
  EXPECT_NEAR(values_of(import, "outdoor.1", "discharge_temperature")[2], 273.15F + 81.6F, 1e-3F);
  EXPECT_EQ(count_of(import, Counter::table_foot), 1U);
  // A cell that cannot be read is found in the line of its signal.
  const Reject* reject = first_of(import, Counter::bad_cell);
  ASSERT_NE(reject, nullptr);
  EXPECT_EQ(reject->line, 4U);
}

TEST(TimesAcross, DatesInARowOfTheirOwn) {
  const auto import = import_text(
      "Date,14.01.2026,,15.01.2026\nTime,23:00,23:30,00:00\n"
      "site.outdoor_temperature [degC],1,2,3\noutdoor.1.suction_temperature [degC],4,5,6\n");
  EXPECT_THAT(times_of(import),
              ElementsAre("2026-01-14 23:00:00", "2026-01-14 23:30:00", "2026-01-15 00:00:00"));
}

TEST(TimesAcross, AFewBytesDoNotBecomeManyMegabytes) {
  constexpr int side = 8500;  // 8500 x 8500 cells from 130 kB
  std::string text = "Signal";
  for (int i = 0; i < side; ++i) text += ",06:00";
  text += '\n';
  for (int i = 0; i < side; ++i) text += "s" + std::to_string(i) + ",1\n";
  const auto import = import_text(text);
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("fill the memory"));
}

TEST(PagedReport, HeadersAndTitlesOfEachPageAreNoLoss) {
  std::string text;
  for (int page = 0; page < 4; ++page) {
    text += (page > 0 ? "\f" : "") + std::string("Weekly report;;page ") +
            std::to_string(page + 1) + "\ntime;" + outdoor + ";outdoor.1.mode\n";
    for (int i = 0; i < 5; ++i) {
      text += "2026-01-14 0" + std::to_string(page) + ":0" + std::to_string(i) + ";1.5;heating\n";
    }
  }
  const auto import = import_text(text);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.size(), 20U);
  EXPECT_EQ(count_of(import, Counter::page_title), 3U);
  EXPECT_EQ(count_of(import, Counter::repeated_header), 3U);
  EXPECT_EQ(other_counts(import, {Counter::page_title, Counter::repeated_header}), 0U);
}

TEST(TableFoot, IsCountedAndNoLoss) {
  const auto import =
      import_text(std::string("time,") + outdoor +
                  ",outdoor.1.power [kW]\n2026-01-14 05:59,1,2\n"
                  "2026-01-14 06:00,1,2\n2026-01-14 06:01,1,2\n-----,-----,-----\nAverage,1,2\n"
                  "Total:,,4\nPrinted 2026-01-15 by the office\n"
                  "*** End of report ***\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.size(), 3U);
  EXPECT_EQ(count_of(import, Counter::table_foot), 5U);
  EXPECT_EQ(other_counts(import, {Counter::table_foot}), 0U);
  const Reject* reject = first_of(import, Counter::table_foot);
  ASSERT_NE(reject, nullptr);
  EXPECT_EQ(reject->line, 5U);
}

TEST(TableFoot, ARowThatWasCutOffIsALoss) {
  for (const char* cut : {"2026-01-14 06:02,1\n", "2026-01-14 06:0", "\"2026-01-14 06:02\",1"}) {
    const auto import = import_text(std::string("time,") + outdoor +
                                    ",outdoor.1.power [kW]\n2026-01-14 05:58,1,2\n"
                                    "2026-01-14 05:59,1,2\n2026-01-14 06:00,1,2\n"
                                    "2026-01-14 06:01,1,2\n" +
                                    cut);
    EXPECT_EQ(count_of(import, Counter::bad_row_short), 1U) << cut;
    EXPECT_EQ(count_of(import, Counter::table_foot), 0U) << cut;
  }
}

TEST(TableFoot, WordsWithinTheTableStayALoss) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  ",outdoor.1.power [kW]\n2026-01-14 05:59,1,2\n"
                                  "2026-01-14 06:00,1,2\nlogger restarted\n"
                                  "2026-01-14 06:01,1,2\n");
  EXPECT_EQ(count_of(import, Counter::bad_row_short), 1U);
  EXPECT_EQ(count_of(import, Counter::table_foot), 0U);
}

TEST(TableFoot, ARowWithAStampInsideIsALoss) {
  const auto import = import_text(std::string("Unit,time,") + outdoor +
                                  ",outdoor.1.power [kW],outdoor.1.mode\n"
                                  "AC1,2026-01-14 07:00,1,2,heating\n"
                                  "AC1,2026-01-14 07:01,1,2,heating\n"
                                  "AC1,2026-01-14 07:02,1,2,heating\n"
                                  "AC1,2026-01-14 07:10,1.5\nAC1,2026-01-14 07:11,1.5\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(count_of(import, Counter::bad_row_short), 2U);
  EXPECT_EQ(count_of(import, Counter::table_foot), 0U);
  // So is one whose clock is no text.
  const auto epoch = import_text(std::string("Unit,time,") + outdoor +
                                 ",outdoor.1.power [kW],outdoor.1.mode\n"
                                 "AC1,1768372200,1,2,heating\nAC1,1768372260,1,2,heating\n"
                                 "AC1,1768372320,1,2,heating\nAC1,1768372380,1.5\n");
  EXPECT_EQ(count_of(epoch, Counter::bad_row_short), 1U);
  EXPECT_TRUE(holds_stamp("AC1,2026-01-14 07:10,1.5", ','));
  EXPECT_TRUE(holds_stamp("AC1;14.01.2026;07:10;1,5", ';'));
  for (const char* line :
       {"Printed 2026-01-15 by the office", "Samples,1440", "Mean,1.5", "Rev 1.2"}) {
    EXPECT_FALSE(holds_stamp(line, ',')) << line;
  }
}

TEST(PageLines, FoldsDigitsAndKnowsAFoot) {
  EXPECT_EQ(folded_line("Page 2 of 9"), folded_line("\fPage 13 of 99"));
  EXPECT_TRUE(folded_line("2026-01-14;1,5").empty());
  for (const char* line : {"Total,,4", "\"Average\",1", "=====", "Summe;3", "*** End ***",
                           "\xE5\x90\x88\xE8\xA8\x88,3", "\xED\x8F\x89\xEA\xB7\xA0,1"}) {
    EXPECT_TRUE(is_foot_line(line)) << line;
  }
  for (const char* line : {"2026-01-14 06:00,1", "-5.2,1", "Totaliser,1", "10 Average", ",,"}) {
    EXPECT_FALSE(is_foot_line(line)) << line;
  }
}

TEST(DecimalCommas, PointsAlwaysBeforeThreeDigitsAreSaidToBeThousands) {
  const std::string head = std::string("time;") + outdoor + ";outdoor.1.discharge_pressure [kPa]\n";
  const auto import = import_text(head +
                                  "2026-01-14 06:00;1,5;1.234\n2026-01-14 06:01;1,6;1.235\n"
                                  "2026-01-14 06:02;1,7;1.236\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_THAT(import->assumptions, ::testing::Contains(HasSubstr("thousands")));
  // Where smaller numbers of the column have no point, or larger ones two, nothing is assumed.
  const auto plain = import_text(head +
                                 "2026-01-14 06:00;1,5;987\n2026-01-14 06:01;1,6;1.235\n"
                                 "2026-01-14 06:02;1,7;1.236\n");
  ASSERT_TRUE(plain.has_value()) << plain.error().text();
  EXPECT_THAT(plain->assumptions, ::testing::Not(::testing::Contains(HasSubstr("thousands"))));
  // A map that says the sign says it all.
  const auto said = import_text(head + "2026-01-14 06:00;1,5;1.234\n2026-01-14 06:01;1,6;1.235\n",
                                with_map("[file]\nthousands = \".\"\n"));
  ASSERT_TRUE(said.has_value()) << said.error().text();
  EXPECT_THAT(said->assumptions, ::testing::Not(::testing::Contains(HasSubstr("thousands"))));
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

struct LineCase {
  const char* name;
  const char* text;
  std::size_t line;
};

class LinesOfRejects : public ::testing::TestWithParam<LineCase> {};

TEST_P(LinesOfRejects, AreThoseOfTheFile) {
  const auto import = import_text(GetParam().text);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  const Reject* reject = first_of(import, Counter::bad_cell);
  ASSERT_NE(reject, nullptr);
  EXPECT_EQ(reject->line, GetParam().line);
}

INSTANTIATE_TEST_SUITE_P(
    Formats, LinesOfRejects,
    ::testing::Values(
        LineCase{"json_lines",
                 "{\"time\":\"2026-01-14T06:00:00Z\",\"site.outdoor_temperature [degC]\":1}\n\n"
                 "{\"time\":\"2026-01-14T06:01:00Z\",\"site.outdoor_temperature [degC]\":\"??\"}\n",
                 3},
        LineCase{"zinc",
                 "ver:\"3.0\"\nts,v0 dis:\"site.outdoor_temperature\" unit:\"degC\"\n"
                 "2026-01-14T06:00:00Z UTC,1degC\n2026-01-14T06:01:00Z UTC,??\n"
                 "2026-01-14T06:02:00Z UTC,2degC\n",
                 4},
        LineCase{"grid",
                 "{\"meta\":{\"ver\":\"3.0\"},\n\"cols\":[{\"name\":\"ts\"},\n"
                 "{\"name\":\"v0\",\"dis\":\"site.outdoor_temperature [degC]\"}],\n\"rows\":[\n"
                 "{\"ts\":\"t:2026-01-14T06:00:00Z UTC\",\"v0\":\"n:1\"},\n"
                 "{\"ts\":\"t:2026-01-14T06:01:00Z UTC\",\n\"v0\":\"??\"}\n]}\n",
                 6},
        LineCase{"json_list",
                 "[\n{\"time\":\"2026-01-14T06:00:00Z\",\"site.outdoor_temperature [degC]\":1},\n"
                 "{\"time\":\"2026-01-14T06:01:00Z\",\"site.outdoor_temperature [degC]\":\"??\"}]",
                 3},
        // All on one line: no line to show, and the reason says which row.
        LineCase{"json_on_one_line",
                 "[{\"time\":\"2026-01-14T06:00:00Z\",\"site.outdoor_temperature [degC]\":1},"
                 "{\"time\":\"2026-01-14T06:01:00Z\",\"site.outdoor_temperature [degC]\":\"??\"}]",
                 0},
        LineCase{"names_and_values",
                 "# log\n2026-01-14T06:00:00Z site.outdoor_temperature=1C outdoor.1.power=2kW\n\n"
                 "2026-01-14T06:01:00Z site.outdoor_temperature=1C outdoor.1.power=2kW\n"
                 "2026-01-14T06:02:00Z site.outdoor_temperature=?? outdoor.1.power=2kW\n"
                 "2026-01-14T06:03:00Z site.outdoor_temperature=1C outdoor.1.power=2kW\n",
                 5}),
    [](const auto& at) { return std::string(at.param.name); });

}  // namespace
}  // namespace cw
