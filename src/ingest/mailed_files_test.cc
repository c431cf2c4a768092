// Files as people in several parts of the world mail them: clocks, signs and wrappings of their
// systems. All of them are invented.
#include <gmock/gmock.h>
#include <zip.h>
#include <zlib.h>

#include <array>

#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/page_lines.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using ::testing::Contains;
using testing::count_of;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::import_text;
using testing::other_counts;
using testing::times_of;
using testing::values_of;

constexpr const char* outdoor = "site.outdoor_temperature [degC]";

/// The time of day that a stamp says; "none" where it is none.
std::string at(std::string_view text) {
  StampFields f;
  if (!parse_stamp(text, f) || !f.has_time) return "none";
  return std::to_string(f.hour) + ":" + std::to_string(f.minute);
}

TEST(HalvesOfTheDay, BehindBlanksThatDoNotBreakAndInOtherAlphabets) {
  EXPECT_EQ(at("1/14/2026, 06:30:00\u202FPM"), "18:30");
  EXPECT_EQ(at("14/1/2026\u00A012:05:00 \u03C0\u03BC"), "0:5");
  EXPECT_EQ(at("14/1/2026 06:30:00 \u03BC\u03BC"), "18:30");
  EXPECT_EQ(at("14.01.2026 06:30:00 \u00D6S"), "18:30");
  EXPECT_EQ(at("14/01/2026 06:30 p.\u202Fm."), "18:30");
  const auto import = import_text(std::string("time,") + outdoor +
                                  "\n\"1/14/2026, 11:30:00\u202FAM\",1\n"
                                  "\"1/14/2026, 12:30:00\u202FPM\",2\n");
  EXPECT_THAT(times_of(import), ElementsAre("2026-01-14 11:30:00", "2026-01-14 12:30:00"));
}

TEST(HalvesOfTheDay, ThatAreLostRefuseTheFile) {
  std::string text = std::string("time,") + outdoor + "\n";
  for (int i = 24; i < 96; ++i) {
    char row[40];
    const int hour = (i / 4 + 11) % 12 + 1;
    std::snprintf(row, sizeof row, "2026-01-14 %02d:%02d,1\n", hour, i % 4 * 15);
    text += row;
  }
  const auto import = import_text(text);
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("12-hour clock without AM and PM"));
  // A morning that ends before one o'clock decides nothing and is read.
  const auto morning =
      import_text(std::string("time,") + outdoor + "\n2026-01-14 06:00,1\n2026-01-14 12:45,2\n");
  EXPECT_THAT(times_of(morning), ElementsAre("2026-01-14 06:00:00", "2026-01-14 12:45:00"));
}

TEST(Stamps, AsABrowserWritesThem) {
  StampFields f;
  ASSERT_TRUE(parse_stamp("Wed Jan 14 2026 06:05:00 GMT+0100 (Central European Standard Time)", f));
  EXPECT_EQ(f.offset_minutes, 60);
  EXPECT_EQ(f.hour, 6);
}

TEST(Stamps, WithRomanMonths) {
  const auto import = import_text(std::string("Czas;") + outdoor +
                                  "\n14.II.2026 06:00;1,5\n15 II 2026 06:00;2,5\n");
  EXPECT_THAT(times_of(import), ElementsAre("2026-02-14 06:00:00", "2026-02-15 06:00:00"));
  EXPECT_EQ(at("5 V"), "none");
}

TEST(Stamps, ThatAreTheSameInAllRowsAreNotTheClock) {
  const auto import =
      import_text(std::string("_start,_stop,_time,") + outdoor +
                  "\n2026-01-14T06:00:00Z,2026-01-15T06:00:00Z,2026-01-14T06:05:00Z,1\n"
                  "2026-01-14T06:00:00Z,2026-01-15T06:00:00Z,2026-01-14T06:10:00Z,2\n");
  EXPECT_THAT(times_of(import), ElementsAre("2026-01-14 06:05:00", "2026-01-14 06:10:00"));
}

