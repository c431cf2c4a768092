// The stages of reading a text, each by itself: encoding, dialect, layout, clock.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include <cmath>
#include <limits>

#include "base/zone.h"
#include "ingest/clock/clock_plan.h"
#include "ingest/delimited/cell_marks.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/layout.h"
#include "ingest/encoding.h"
#include "ingest/header.h"
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

// --- encodings -----------------------------------------------------------------------------------

std::string decoded(std::string_view bytes) {
  const Result<Text> text = decode(bytes, guess_encoding(bytes));
  return text ? std::string(text->view()) : text.error().text();
}

std::string utf16(std::string_view ascii, bool little) {
  std::string out;
  for (const char c : ascii) {
    if (!little) out += '\0';
    out += c;
    if (little) out += '\0';
  }
  return out;
}

TEST(Encoding, MarksAndPatternsTellThemApart) {
  EXPECT_EQ(decoded("\xEF\xBB\xBFt,a\n"), "t,a\n");
  EXPECT_EQ(decoded("\xFF\xFE" + utf16("time;T\n1;2\n", true)), "time;T\n1;2\n");
  EXPECT_EQ(decoded("\xFE\xFF" + utf16("time;T\n1;2\n", false)), "time;T\n1;2\n");
  EXPECT_EQ(decoded(utf16("time;T\n1;2\n3;4\n", true)), "time;T\n1;2\n3;4\n");
  EXPECT_EQ(decoded(utf16("time;T\n1;2\n3;4\n", false)), "time;T\n1;2\n3;4\n");
  EXPECT_EQ(decoded("Au\xDF"
                    "en [\xB0"
                    "C]\n"),
            "Au\xC3\x9F"
            "en [\xC2\xB0"
            "C]\n");
  EXPECT_EQ(decoded("\x80 5\n"), "\xE2\x82\xAC 5\n");
  // "outdoor air" in Shift-JIS: 8A 4F 8B 43.
  EXPECT_EQ(decoded("\x8A\x4F\x8B\x43\x89\xB7\x93\x78,1\n"),
            "\xE5\xA4\x96\xE6\xB0\x97\xE6\xB8\xA9\xE5\xBA\xA6,1\n");
  EXPECT_EQ(decoded(std::string(1005, '\0') + "a,b\n"), "a,b\n");
  EXPECT_EQ(guess_encoding(std::string(1005, '\0') + "a,b\n").nuls, 1005U);
}

/// The bytes are those that the codecs of Python 3.11 write for these words.
TEST(Encoding, WordsOfOtherAlphabetsAreToldFromWesternOnes) {
  const std::string chinese =
      "\xCA\xD2\xCD\xE2\xCE\xC2\xB6\xC8\x2C\xD4\xCB\xD0\xD0\xD7\xB4\xCC\xAC\x2C\xD1\xB9\xCB\xF5\xBB"
      "\xFA\xC6\xB5\xC2\xCA";
  EXPECT_EQ(guess_encoding(chinese).encoding, Encoding::gb18030);
  EXPECT_EQ(decoded(chinese), "室外温度,运行状态,压缩机频率");
  const std::string korean =
      "\xBF\xDC\xB1\xE2\xBF\xC2\xB5\xB5\x2C\xC5\xE4\xC3\xE2\xBF\xC2\xB5\xB5\x2C\xBE\xD0\xC3\xE0\xB1"
      "\xE2\x20\xC1\xD6\xC6\xC4\xBC\xF6";
  EXPECT_EQ(guess_encoding(korean).encoding, Encoding::euc_kr);
  EXPECT_EQ(decoded(korean), "외기온도,토출온도,압축기 주파수");
  const std::string russian =
      "\xC4\xE0\xE2\xEB\xE5\xED\xE8\xE5\x20\xED\xE0\xE3\xED\xE5\xF2\xE0\xED\xE8\xFF\x3B\xC2\xFB\xEA"
      "\xEB";
  EXPECT_EQ(guess_encoding(russian).encoding, Encoding::windows_1251);
  EXPECT_EQ(decoded(russian), "Давление нагнетания;Выкл");
  // One or two letters above 127 beside each other are western.
  EXPECT_EQ(guess_encoding("Zeit;K\xFChlen;Au\xDF"
                           "en;L\xFC\xE4ng\xE9\xE8;\xB0\xB0")
                .encoding,
            Encoding::windows_1252);
  EXPECT_EQ(encoding_named("GBK"), Encoding::gb18030);
  EXPECT_EQ(encoding_named("EUC-KR"), Encoding::euc_kr);
}

