// Exports as they come by mail: shapes, clocks and words that no two programs write alike.
#include <gmock/gmock.h>

#include "ingest/map_writer.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using ::testing::Contains;
using testing::count_of;
using ::testing::ElementsAre;
using testing::Folder;
using ::testing::HasSubstr;
using testing::import_text;
using testing::map_of;
using ::testing::Not;
using testing::other_counts;
using testing::values_of;

Result<Import> survey_of(const std::string& text, const std::string& name = "log.csv",
                         const ImportOptions& with = {}) {
  ImportOptions options = with;
  options.survey = true;
  return import_text(text, options, name);
}

std::vector<std::string> proposed(const Result<Import>& import, std::string_view kind,
                                  std::size_t file = 0) {
  std::vector<std::string> out;
  if (!import || import->surveys.size() <= file) {
    ADD_FAILURE() << (import ? "no survey" : import.error().text());
    return out;
  }
  for (const Proposal& p : import->surveys[file].proposals) {
    if (p.kind == kind) out.push_back((p.column.empty() ? "" : p.column + ": ") + p.what);
  }
  return out;
}

std::string rows_of(int count, const std::function<std::string(int)>& cells) {
  std::string out;
  for (int i = 0; i < count; ++i) {
    char stamp[32];
    std::snprintf(stamp, sizeof stamp, "2026-01-14 %02d:%02d", 6 + i / 60, i % 60);
    out += std::string(stamp) + cells(i) + "\n";
  }
  return out;
}

// --- shapes --------------------------------------------------------------------------------------

TEST(SideBySide, TablesWithClocksOfTheirOwnAreReadApart) {
  const std::string text =
      "time,site.outdoor_temperature [degC],,time,indoor.1.room_temperature [degC]\n"
      "2026-01-14 06:00,1,,2026-01-14 06:00:30,20\n2026-01-14 06:01,2,,2026-01-14 06:01:30,21\n"
      "2026-01-14 06:02,3,,,\n";
  const auto import = import_text(text);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.size(), 5U);
  EXPECT_EQ(other_counts(import, {}), 0U);
  EXPECT_EQ(import->recording.files.size(), 2U);
  EXPECT_EQ(import->recording.files[1].name, "log.csv table 2");
  // Without a gap, by the clock's header that comes again.
  const auto close = import_text(
      "time,site.outdoor_temperature [degC],time,indoor.1.room_temperature [degC]\n"
      "2026-01-14 06:00,1,2026-01-14 06:00:30,20\n2026-01-14 06:01,2,2026-01-14 06:01:30,21\n");
  ASSERT_TRUE(close.has_value()) << close.error().text();
  EXPECT_EQ(close->recording.size(), 4U);
}

TEST(SideBySide, AnEmptyColumnAloneSeparatesNothing) {
  const auto import = import_text(
      "time,site.outdoor_temperature [degC],,Run time [h],site.outdoor_humidity [%]\n"
      "2026-01-14 06:00,1,,7,50\n2026-01-14 06:01,2,,8,51\n2026-01-14 06:02,2,,9,52\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.files.size(), 1U);
  EXPECT_EQ(values_of(import, "site", "outdoor_humidity").size(), 3U);
}

TEST(KeyValue, LinesOfNamesAndValues) {
  const auto import = survey_of(
      "2026-01-14 06:00:00 T_dis=81.5C mode=heating Pd=2500kPa\n"
      "2026-01-14 06:01:00 T_dis=82.0C mode=\"stand by\" Pd=2510kPa\n"
      "2026-01-14 06:02:00 T_dis=82.5C Pd=2520kPa\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  const FileSurvey& survey = import->surveys.front();
  EXPECT_EQ(survey.format, "lines of names and values");
  EXPECT_EQ(survey.rows, 3U);
  ASSERT_EQ(survey.columns.size(), 4U);
  EXPECT_EQ(survey.columns[1].unit_text, "C");
  EXPECT_NEAR(survey.columns[1].highest, 82.5, 1e-6);
  EXPECT_EQ(survey.columns[2].words.size(), 2U);
  const auto colons = survey_of(
      "[2026-01-14 06:00:00] INFO Outside temp: -5.5, Discharge temp: 81.5\n"
      "[2026-01-14 06:01:00] INFO Outside temp: -5.4, Discharge temp: 82.5\n"
      "[2026-01-14 06:02:00] INFO Outside temp: -5.3, Discharge temp: 83.5\n");
  EXPECT_THAT(proposed(colons, "channel"),
              Contains(HasSubstr("Outside temp: is site.outdoor_temperature")));
}

TEST(Json, TablesInsideObjects) {
  const std::vector<std::string> texts = {
      R"({"time":["2026-01-14 06:00","2026-01-14 06:01"],"site.outdoor_temperature [degC]":[1,2]})",
      R"({"ok":true,"data":[{"time":"2026-01-14 06:00","site.outdoor_temperature [degC]":1},
{"time":"2026-01-14 06:01","site.outdoor_temperature [degC]":2}]})",
      R"({"results":[{"series":[{"columns":["time","site.outdoor_temperature [degC]"],
"values":[["2026-01-14 06:00",1],["2026-01-14 06:01",2]]}]}]})",
      R"([{"name":"site.outdoor_temperature","unit":"degC","points":[["2026-01-14 06:01",2],
