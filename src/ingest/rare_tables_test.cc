// Tables turned over, in quotes, in pages, with sums below, and where in a file rejects stand. All
// files are invented.
#include <gmock/gmock.h>

#include "ingest/delimited/page_lines.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using ::testing::ElementsAre;
using testing::first_of;
using ::testing::HasSubstr;
using testing::import_text;
using testing::other_counts;
using testing::times_of;
using testing::values_of;
using testing::with_map;

constexpr const char* outdoor = "site.outdoor_temperature [degC]";

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
  // 8500 x 8500 cells from 130 kB, and 1900 x 1900 from 27 kB.
  for (const int side : {8500, 1900}) {
    std::string text = "Signal";
    for (int i = 0; i < side; ++i) text += ",06:00";
    text += '\n';
    for (int i = 0; i < side; ++i) text += "s" + std::to_string(i) + ",1\n";
    const auto import = import_text(text);
    ASSERT_FALSE(import.has_value()) << side;
    EXPECT_THAT(import.error().text(), HasSubstr("fill the memory")) << side;
  }
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