TEST(Encoding, ADegreeSignThatWasWrittenTwiceIsOne) {
  EXPECT_EQ(tidy_label("T [\xC3\x82\xC2\xB0"
                       "C]"),
            "T [\xC2\xB0"
            "C]");
}

TEST(Clock, TimesWithFullStopsInAColumnOfTheirOwn) {
  for (const bool date_first : {true, false}) {
    std::string text = date_first ? "Data;Ora;" : "Ora;Data;";
    text += "site.outdoor_temperature [degC]\n";
    for (int minute = 0; minute < 50; ++minute) {
      const std::string time =
          "06." + std::string(minute < 10 ? "0" : "") + std::to_string(minute) + ".30";
      text += (date_first ? "14/1/2026;" + time : time + ";14/1/2026") + ";-3,5\n";
    }
    const auto import = import_text(text);
    ASSERT_TRUE(import.has_value()) << import.error().text();
    ASSERT_EQ(import->recording.size(), 50U);
    EXPECT_EQ(import->recording.time.front(), *instant_of({2026, 1, 14, 6, 0, 30, 0}));
    EXPECT_EQ(import->recording.time.back(), *instant_of({2026, 1, 14, 6, 49, 30, 0}));
  }
}

TEST(Encoding, LabelsLoseWhatNobodySees) {
  EXPECT_EQ(tidy_label("\xC2\xA0Tempe\xC2\xADratur\xC2\xA0[\xC2\xB0"
                       "C]\xE2\x80\x8B "),
            "Temperatur [\xC2\xB0"
            "C]");
}

TEST(Encoding, InvalidBytesNeverReachAReport) {
  const auto import = import_text("time,site.outdoor_temperature [degC]\n2026-01-14 06:00,1\n" +
                                  std::string(5U << 20U, '#') + "\n2026-01-14 06:01,\xFF\xFE\n");
  ASSERT_EQ(count_of(import, Counter::bad_cell), 1U);
  EXPECT_TRUE(is_utf8(import->log.rejects().back().text));
}

// --- numbers -------------------------------------------------------------------------------------

void expect_marks(CellMarks::Blocks blocks) {
  std::mt19937 random(4);
  CellMarks marks(',', blocks);
  for (std::size_t round = 0; round < 2000; ++round) {
    const std::size_t length = random() % 300;
    std::string text(length, 'x');
    for (char& c : text) {
      if (random() % 4 == 0) c = ',';
    }
    const bool quoted = random() % 5 == 0 && length > 0;
    if (quoted) text[random() % length] = '"';
    std::vector<std::uint32_t> expected;
    for (std::size_t i = 0; i < length; ++i) {
      if (text[i] == ',') expected.push_back(static_cast<std::uint32_t>(i));
    }
    expected.push_back(static_cast<std::uint32_t>(length));
    // Behind the line stand more delimiters and quotes, which are not its own.
    const std::string padded = text + std::string(random() % 100, ',') + "\"";
    ASSERT_EQ(marks.find({padded.data(), length}, padded.data() + padded.size()), !quoted);
    ASSERT_EQ(marks.cells(), expected.size());
    ASSERT_TRUE(std::equal(expected.begin(), expected.end(), marks.ends()));
  }
}

TEST(CellMarks, AreTheDelimitersOfTheLine) { expect_marks(CellMarks::Blocks::narrow); }

TEST(CellMarks, AreTheSameInWideBlocks) {
  if (CellMarks::best_blocks() < CellMarks::Blocks::wide) GTEST_SKIP() << "no AVX2";
  expect_marks(CellMarks::Blocks::wide);
}