["2026-01-14 06:00",1]]},{"name":"b","points":[["2026-01-14 06:00",7]]}])"};
  for (const std::string& text : texts) {
    // A unit beside a signal goes into its header as that of a grid does.
    const auto import = import_text(text, {}, "log.json");
    EXPECT_EQ(values_of(import, "site", "outdoor_temperature"),
              (std::vector<float>{274.15F, 275.15F}))
        << text;
  }
  const auto none = import_text(R"({"version":1,"name":"logger"})", {}, "log.json");
  ASSERT_FALSE(none.has_value());
}

TEST(LongTable, AMarkOfQualityIsNoName) {
  std::string text = "time,tag,value,quality\n";
  for (int i = 0; i < 20; ++i) {
    for (const char* tag : {"Ambient temp", "Discharge temp"}) {
      char row[96];
      std::snprintf(row, sizeof row, "2026-01-14 06:%02d,%s,%d,%s\n", i, tag, i,
                    i == 7 ? "Bad" : "Good");
      text += row;
    }
  }
  const auto import = survey_of(text);
  ASSERT_TRUE(import.has_value());
  EXPECT_THAT(proposed(import, "shape"), ElementsAre(HasSubstr("names in \"tag\"")));
  ImportOptions options;
  options.maps = {map_of(
      "[shape]\nname = \"tag\"\nvalue = \"value\"\nquality = \"quality\"\ngood = [\"good\"]\n"
      "[[column]]\nheader = \"Ambient temp\"\nchannel = \"site.outdoor_temperature\"\n"
      "unit = \"degC\"\n")};
  const auto read = import_text(text, options);
  EXPECT_EQ(count_of(read, Counter::bad_quality), 1U);
  const auto values = values_of(read, "site", "outdoor_temperature");
  ASSERT_EQ(values.size(), 20U);
  EXPECT_TRUE(is_missing(values[7]));
  EXPECT_EQ(values[8], 281.15F);
}

TEST(LongTable, OneSignalBelowTheOther) {
  std::string text = "tag;time;value\n";
  for (const char* tag : {"Ambient temp", "Discharge temp", "Suction temp"}) {
    for (int i = 0; i < 12; ++i) {
      char row[96];
      std::snprintf(row, sizeof row, "%s;14.01.2026 06:%02d;%d,5\n", tag, i, i);
      text += row;
    }
  }
  const auto import = survey_of(text);
  ASSERT_TRUE(import.has_value());
  EXPECT_EQ(import->surveys.front().shape, "long");
  EXPECT_EQ(import->surveys.front().columns.size(), 4U);
  EXPECT_EQ(other_counts(import, {Counter::unknown_column}), 0U);
}

TEST(Matrix, ItsTitleSaysWhatItHolds) {
  std::string text = "Outdoor temperature in degC\nDay";
  for (int hour = 1; hour <= 24; ++hour) text += "," + std::to_string(hour) + ":00";
  for (int day = 14; day < 17; ++day) {
    text += "\n2026-01-" + std::to_string(day);
    for (int hour = 0; hour < 24; ++hour) text += "," + std::to_string(hour % 7) + ".5";
  }
  const auto import = survey_of(text + "\n");
  ASSERT_TRUE(import.has_value());
  EXPECT_THAT(proposed(import, "shape"), Contains(HasSubstr("site.outdoor_temperature")));
}

// --- headers -------------------------------------------------------------------------------------

TEST(Headers, TwinsAreToldApart) {
  const std::string text = "Time,Temp [degC],Temp [degC]\n" +
                           rows_of(5, [](int i) { return ",1,2" + std::to_string(i); });
  ImportOptions options;
  options.maps = {
      map_of("[[column]]\nheader = \"Temp [degC] #2\"\nchannel = \"site.outdoor_temperature\"\n"
             "unit = \"degC\"\n")};
  EXPECT_EQ(values_of(import_text(text, options), "site", "outdoor_temperature").front(), 293.15F);
  EXPECT_EQ(survey_of(text)->surveys.front().columns[2].unit_text, "degC");
}