TEST(Years, OfOtherCalendarsAreTurnedAndSaid) {
  // Year 2569 of the Buddhist calendar and year 115 of the Republic of China are 2026; from memory.
  const auto thai =
      import_text(std::string("time,") + outdoor + "\n14/01/2569 06:00,1\n14/01/2569 06:05,2\n");
  EXPECT_THAT(times_of(thai), ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00"));
  EXPECT_THAT(thai->assumptions, Contains(HasSubstr("Buddhist calendar")));
  const auto taiwan =
      import_text(std::string("time,") + outdoor + "\n115/01/14 06:00,1\n115/01/14 06:05,2\n");
  EXPECT_THAT(times_of(taiwan), ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:05:00"));
  EXPECT_THAT(taiwan->assumptions, Contains(HasSubstr("Republic of China")));
}

TEST(NestedObjects, SayTheUnitBesideTheValue) {
  std::string text;
  for (int i = 0; i < 8; ++i) {
    const bool other = i == 5;
    text += "{\"t\":\"2026-01-14T06:0" + std::to_string(i) +
            ":00Z\",\"outdoor.1.suction_pressure\":{\"value\":" + (other ? "800" : "8.0") +
            ",\"unit\":\"" + (other ? "kPa" : "bar") + "\"}}\n";
  }
  ImportOptions options;
  options.survey = true;
  const auto import = import_text(text, options, "log.ndjson");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  const FileSurvey& survey = import->surveys.front();
  const auto column =
      std::find_if(survey.columns.begin(), survey.columns.end(),
                   [](const ColumnSurvey& c) { return c.header.ends_with("value"); });
  ASSERT_NE(column, survey.columns.end());
  EXPECT_EQ(column->unit_text, "bar");
  EXPECT_FLOAT_EQ(static_cast<float>(column->highest), 8.0F);  // 800 kPa is 8 bar
}

TEST(ZeroBytes, BehindATextArePassedOverAndSaid) {
  std::string text = std::string("time,") + outdoor + "\n2026-01-14 06:00,1\n2026-01-14 06:01,2\n";
  text.append(512, '\0');
  const auto import = import_text(text);
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature").size(), 2U);
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("512 zero bytes stand behind the text")));
}