TEST(CellMarks, AreTheSameInTheWidestBlocks) {
  if (CellMarks::best_blocks() < CellMarks::Blocks::widest) GTEST_SKIP() << "no AVX-512";
  expect_marks(CellMarks::Blocks::widest);
}

TEST(Numbers, DecimalSignsAndThousands) {
  const auto read = [](std::string_view cell, char decimal, char thousands) {
    const double none = std::numeric_limits<double>::quiet_NaN();
    double value = none;
    return read_dialect_number(cell, {';', decimal, thousands}, value) ? value : none;
  };
  EXPECT_EQ(read("1.234,5", ',', '.'), 1234.5);
  EXPECT_EQ(read("1,234,567.5", '.', ','), 1234567.5);
  EXPECT_EQ(read("1'234.5", '.', '\''), 1234.5);
  EXPECT_EQ(read("1\xC2\xA0"
                 "234,5",
                 ',', ' '),
            1234.5);
  EXPECT_EQ(read("\xE2\x88\x92"
                 "5,5",
                 ',', '\0'),
            -5.5);
  EXPECT_EQ(read("45 %", '.', '\0'), 45.0);
  EXPECT_TRUE(std::isnan(read("1.23,5", ',', '.')));
  EXPECT_TRUE(std::isnan(read("1,23", '.', '\0')));
  EXPECT_TRUE(std::isnan(read("12,34,567", '.', ',')));
}

// --- dialects, each read to the same values ------------------------------------------------------

class Dialects : public ::testing::TestWithParam<std::string> {};

TEST_P(Dialects, ReadTheSameValues) {
  const auto import = import_text(GetParam());
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature"),
            (std::vector<float>{272.65F, 274.4F, 275.9F}));
  EXPECT_EQ(other_counts(import, {}), 0U);
}

INSTANTIATE_TEST_SUITE_P(
    Ingest, Dialects,
    ::testing::Values(
        "time;site.outdoor_temperature [degC]\n2026-01-14 06:00;-0,5\n2026-01-14 06:01;1,25\n"
        "2026-01-14 06:02;2,75\n",
        "time\tsite.outdoor_temperature [degC]\r\n2026-01-14 06:00\t-0,5\r\n2026-01-14 06:01\t1,25"
        "\r\n2026-01-14 06:02\t2,75\r\n",
        "time|site.outdoor_temperature [degC]|\n2026-01-14 06:00|-0.5|\n2026-01-14 06:01|1.25|\n"
        "2026-01-14 06:02|2.75|\n",
        "sep=;\ntime;site.outdoor_temperature [degC]\n2026-01-14 06:00;-0,5\n"
        "2026-01-14 06:01;1,25\n2026-01-14 06:02;2,75\n",
        "\"time\",\"site.outdoor_temperature [degC]\"\n\"2026-01-14 06:00\",\"-0.5\"\n"
        "\"2026-01-14 06:01\",\"1.25\"\n\"2026-01-14 06:02\",\"2.75\"\n",
        "time;site.outdoor_temperature [degC]\n=\"2026-01-14 06:00\";=\"-0,5\"\n"
        "=\"2026-01-14 06:01\";=\"1,25\"\n=\"2026-01-14 06:02\";=\"2,75\"\n",
        "time,site.outdoor_temperature\n,degC\n2026-01-14 06:00,-0.5\n2026-01-14 06:01,1.25\n"
        "2026-01-14 06:02,2.75\n",
        "Report of the month\nSite: somewhere\n\ntime,site.outdoor_temperature [degC]\n"
        "2026-01-14 06:00,-0.5\n2026-01-14 06:01,1.25\n2026-01-14 06:02,2.75\n",
        "time,site.outdoor_temperature [degC]\n2026-01-14 06:00,-0.5 degC\n"
        "2026-01-14 06:01,1.25 degC\n2026-01-14 06:02,2.75 degC\n",
        "Date;Time;site.outdoor_temperature [degC]\n14.01.2026;06:00;-0,5\n"
        "14.01.2026;06:01;1,25\n14.01.2026;06:02;2,75\n",
        "time;channel;value\n2026-01-14 06:00;site.outdoor_temperature [degC];-0,5\n"
        "2026-01-14 06:01;site.outdoor_temperature [degC];1,25\n"
        "2026-01-14 06:02;site.outdoor_temperature [degC];2,75\n"));