TEST(Headers, TitlesWithDelimitersAreNoHeaders) {
  const auto import = survey_of(
      "Export of a plant;;;\nmade today;;;\n;Outdoor;;Indoor 3\nTime;Disch;Suct;Room\n"
      ";\xC2\xB0"
      "C;\xC2\xB0"
      "C;\xC2\xB0"
      "C\n14.01.2026 06:00;80,5;1,5;20\n14.01.2026 06:01;80,6;1,4;20\n"
      "14.01.2026 06:02;80,5;1,5;20\n14.01.2026 06:03;80,5;1,5;20\n14.01.2026 06:04;80,5;1,5;20\n");
  ASSERT_TRUE(import.has_value());
  std::vector<std::string> headers;
  for (const ColumnSurvey& column : import->surveys.front().columns)
    headers.push_back(column.header);
  EXPECT_THAT(headers, ElementsAre("Time", "Outdoor Disch", "Outdoor Suct", "Indoor 3 Room"));
  EXPECT_THAT(proposed(import, "channel"),
              Contains(HasSubstr("Indoor 3 Room: is indoor.3.room_temperature")));
}

TEST(Headers, SymbolsAndUnitsAtTheEnd) {
  const auto import = survey_of(
      "ts,T_suction_C,P_dis_kPa,Suction [bar],Supply Temp F\xEF\xBC\x88x\xEF\xBC\x89,"
      "\xE5\xA4\x96\xE6\xB0\x97\xE6\xB8\xA9\xE5\xBA\xA6\xEF\xBC\x88\xE2\x84\x83\xEF\xBC\x89\n" +
      rows_of(4, [](int) { return ",1,2500,8,3,4"; }));
  EXPECT_THAT(proposed(import, "channel"),
              ::testing::IsSupersetOf({HasSubstr("T_suction_C: is outdoor.1.suction_temperature"),
                                       HasSubstr("P_dis_kPa: is outdoor.1.discharge_pressure"),
                                       HasSubstr("Suction [bar]: is outdoor.1.suction_pressure"),
                                       HasSubstr("is site.outdoor_temperature")}));
}

TEST(Headers, OneSignalAFileIsToldByTheFilesName) {
  const Folder folder;
  const std::string rows = rows_of(5, [](int i) { return "," + std::to_string(i); });
  folder.write("Outdoor temperature.csv", "Time,Value [degC]\n" + rows);
  folder.write("Suction temperature.csv",
               "Time,Value [degC]\n" + rows_of(5, [](int i) { return "," + std::to_string(-i); }));
  ImportOptions options;
  options.survey = true;
  const auto import = import_recordings({folder.path()}, options);
  EXPECT_THAT(proposed(import, "channel", 0), ElementsAre(HasSubstr("site.outdoor_temperature")));
  ImportOptions with;
  with.maps = {map_of(map_text(*import))};
  const auto read = import_recordings({folder.path()}, with);
  ASSERT_TRUE(read.has_value()) << read.error().text() << map_text(*import);
  EXPECT_EQ(read->recording.channels.size(), 2U);
}

// --- clocks --------------------------------------------------------------------------------------