std::string gzipped(const std::string& text) {
  z_stream stream{};
  EXPECT_EQ(deflateInit2(&stream, 6, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY), Z_OK);
  std::string out(text.size() + 256, '\0');
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
  stream.avail_in = static_cast<uInt>(text.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  EXPECT_EQ(deflate(&stream, Z_FINISH), Z_STREAM_END);
  out.resize(out.size() - stream.avail_out);
  deflateEnd(&stream);
  return out;
}

TEST(ZeroBytes, BehindGzipDataFillABlock) {
  const std::string packed =
      gzipped(std::string("time,") + outdoor + "\n2026-01-14 06:00,1\n2026-01-14 06:01,2\n");
  const auto filled = import_text(packed + std::string(300, '\0'), {}, "log.csv.gz");
  EXPECT_EQ(values_of(filled, "site", "outdoor_temperature").size(), 2U);
  const auto other = import_text(packed + "more", {}, "log.csv.gz");
  EXPECT_FALSE(other.has_value());
}

TEST(Terminal, ItsColoursAreTakenOut) {
  const auto import =
      import_text(std::string("\x1B[32mplc\x1B[0m:~$ cat log.csv\ntime,") + outdoor +
                  "\n\x1B[1m2026-01-14 06:00\x1B[0m,1\n\x1B[1m2026-01-14 "
                  "06:01\x1B[0m,2\n");
  EXPECT_THAT(times_of(import), ElementsAre("2026-01-14 06:00:00", "2026-01-14 06:01:00"));
}

TEST(Terminal, WhatADatabaseSaysBelowATableIsAFoot) {
  EXPECT_TRUE(is_foot_line("(40 rows)"));
  EXPECT_TRUE(is_foot_line("40 rows in set (0.01 sec)"));
  EXPECT_FALSE(is_foot_line("40 rowers"));
  EXPECT_FALSE(is_foot_line("40,5"));
  EXPECT_TRUE(is_foot_line("Ortalama;1,5"));
}

TEST(Archive, SaysWhatItDidNotReadAndTellsLikeNamesApart) {
  const testing::Folder folder;
  const std::string path = (folder.path() / "log.zip").string();
  const std::string head = std::string("time,") + outdoor + "\n";
  const std::array<std::pair<const char*, std::string>, 4> files = {
      std::pair{"a/log.csv", head + "2026-01-14 06:00,1\n2026-01-14 06:01,2\n"},
      std::pair{"b/log.csv", head + "2026-01-15 06:00,1\n2026-01-15 06:01,2\n"},
      std::pair{"picture.png", std::string("\x89PNG....")},
      std::pair{"c.csv.gz", gzipped(head + "2026-01-16 06:00,3\n2026-01-16 06:01,4\n")}};
  zip_t* zip = zip_open(path.c_str(), ZIP_CREATE, nullptr);
  ASSERT_NE(zip, nullptr);
  for (const auto& [name, text] : files) {
    zip_file_add(zip, name, zip_source_buffer(zip, text.data(), text.size(), 0), 0);
  }
  ASSERT_EQ(zip_close(zip), 0);
  const auto import = import_recordings({path}, {});
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature").size(), 6U);
  EXPECT_THAT(import->assumptions, Contains(HasSubstr("\"picture.png\" (the file is a picture")));
  EXPECT_THAT(import->understood, Contains(HasSubstr("a/log.csv: ")));
  EXPECT_THAT(import->understood, Contains(HasSubstr("b/log.csv: ")));
}

TEST(Refusals, SayWhatTheFileIs) {
  const auto sql = import_text(
      "-- dump\nCREATE TABLE `t` (`ts` datetime);\nINSERT INTO `t` VALUES\n"
      "('2026-01-14 06:00:00',1),\n('2026-01-14 06:05:00',2);\n");
  ASSERT_FALSE(sql.has_value());
  EXPECT_THAT(sql.error().text(), HasSubstr("an SQL dump"));
  const auto letter = import_text("{\\rtf1\\ansi\n2026-01-14 06:00  1\\par\n}");
  ASSERT_FALSE(letter.has_value());
  EXPECT_THAT(letter.error().text(), HasSubstr("RTF"));
}

TEST(ErrorWords, OfSpreadsheetsInAnyLanguageMeanNoReading) {
  for (const char* word : {"#VALEUR!", "#\u00A1VALOR!", "#NOM?", "#BEZUG!", "#NV", "#N/D"}) {
    EXPECT_TRUE(is_missing_mark(word)) << word;
  }
  for (const char* word : {"#1", "#5 fan", "Fehler", "#"})
    EXPECT_FALSE(is_missing_mark(word)) << word;
}

TEST(LineProtocol, ValuesBetweenCommasAreSignalsOfTheirGroup) {
  ImportOptions options;
  options.survey = true;
  const auto import = import_text(
      "trend,place=roof outside=-5.2,hp=25.1,starts=12i 1768370400000000000\n"
      "trend,place=hall outside=21.5 1768370400000000000\n"
      "trend,place=roof outside=-5.1,hp=25.2,starts=12i 1768370700000000000\n"
      "trend,place=hall outside=21.6 1768370700000000000\n",
      options, "log.txt");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  std::vector<std::string> headers;
  for (const ColumnSurvey& column : import->surveys.front().columns) {
    headers.push_back(column.header);
  }
  EXPECT_THAT(headers, ElementsAre("time", "trend,place=roof outside", "trend,place=roof hp",
                                   "trend,place=roof starts", "trend,place=hall outside"));
  EXPECT_DOUBLE_EQ(import->surveys.front().columns[1].lowest, static_cast<double>(-5.2F));
}

TEST(Thousands, ByTheTypographicApostrophe) {
  const auto import = import_text(
      "Zeit;outdoor.1.power [W]\n14.01.2026 06:00;980.5\n14.01.2026 06:05;2\u2019100.5\n"
      "14.01.2026 06:10;2'200.5\n");
  EXPECT_THAT(values_of(import, "outdoor.1", "power"), ElementsAre(980.5F, 2100.5F, 2200.5F));
  EXPECT_EQ(other_counts(import, {}), 0U);
}

}  // namespace
}  // namespace cw