TEST(Layout, TitlesHeadersUnitsAndNone) {
  const auto a = find_layout(
      "Station;A;B\nserial;1;2\n\nDate;Room;Out\n;degC;degC\n14.01.2026 06:00;20,5;-1,5\n"
      "14.01.2026 06:01;20,5;-1,5\n14.01.2026 06:02;20,6;-1,4\n14.01.2026 06:03;20,6;-1,4\n",
      nullptr);
  ASSERT_TRUE(a.has_value());
  EXPECT_EQ(a->dialect.delimiter, ';');
  EXPECT_EQ(a->dialect.decimal, ',');
  EXPECT_THAT(a->units, ElementsAre("", "degC", "degC"));
  EXPECT_EQ(a->data_line, 6U);
  const auto b = find_layout("0,0\t1,5\t2,5\n1,0\t1,6\t2,4\n2,0\t1,7\t2,3\n", nullptr);
  ASSERT_TRUE(b.has_value());
  EXPECT_FALSE(b->has_header);
  EXPECT_THAT(b->headers, ElementsAre("column 1", "column 2", "column 3"));
  const auto c =
      find_layout("06:00:00  1,5  2,5\n06:00:10  1,6  2,4\n06:00:20  1,7  2,3\n", nullptr);
  ASSERT_TRUE(c.has_value());
  EXPECT_EQ(c->headers.size(), 3U);
}

TEST(Header, UnitsInBracketsBehindACommaOrLast) {
  EXPECT_EQ(split_header("Suction pressure [kPa(g)]").unit_text, "kPa(g)");
  EXPECT_EQ(split_header("Temp, \xC2\xB0"
                         "C (logger 12)")
                .unit_text,
            "\xC2\xB0"
            "C");
  EXPECT_EQ(split_header("Import kWh").unit_text, "kWh");
  EXPECT_EQ(split_header("T_RHS_IN").unit_text, "");
  EXPECT_EQ(split_header("Room set Day").unit_text, "");
  EXPECT_EQ(split_header("Heating 2 (mixer)").unit_text, "");
}

// --- time stamps ---------------------------------------------------------------------------------

struct StampCase {
  const char* text;
  DateOrder order;
  const char* iso;
};

class Stamps : public ::testing::TestWithParam<StampCase> {};

TEST_P(Stamps, AreRead) {
  StampFields f;
  ASSERT_TRUE(parse_stamp(GetParam().text, f)) << GetParam().text;
  EXPECT_NE(orders_of(f) & bit_of(GetParam().order), 0U);
  const auto wall = wall_time(f, GetParam().order, 2026, 0);
  ASSERT_TRUE(wall.has_value());
  EXPECT_EQ(iso_text(*wall, {}), GetParam().iso) << GetParam().text;
}

constexpr auto ymd = DateOrder::year_month_day;
constexpr auto dmy = DateOrder::day_month_year;
constexpr auto mdy = DateOrder::month_day_year;