TEST(Clocks, TimesAsNumbersWithoutZerosInFront) {
  const auto import = import_text(
      "Date,Time,site.outdoor_temperature [degC]\n20260114,500,1\n20260114,63005,2\n"
      "20260114,123000,3\n20260114,235959,4\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(iso_text(import->recording.time[0], {}), "2026-01-14T00:05:00");
  EXPECT_EQ(iso_text(import->recording.time[1], {}), "2026-01-14T06:30:05");
  EXPECT_EQ(iso_text(import->recording.time[3], {}), "2026-01-14T23:59:59");
  const auto minutes = import_text(
      "Date;Time;site.outdoor_temperature [degC]\n14.01.2026;5;1\n14.01.2026;630;2\n"
      "14.01.2026;2359;3\n");
  ASSERT_TRUE(minutes.has_value()) << minutes.error().text();
  EXPECT_EQ(iso_text(minutes->recording.time[0], {}), "2026-01-14T00:05:00");
  EXPECT_EQ(iso_text(minutes->recording.time[1], {}), "2026-01-14T06:30:00");
}

TEST(Clocks, HoursSinceTheStartPassTheDay) {
  const auto import = import_text(
      "Elapsed,site.outdoor_temperature [degC]\n0:00:00,1\n23:59:30,2\n24:00:30,3\n124:00:00,4\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.time[3].ms - import->recording.time[0].ms, 124 * 3600000);
  EXPECT_EQ(other_counts(import, {}), 0U);
}

TEST(Clocks, TwoDigitsForEachPartAndThousandthsBehindAColon) {
  const auto digits = import_text(
      "Time;site.outdoor_temperature [degC]\n260114063015;1\n260114063115;2\n260131063215;3\n"
      "260131063315;4\n");
  ASSERT_TRUE(digits.has_value()) << digits.error().text();
  EXPECT_EQ(iso_text(digits->recording.time[0], {}), "2026-01-14T06:30:15");
  const auto colon = import_text(
      "Time,site.outdoor_temperature [degC]\n14/01/2026 06:00:00:100,1\n"
      "14/01/2026 06:00:00:600,2\n");
  ASSERT_TRUE(colon.has_value()) << colon.error().text();
  EXPECT_EQ(colon->recording.time[1].ms - colon->recording.time[0].ms, 500);
}

TEST(Clocks, AZoneBelowTheClocksName) {
  const auto import = import_text(
      "Time,site.outdoor_temperature,site.outdoor_humidity\n(UTC),(degC),(%)\n"
      "2026-01-14 06:00,1,50\n2026-01-14 06:01,2,50\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.clock.kind, Clock::Kind::offset);
}

TEST(Clocks, ACountWithoutAClockIsProposed) {
  std::string text = "Start;14.01.2026 06:00:00\nNo;Outside (degC);Discharge (degC)\n";
  for (int i = 0; i < 20; ++i)
    text += std::to_string(i) + ";1,5;" + std::to_string(70 + i % 3) + ",5\n";
  const auto import = survey_of(text);
  EXPECT_THAT(proposed(import, "clock"), ElementsAre(HasSubstr("\"No\" counts seconds")));
  EXPECT_THAT(import->surveys.front().proposals.back().toml + map_text(*import),
              HasSubstr("start = \"2026-01-14 06:00"));
}

TEST(Headers, DrawnLinesAndUnitsInTheNextColumn) {
  const auto drawn = survey_of("Time | Outside degC\n---|---\n" +
                               rows_of(6, [](int i) { return " | " + std::to_string(i); }));
  ASSERT_TRUE(drawn.has_value());
  EXPECT_THAT(proposed(drawn, "channel"), Contains(HasSubstr("site.outdoor_temperature")));
  const auto beside = survey_of("Time,Outside,Unit,Suction,Unit\n" +
                                rows_of(6, [](int) { return ",1,degC,700,kPa"; }));
  EXPECT_THAT(proposed(beside, "channel"),
              ::testing::IsSupersetOf({HasSubstr("Outside: is site.outdoor_temperature"),
                                       HasSubstr("Suction: is outdoor.1.suction_pressure")}));
}

TEST(Clocks, LettersBehindTheTimeWithAZoneInTheMap) {
  const std::string text =
      "time,site.outdoor_temperature [degC]\n2026-01-14 06:00 CST,1\n2026-01-14 06:01 CST,2\n";
  EXPECT_FALSE(import_text(text).has_value());
  ImportOptions options;
  options.maps = {map_of("[clock]\nzone = \"America/Chicago\"\n")};
  const auto import = import_text(text, options);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_EQ(import->recording.time[0].ms, instant_of({2026, 1, 14, 12, 0, 0, 0})->ms);
}

TEST(Clocks, AColumnThatNamesTheZone) {
  const auto import =
      survey_of("time,tz,a\n" + rows_of(5, [](int) { return ",America/Chicago,1"; }));
  EXPECT_THAT(proposed(import, "clock"), Contains(HasSubstr("America/Chicago")));
}

// --- values --------------------------------------------------------------------------------------

TEST(Values, NumbersBelowAThousandTellWhatTheSignIs) {
  const auto dots = import_text(
      "Zeit;outdoor.1.discharge_pressure [kPa]\n14.01.2026 06:00;987\n14.01.2026 06:01;1.005\n"
      "14.01.2026 06:02;1.234\n14.01.2026 06:03;990\n14.01.2026 06:04;1.111\n");
  EXPECT_NEAR(values_of(dots, "outdoor.1", "discharge_pressure")[1], 1005e3, 0.1);
  const auto decimals = import_text(
      "Zeit;outdoor.1.power [kW]\n14.01.2026 06:00;9.870\n14.01.2026 06:01;1.005\n"
      "14.01.2026 06:02;1.234\n14.01.2026 06:03;9.900\n14.01.2026 06:04;1.111\n");
  EXPECT_NEAR(values_of(decimals, "outdoor.1", "power")[1], 1005.0, 0.01);
}

TEST(Values, UnitsAndTheTypographicMinusInCells) {
  const auto import = survey_of(
      "Zeit;Au\xC3\x9F"
      "en\n14.01.2026 06:00;\xE2\x88\x92"
      "5,4 \xC2\xB0"
      "C\n14.01.2026 06:01;5,5 \xC2\xB0"
      "C\n14.01.2026 06:02;\xE2\x88\x92"
      "5,6 \xC2\xB0"
      "C\n14.01.2026 06:03;5,6 \xC2\xB0"
      "C\n14.01.2026 06:04;5,6 \xC2\xB0"
      "C\n");
  ASSERT_TRUE(import.has_value());
  const ColumnSurvey& column = import->surveys.front().columns[1];
  EXPECT_NEAR(column.lowest, -5.6, 1e-6);
  EXPECT_EQ(column.numbers, 5U);
}

std::string wave(int i, double middle, double swing) {
  return number_text(std::round(10.0 * (middle + swing * ((i * 37 % 100) / 50.0 - 1.0))) / 10.0, 6);
}

TEST(Values, UnitsThatCannotBe) {
  const auto import = survey_of(
      "Time,Supply Temp [degC],Duct static pressure [Pa],High pressure [MPa],Low pressure [psi],"
      "Zone temp [degC],Discharge temp [degF]\n" +
      rows_of(60, [](int i) {
        return "," + wave(i, 82, 2) + "," + wave(i, 120, 9) + "," + wave(i, 24, 3) + "," +
               wave(i, 900, 50) + "," + wave(i, 71, 1) + "," + std::to_string(170 + i % 20);
      }));
  const auto units = proposed(import, "unit");
  EXPECT_THAT(units, Not(Contains(HasSubstr("Duct"))));
  EXPECT_THAT(units, Contains(HasSubstr("High pressure [MPa]: the values are bar")));
  EXPECT_THAT(units, Contains(HasSubstr("Low pressure [psi]: the values are kPa")));
  EXPECT_THAT(units, Contains("Zone temp [degC]: the values are degF, not degC"));
  EXPECT_THAT(proposed(import, "tenths"), ElementsAre());
  // Water may be that warm: nothing in the file says degF but the zone.
  const auto water =
      survey_of("Time,Supply Temp [degC],Return Temp [degC]\n" +
                rows_of(60, [](int i) { return "," + wave(i, 82, 2) + "," + wave(i, 64, 2); }));
  EXPECT_THAT(proposed(water, "unit"), ElementsAre());
  // A place's name does not make a pipe's temperature one of air.
  const auto pipe =
      survey_of("Time,Outdoor module 1 Discharge temp [degC],Indoor 2 gas pipe [degC]\n" +
                rows_of(60, [](int i) { return "," + wave(i, 82, 4) + "," + wave(i, 58, 4); }));
  EXPECT_THAT(proposed(pipe, "unit"), ElementsAre());
}

TEST(Words, HumidityInsideIsNotThatOfOutdoorAir) {
  const auto import =
      survey_of("Time,RH_OUT [%],RH_IN [%],Supply RH [%]\n" + rows_of(60, [](int i) {
                  return "," + wave(i, 80, 9) + "," + wave(i, 30, 5) + "," + wave(i, 20, 5);
                }));
  EXPECT_THAT(proposed(import, "channel"), ElementsAre("RH_OUT [%]: is site.outdoor_humidity"));
}

TEST(Values, OpenAndShortEndsOfASensor) {
  const auto import = survey_of(
      "Time,Discharge temp [degC],Suction temp [degC],Set temp [degC]\n" + rows_of(240, [](int i) {
        const bool open = i == 50 || i == 51 || i == 120;
        const bool shorted = i > 200 && i < 206;
        return "," + (open ? std::string("-50.0") : wave(i, 70, 12)) + "," +
               (shorted ? std::string("150") : wave(i, -5, 4)) + "," + (i < 20 ? "10" : "40");
      }));
  EXPECT_THAT(proposed(import, "sentinel"),
              ::testing::UnorderedElementsAre("Discharge temp [degC]: -50 means no reading",
                                              "Suction temp [degC]: 150 means no reading"));
}

}  // namespace
}  // namespace cw