INSTANTIATE_TEST_SUITE_P(
    Ingest, Stamps,
    ::testing::Values(StampCase{"2026-01-14T06:30:15.250Z", ymd, "2026-01-14T06:30:15.250"},
                      StampCase{"2026/01/14 06:30", ymd, "2026-01-14T06:30:00"},
                      StampCase{"20260114 0630", ymd, "2026-01-14T06:30:00"},
                      StampCase{"20260114063015", ymd, "2026-01-14T06:30:15"},
                      StampCase{"14.01.2026 06:30", dmy, "2026-01-14T06:30:00"},
                      StampCase{"14.1.26 6:30:05", dmy, "2026-01-14T06:30:05"},
                      StampCase{"14/01/2026, 06:30", dmy, "2026-01-14T06:30:00"},
                      StampCase{"1/14/26 6:30:00 PM", mdy, "2026-01-14T18:30:00"},
                      StampCase{"01/14/2026 12:05 AM", mdy, "2026-01-14T00:05:00"},
                      StampCase{"14-Jan-2026 06:30", dmy, "2026-01-14T06:30:00"},
                      StampCase{"14 janv. 2026 06:30", dmy, "2026-01-14T06:30:00"},
                      StampCase{"14. M\xC3\xA4rz 2026 06:30", dmy, "2026-03-14T06:30:00"},
                      StampCase{"14/ene/2026 06:30", dmy, "2026-01-14T06:30:00"},
                      StampCase{"Jan 14, 2026 6:30 PM", mdy, "2026-01-14T18:30:00"},
                      StampCase{"Wed Jan 14 06:30:00 2026", mdy, "2026-01-14T06:30:00"},
                      StampCase{"14/Jan/2026:06:30:00 +0100", dmy, "2026-01-14T06:30:00"},
                      StampCase{"14.01.2026 24:00", dmy, "2026-01-15T00:00:00"},
                      StampCase{"01-14 06:30", DateOrder::month_day, "2026-01-14T06:30:00"},
                      StampCase{"06:30:15", DateOrder::none, "1970-01-01T06:30:15"}));

TEST(StampText, NumbersAndWordsAreNoStamps) {
  StampFields f;
  for (const char* text : {"23.45", "1,5", "-3", "soon", "126", "1234", "12 34", "on", "3/4"}) {
    EXPECT_FALSE(parse_stamp(text, f)) << text;
  }
}

std::string at(const Result<Import>& import, std::size_t row) {
  if (!import) return import.error().text();
  if (row >= import->recording.size()) return "no row";
  return iso_text(import->recording.time[row], import->recording.clock);
}

std::string log_of(const std::vector<std::string>& stamps) {
  std::string out = "time;site.outdoor_temperature [degC]\n";
  for (const std::string& stamp : stamps) out += stamp + ";1\n";
  return out;
}

TEST(Clock, DayAndMonthComeFromTheWholeFile) {
  EXPECT_EQ(at(import_text(log_of({"03/04/2026 06:00", "13/04/2026 06:00"})), 0),
            "2026-04-03T06:00:00");
  EXPECT_EQ(at(import_text(log_of({"03/04/2026 06:00", "03/14/2026 06:00"})), 0),
            "2026-03-04T06:00:00");
  // Nothing above 12, but only one order lets the rows follow each other.
  EXPECT_EQ(at(import_text(log_of({"01/02/2026 23:58", "01/02/2026 23:59", "01/03/2026 00:00",
                                   "01/03/2026 00:01", "01/03/2026 00:02"})),
               0),
            "2026-01-02T23:58:00");
  const auto torn = import_text(log_of({"03/04/2026 06:00", "03/04/2026 06:01"}));
  ASSERT_FALSE(torn.has_value());
  EXPECT_EQ(torn.error().code, ErrorCode::inconsistent);
  EXPECT_THAT(torn.error().text(), HasSubstr("order = \"day-month-year\""));
  ImportOptions options;
  options.maps.push_back(map_of("[clock]\norder = \"month-day-year\"\n"));
  EXPECT_EQ(at(import_text(log_of({"03/04/2026 06:00"}), options), 0), "2026-03-04T06:00:00");
}

TEST(Clock, ADayThatIsFarBehindTheSampleStillDecides) {
  std::vector<std::string> stamps;
  for (int i = 0; i < 3000; ++i) {
    stamps.push_back("03/04/2026 06:" + std::string(i % 60 < 10 ? "0" : "") +
                     std::to_string(i % 60));
  }
  stamps.push_back("03/31/2026 06:00");
  EXPECT_EQ(at(import_text(log_of(stamps)), 0), "2026-03-04T06:00:00");
}

TEST(Clock, MidnightAndNewYearAreCarried) {
  const auto night = import_text(log_of({"23:59:50", "23:59:55", "00:00:00", "00:00:05"}));
  EXPECT_EQ(at(night, 3), "1970-01-02T00:00:05");
  EXPECT_THAT(night->assumptions.front(), HasSubstr("no date"));
  ImportOptions options;
  options.maps.push_back(map_of("[clock]\nyear = 2025\n"));
  const auto year =
      import_text(log_of({"31.12. 23:59", "31.12. 23:59:30", "01.01. 00:00"}), options);
  EXPECT_EQ(at(year, 2), "2026-01-01T00:00:00");
}

TEST(Clock, SpreadsheetDaysEpochsAndSecondsFromStart) {
  EXPECT_EQ(at(import_text("time,site.outdoor_temperature [degC]\n46036.25,1\n46036.2505,2\n"
                           "46036.251,3\n"),
               0),
            "2026-01-14T06:00:00");
  EXPECT_EQ(at(import_text("epoch,site.outdoor_temperature [degC]\n1768370400000,1\n"), 0),
            "2026-01-14T06:00:00+00:00");
  ImportOptions options;
  options.maps.push_back(map_of("[clock]\nstart = \"2026-01-14 06:00\"\n"));
  EXPECT_EQ(
      at(import_text("Elapsed [min],site.outdoor_temperature [degC]\n0,1\n1.5,2\n3,3\n", options),
         1),
      "2026-01-14T06:01:30");
}

TEST(Clock, ZoneInTheHeader) {
  EXPECT_EQ(at(import_text("\"Date Time, GMT-06:00\",site.outdoor_temperature [degC]\n"
                           "01/14/26 06:00:00 AM,1\n"),
               0),
            "2026-01-14T06:00:00-06:00");
  EXPECT_EQ(at(import_text("time (Europe/Oslo),site.outdoor_temperature [degC]\n"
                           "2026-07-14 06:00,1\n"),
               0),
            "2026-07-14T06:00:00+02:00");
}

struct Change {
  const char* zone;
  const char* before;               ///< wall clock one minute before the change
  const char* after;                ///< wall clock at the change, new time
  int offset_before, offset_after;  ///< minutes
};

class ClockChanges : public ::testing::TestWithParam<Change> {};

// Transition instants as published by the authorities (EU directive 2000/84/EC: 01:00 UTC on the
// last Sundays of March and October; US Energy Policy Act of 2005: 02:00 local on the second Sunday
// of March and the first of November; New South Wales Standard Time Act: 02:00 standard time on the
// first Sundays of October and April).
TEST_P(ClockChanges, AreFollowed) {
  const Change& c = GetParam();
  ImportOptions options;
  options.maps.push_back(map_of("[clock]\nzone = \"" + std::string(c.zone) + "\"\n"));
  const auto import = import_text(log_of({c.before, c.after}), options);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->recording.size(), 2U);
  EXPECT_EQ(import->recording.time[1].ms - import->recording.time[0].ms, 60000);
  const auto& time = import->recording.time;
  EXPECT_EQ(*zone_offset_minutes(c.zone, time[0]), c.offset_before);
  EXPECT_EQ(*zone_offset_minutes(c.zone, time[1]), c.offset_after);
}

INSTANTIATE_TEST_SUITE_P(
    Ingest, ClockChanges,
    ::testing::Values(Change{"Europe/Berlin", "2024-03-31 01:59", "2024-03-31 03:00", 60, 120},
                      Change{"Europe/Berlin", "2024-10-27 02:59", "2024-10-27 02:00", 120, 60},
                      Change{"America/Chicago", "2024-03-10 01:59", "2024-03-10 03:00", -360, -300},
                      Change{"America/Chicago", "2024-11-03 01:59", "2024-11-03 01:00", -300, -360},
                      Change{"Australia/Sydney", "2024-10-06 01:59", "2024-10-06 03:00", 600, 660},
                      Change{"Australia/Sydney", "2024-04-07 02:59", "2024-04-07 02:00", 660,
                             600}));

TEST(Clock, SkippedHourIsSetAside) {
  ImportOptions options;
  options.maps.push_back(map_of("[clock]\nzone = \"Europe/Berlin\"\n"));
  const auto import =
      import_text(log_of({"2024-03-31 01:59", "2024-03-31 02:30", "2024-03-31 03:00"}), options);
  EXPECT_EQ(count_of(import, Counter::nonexistent_local_time), 1U);
  EXPECT_EQ(import->recording.size(), 2U);
}

// --- shapes --------------------------------------------------------------------------------------

TEST(Shapes, LongTableByMap) {
  ImportOptions options;
  options.maps.push_back(
      map_of("[shape]\nname = [\"Point\"]\nvalue = \"Value\"\n[[column]]\nheader = \"A\"\n"
             "channel = \"site.outdoor_temperature\"\nunit = \"degC\"\n[[column]]\nheader = \"B\"\n"
             "channel = \"site.outdoor_humidity\"\nunit = \"%\"\n"));
  const auto import = import_text(
      "Stamp,Point,Value\n2026-01-14 06:00,A,1\n2026-01-14 06:00,B,50\n2026-01-14 06:01,A,2\n"
      "2026-01-14 06:01,B,60\n",
      options);
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature"),
            (std::vector<float>{274.15F, 275.15F}));
  EXPECT_EQ(values_of(import, "site", "outdoor_humidity"), (std::vector<float>{0.5F, 0.6F}));
}

TEST(Shapes, DayByIntervalMatrix) {
  std::string text = "Date";
  for (int h = 0; h < 24; ++h)
    text += "," + std::string(h < 10 ? "0" : "") + std::to_string(h) + ":00";
  text += "\n";
  for (const char* day : {"2026-01-14", "2026-01-15"}) {
    text += day;
    for (int h = 0; h < 24; ++h) text += "," + std::to_string(h);
    text += "\n";
  }
  ImportOptions options;
  options.maps.push_back(map_of("[shape]\nmatrix = \"site.outdoor_temperature [degC]\"\n"));
  const auto import = import_text(text, options);
  const auto values = values_of(import, "site", "outdoor_temperature");
  ASSERT_EQ(values.size(), 48U);
  EXPECT_EQ(values[30], 279.15F);
  EXPECT_EQ(at(import, 30), "2026-01-15T06:00:00");
}

TEST(Shapes, BlankMeansUnchangedForAsLongAsTheMapSays) {
  ImportOptions options;
  options.maps.push_back(map_of("[shape]\nhold = \"2 min\"\n"));
  const auto import = import_text(
      "time,site.outdoor_temperature [degC],site.outdoor_humidity [%]\n2026-01-14 06:00,1,50\n"
      "2026-01-14 06:01,,51\n2026-01-14 06:02,,\n2026-01-14 06:03,,52\n",
      options);
  const auto t = values_of(import, "site", "outdoor_temperature");
  EXPECT_EQ(t[2], 274.15F);
  EXPECT_TRUE(is_missing(t[3]));
}

// --- several threads -----------------------------------------------------------------------------

TEST(Threads, GiveTheSameAsOne) {
  std::string text = "time,site.outdoor_temperature [degC],site.outdoor_humidity [%]\n";
  for (int i = 0; i < 400000; ++i) {
    const CivilTime t = civil_of({1768370400000 + i * std::int64_t{1000}});
    char line[96];
    std::snprintf(line, sizeof line, "%04d-%02d-%02d %02d:%02d:%02d,%.2f,%d\n", t.year, t.month,
                  t.day, t.hour, t.minute, t.second, 5 + i % 700 * 0.01, 40 + i % 37);
    text += i % 1000 == 999 ? "broken\n" : line;
  }
  ImportOptions one;
  one.threads = 1;
  ImportOptions two;
  two.threads = 2;
  const auto a = import_text(text, one);
  const auto b = import_text(text, two);
  ASSERT_TRUE(a.has_value() && b.has_value());
  EXPECT_TRUE(a->recording.time == b->recording.time);
  EXPECT_EQ(a->recording.channels[0].values, b->recording.channels[0].values);
  EXPECT_EQ(count_of(a, Counter::bad_row_short), 400U);
  EXPECT_EQ(count_of(b, Counter::bad_row_short), 400U);
  EXPECT_EQ(a->log.rejects()[150].line, b->log.rejects()[150].line);
}

}  // namespace
}  // namespace cw
