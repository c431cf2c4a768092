#include "ingest/import.h"

#include <gmock/gmock.h>

#include <cmath>
#include <random>

#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using testing::Folder;
using ::testing::HasSubstr;
using testing::import_text;
using testing::map_of;
using testing::other_counts;
using testing::values_of;

constexpr const char* header =
    "time,outdoor.1.discharge_temperature [degC],outdoor.1.compressor_frequency [Hz]\n";

std::string rows(std::initializer_list<const char*> lines) {
  std::string out = header;
  for (const char* line : lines) out += std::string(line) + "\n";
  return out;
}

TEST(Import, ReadsChannelsInSi) {
  const auto import = import_text(rows({"2026-01-14 06:00,80.5,60", "2026-01-14 06:01,81,61.5"}));
  EXPECT_EQ(values_of(import, "outdoor.1", "discharge_temperature"),
            (std::vector<float>{353.65F, 354.15F}));
  EXPECT_EQ(values_of(import, "outdoor.1", "compressor_frequency"),
            (std::vector<float>{60.0F, 61.5F}));
  EXPECT_EQ(other_counts(import, {}), 0U);
  EXPECT_EQ(iso_text(import->recording.time[1], import->recording.clock), "2026-01-14T06:01:00");
}

TEST(Import, CountsUnknownColumns) {
  const auto import =
      import_text("time,site.outdoor_temperature [degC],colour,weight\n2026-01-14 06:00,1,2,3\n");
  EXPECT_EQ(count_of(import, Counter::unknown_column), 2U);
  EXPECT_EQ(other_counts(import, {Counter::unknown_column}), 0U);
  EXPECT_EQ(import->not_understood.size(), 2U);
}

TEST(Import, SetsAsideRowsOfTheWrongLength) {
  const auto import =
      import_text(rows({"2026-01-14 06:00,80,60", "2026-01-14 06:01,80", "2026-01-14 06:02,80,60,7",
                        "2026-01-14 06:03,80,60,", "2026-01-14 06:04"}));
  EXPECT_EQ(count_of(import, Counter::bad_row_short), 2U);
  EXPECT_EQ(count_of(import, Counter::bad_row_long), 1U);
  EXPECT_EQ(other_counts(import, {Counter::bad_row_short, Counter::bad_row_long}), 0U);
  EXPECT_EQ(import->recording.size(), 2U);
  EXPECT_EQ(import->log.rejects()[0].line, 3U);
  EXPECT_EQ(import->log.rejects()[1].line, 4U);
  EXPECT_THAT(import->log.rejects()[0].reason, HasSubstr("2 cells"));
}

TEST(Import, CountsBadDuplicateAndBackwardStamps) {
  const auto import = import_text(
      rows({"2026-01-14 06:00,80,60", "2026-01-14 06:01,81,60", "2026-13-14 06:02,82,60",
            "soon,83,60", "2026-01-14 06:01,84,60", "2026-01-14 06:02,85,60",
            "2026-01-14 05:30,86,60", "2026-01-14 06:03,87,60"}));
  EXPECT_EQ(count_of(import, Counter::bad_time_stamp), 2U);
  EXPECT_EQ(count_of(import, Counter::duplicate_time_stamp), 1U);
  EXPECT_EQ(count_of(import, Counter::backward_time_stamp), 1U);
  EXPECT_EQ(other_counts(import, {Counter::bad_time_stamp, Counter::duplicate_time_stamp,
                                  Counter::backward_time_stamp}),
            0U);
  // The first of two rows with one stamp counts.
  EXPECT_EQ(values_of(import, "outdoor.1", "discharge_temperature"),
            (std::vector<float>{353.15F, 354.15F, 358.15F, 360.15F}));
}

TEST(Import, TurnsAReversedFileRound) {
  const auto import = import_text(rows({"2026-01-14 06:03,83,60", "2026-01-14 06:02,82,60",
                                        "2026-01-14 06:01,81,60", "2026-01-14 06:00,80,60"}));
  EXPECT_EQ(values_of(import, "outdoor.1", "discharge_temperature"),
            (std::vector<float>{353.15F, 354.15F, 355.15F, 356.15F}));
  EXPECT_EQ(other_counts(import, {}), 0U);
}

TEST(Import, OneWildStampCostsOneRow) {
  const auto import = import_text(rows({"2026-01-14 06:00,80,60", "2099-01-01 00:00,81,60",
                                        "2026-01-14 06:02,82,60", "2026-01-14 06:03,83,60"}));
  EXPECT_EQ(count_of(import, Counter::backward_time_stamp), 1U);
  EXPECT_EQ(import->recording.size(), 3U);
}

TEST(Import, RefusesEmptyBinaryAndMissingFiles) {
  const auto empty = import_text("");
  ASSERT_FALSE(empty.has_value());
  EXPECT_EQ(empty.error().code, ErrorCode::unreadable);
  EXPECT_THAT(empty.error().message, HasSubstr("empty"));

  std::string noise;
  std::uint32_t state = 1;
  for (int i = 0; i < 5000; ++i) {
    state = state * 1664525U + 1013904223U;
    noise += static_cast<char>(state >> 24U);
  }
  const auto binary = import_text(noise);
  ASSERT_FALSE(binary.has_value());
  EXPECT_EQ(binary.error().code, ErrorCode::unreadable);
  EXPECT_THAT(binary.error().message, HasSubstr("binary"));

  const auto absent = import_recordings({"/no/such/file.csv"}, {});
  ASSERT_FALSE(absent.has_value());
  EXPECT_EQ(absent.error().code, ErrorCode::not_found);
}

TEST(Import, RefusesADirectoryWithoutRecordings) {
  const Folder folder;
  folder.write("readme.md", "nothing to see");
  const auto import = import_recordings({folder.path()}, {});
  ASSERT_FALSE(import.has_value());
  EXPECT_EQ(import.error().code, ErrorCode::not_found);
  EXPECT_THAT(import.error().message, HasSubstr("no recordings"));
}

TEST(Import, ReadsADirectoryAndSkipsStrangers) {
  const Folder folder;
  folder.write("a.csv", rows({"2026-01-14 06:00,80,60"}));
  folder.write("b.csv", "just a note\n");
  const auto import = import_recordings({folder.path()}, {});
  EXPECT_EQ(count_of(import, Counter::skipped_file), 1U);
  EXPECT_EQ(import->recording.size(), 1U);
}

TEST(Import, JoinsTwoFilesOnTime) {
  const Folder folder;
  const auto a = folder.write("a.csv",
                              "time,site.outdoor_temperature [degC]\n2026-01-14 06:00,1\n"
                              "2026-01-14 06:02,3\n");
  const auto b = folder.write("b.csv",
                              "time,site.outdoor_humidity [%]\n2026-01-14 06:01,50\n"
                              "2026-01-14 06:02,60\n");
  const auto import = import_recordings({a, b}, {});
  const auto t = values_of(import, "site", "outdoor_temperature");
  const auto h = values_of(import, "site", "outdoor_humidity");
  ASSERT_EQ(t.size(), 3U);
  EXPECT_EQ(t[0], 274.15F);
  EXPECT_TRUE(is_missing(t[1]));
  EXPECT_EQ(t[2], 276.15F);
  EXPECT_TRUE(is_missing(h[0]));
  EXPECT_EQ(h[1], 0.5F);
  EXPECT_EQ(h[2], 0.6F);
}

TEST(Import, FirstFileCountsWhereTwoDiffer) {
  const Folder folder;
  const auto a = folder.write("a.csv",
                              "time,site.outdoor_temperature [degC]\n2026-01-14 06:00,1\n"
                              "2026-01-14 06:01,\n2026-01-14 06:02,3\n");
  const auto b = folder.write("b.csv",
                              "time,site.outdoor_temperature [degC]\n2026-01-14 06:00,9\n"
                              "2026-01-14 06:01,2\n2026-01-14 06:02,3\n");
  const auto import = import_recordings({a, b}, {});
  EXPECT_EQ(count_of(import, Counter::conflicting_value), 1U);
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature"),
            (std::vector<float>{274.15F, 275.15F, 276.15F}));
}

TEST(Import, RefusesToMixStatedAndUnstatedClocks) {
  const Folder folder;
  const auto a =
      folder.write("a.csv", "time,site.outdoor_temperature [degC]\n2026-01-14 06:00,1\n");
  const auto b =
      folder.write("b.csv", "time,site.outdoor_humidity [%]\n2026-01-14T06:01+01:00,50\n");
  const auto import = import_recordings({a, b}, {});
  ASSERT_FALSE(import.has_value());
  EXPECT_EQ(import.error().code, ErrorCode::inconsistent);
}

// --- units: NIST SP 811 (2008), appendix B.8 and B.9 ---------------------------------------------

struct UnitCase {
  const char* header;
  const char* cell;
  const char* quantity;
  double si;  // published factor applied by hand
};

class PublishedUnits : public ::testing::TestWithParam<UnitCase> {};

TEST_P(PublishedUnits, ReadAsSi) {
  const UnitCase& c = GetParam();
  ImportOptions options;
  options.barometric_pressure = Pascal{100000.0};
  const auto import = import_text(
      "time,outdoor.1." + std::string(c.header) + "\n2026-01-14 06:00," + c.cell + "\n", options);
  const auto values = values_of(import, "outdoor.1", c.quantity);
  ASSERT_EQ(values.size(), 1U);
  EXPECT_NEAR(values[0], c.si, std::abs(c.si) * 1e-6);
}

INSTANTIATE_TEST_SUITE_P(
    NistSp811, PublishedUnits,
    ::testing::Values(
        UnitCase{"discharge_temperature [degF]", "212", "discharge_temperature", 373.15},
        UnitCase{"discharge_temperature [K]", "300", "discharge_temperature", 300.0},
        UnitCase{"discharge_pressure [psi(a)]", "100", "discharge_pressure", 689475.7},
        UnitCase{"discharge_pressure [psi(g)]", "100", "discharge_pressure", 789475.7},
        UnitCase{"discharge_pressure [bar(g)]", "24", "discharge_pressure", 2500000.0},
        UnitCase{"discharge_pressure [MPa]", "2.5", "discharge_pressure", 2500000.0},
        UnitCase{"discharge_pressure [kgf/cm2]", "10", "discharge_pressure", 980665.0},
        UnitCase{"discharge_pressure [inHg]", "30", "discharge_pressure", 101591.66},
        UnitCase{"compressor_frequency [rpm]", "3600", "compressor_frequency", 60.0},
        UnitCase{"power [Btu/h]", "10000", "power", 2930.711},
        UnitCase{"power [hp]", "2", "power", 1491.3997},
        UnitCase{"valve_opening [%]", "45", "valve_opening", 0.45},
        UnitCase{"valve_opening [pulses]", "480", "valve_steps", 480.0}));

TEST(Import, GaugePressureTakesTheAltitude) {
  ImportOptions options;
  options.altitude = Metre{1600.0};
  const auto import =
      import_text("time,outdoor.1.discharge_pressure [kPa(g)]\n2026-01-14 06:00,2000\n", options);
  // ASHRAE Fundamentals ch. 1, Eq. 3 at 1600 m: 83.524 kPa.
  EXPECT_NEAR(values_of(import, "outdoor.1", "discharge_pressure")[0], 2083524.0, 20.0);
  EXPECT_THAT(import->assumptions.front(), HasSubstr("1600 m"));
}

TEST(Import, ColumnsWithoutAFittingUnitAreCounted) {
  const auto import = import_text(
      "time,site.outdoor_temperature [degC],outdoor.1.discharge_temperature,"
      "outdoor.1.suction_temperature [kPa]\n2026-01-14 06:00,1,2,3\n");
  EXPECT_EQ(count_of(import, Counter::column_unit_missing), 2U);
  EXPECT_EQ(import->recording.channels.size(), 1U);
}

TEST(Import, FlagsAndWords) {
  const auto import = import_text(
      "time,outdoor.1.defrost,system.mode,indoor.1.call\n2026-01-14 06:00,1,heating,ON\n"
      "2026-01-14 06:01,0,COOL,off\n2026-01-14 06:02,true,\"heat recovery\",1\n"
      "2026-01-14 06:03,maybe,,n/a\n");
  const auto defrost = values_of(import, "outdoor.1", "defrost");
  EXPECT_EQ(std::vector<float>(defrost.begin(), defrost.begin() + 3),
            (std::vector<float>{1.0F, 0.0F, 1.0F}));
  EXPECT_TRUE(is_missing(defrost[3]));
  const auto mode = values_of(import, "system", "mode");
  EXPECT_EQ(mode[0], 1.0F);
  EXPECT_EQ(mode[1], 2.0F);
  EXPECT_EQ(mode[2], 3.0F);
  EXPECT_EQ(values_of(import, "indoor.1", "call")[2], 1.0F);
  EXPECT_EQ(count_of(import, Counter::bad_cell), 1U);
  EXPECT_EQ(count_of(import, Counter::missing_mark), 1U);
}

TEST(Import, ImplausibleAndBrokenCells) {
  const auto import = import_text(rows({"2026-01-14 06:00,6553.5,60", "2026-01-14 06:01,err,60",
                                        "2026-01-14 06:02,nan,60", "2026-01-14 06:03,,60"}));
  EXPECT_EQ(count_of(import, Counter::implausible_value), 1U);
  EXPECT_EQ(count_of(import, Counter::bad_cell), 1U);
  EXPECT_EQ(count_of(import, Counter::missing_mark), 1U);
  EXPECT_EQ(import->recording.size(), 4U);
}

TEST(Import, RepeatedHeadersAndComments) {
  const auto import =
      import_text(std::string("# made by hand\n") + rows({"2026-01-14 06:00,80,60", "# a pause"}) +
                  rows({"2026-01-14 06:01,81,60"}));
  EXPECT_EQ(count_of(import, Counter::repeated_header), 1U);
  EXPECT_EQ(import->recording.size(), 2U);
}

// --- maps ----------------------------------------------------------------------------------------

TEST(Import, TakesUnitsWordsAndSentinelsFromAMap) {
  ImportOptions options;
  options.maps.push_back(
      map_of("sentinels = [-999]\nignore = [\"note\"]\n[clock]\ncolumn = \"when\"\n[[column]]\n"
             "header = \"A\"\nchannel = \"outdoor.1.discharge_temperature\"\nunit = \"degF\"\n"
             "sentinels = [777]\n[[column]]\nheader = \"B\"\nchannel = \"system.mode\"\n"
             "words = { H = \"heating\" }\n"));
  const auto import = import_text(
      "when,A,B,note\n2026-01-14 06:00,212,h,x\n2026-01-14 06:01,-999,H,y\n"
      "2026-01-14 06:02,777,off,z\n",
      options);
  const auto t = values_of(import, "outdoor.1", "discharge_temperature");
  EXPECT_NEAR(t[0], 373.15, 1e-4);
  EXPECT_TRUE(is_missing(t[1]));
  EXPECT_TRUE(is_missing(t[2]));
  EXPECT_EQ(count_of(import, Counter::sentinel_value), 2U);
  EXPECT_EQ(count_of(import, Counter::ignored_column), 1U);
  EXPECT_EQ(values_of(import, "system", "mode")[0], 1.0F);
}

TEST(Import, AColumnIsLeftOutOfOneFileOnly) {
  const Folder folder;
  const std::vector<std::filesystem::path> files = {
      folder.write("north.csv", "when,Value\n2026-01-14 06:00,60\n2026-01-14 06:01,61\n"),
      folder.write("south.csv", "when,Value\n2026-01-14 06:00,70\n2026-01-14 06:01,71\n")};
  ImportOptions options;
  const std::string column =
      "[[column]]\nheader = \"Value\"\nchannel = \"outdoor.1.discharge_temperature\"\n"
      "unit = \"degC\"\n";
  options.maps = {map_of("ignore = [{ header = \"Value\", file = \"north.csv\" }]\n" + column)};
  const auto import = import_recordings(files, options);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_NEAR(values_of(import, "outdoor.1", "discharge_temperature")[0], 343.15, 1e-4)
      << "that of the other file, though the map names the header for every file";
  EXPECT_EQ(count_of(import, Counter::ignored_column), 1U);
  options.maps = {map_of("ignore = [\"Value\"]\n")};
  const auto nothing = import_recordings(files, options);
  ASSERT_FALSE(nothing.has_value());
  EXPECT_THAT(nothing.error().text(), HasSubstr("the map leaves out every column there is"));
}

TEST(Import, RowsThatAreAllRefusedAreNotLaidToTheMap) {
  ImportOptions options;
  options.maps = {map_of("ignore = [\"RECORD\"]\n[clock]\ncolumn = \"time\"\n")};
  const auto import = import_text(
      "time,RECORD,site.outdoor_temperature [degC]\nmorning,1,2.0\nnoon,2,3.0\n", options);
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), ::testing::Not(HasSubstr("leaves out every column")));
}

struct BadMap {
  const char* text;
  const char* where;
  const char* message;
};

class MapErrors : public ::testing::TestWithParam<BadMap> {};

TEST_P(MapErrors, NameTheLine) {
  const auto map = parse_channel_map(GetParam().text, "map.toml");
  ASSERT_FALSE(map.has_value());
  EXPECT_THAT(map.error().where, HasSubstr(GetParam().where));
  EXPECT_THAT(map.error().text(), HasSubstr(GetParam().message));
}

INSTANTIATE_TEST_SUITE_P(
    ChannelMap, MapErrors,
    ::testing::Values(
        BadMap{"[[column]]\nheader = \"A\"\nchanel = \"x\"\n", "map.toml:3", "chanel"},
        BadMap{"[[column]]\nheader = \"A\"\nchannel = \"outdoor.1.speed_of_light\"\n", "map.toml:3",
               "no channel"},
        BadMap{"[[column]]\nheader = \"A\"\nchannel = \"site.outdoor_temperature\"\nunit = "
               "\"kPa\"\n",
               "map.toml:4", "kPa"},
        BadMap{"[clock]\nzone = \"Mars/Olympus\"\n", "map.toml:2", "Mars"},
        BadMap{"[clock]\noffset = \"5\"\n", "map.toml:2", "offset"},
        BadMap{"sentinels = 5\n", "map.toml:1", "sentinels"},
        BadMap{"sentinels = [ # odd\n  }, 3]\n", "map.toml:2", "brace"},
        BadMap{"ignore = \"A\"\n", "map.toml:1", "list of headers"},
        BadMap{"ignore = [\"A\",\n  { file = \"a.csv\" }]\n", "map.toml:2", "needs a header"},
        BadMap{"ignore = [{ heading = \"A\" }]\n", "map.toml:1", "heading"},
        BadMap{"ignore = [}", "map.toml:1", "brace"}, BadMap{"x = \n", "map.toml:1", ""},
        BadMap{"[[column]]\nheader = \"A\"\nchannel = \"site.outdoor_temperature\"\nunit = "
               "\"degC\"\n[[column]]\nheader = \"A\"\nchannel = \"site.outdoor_temperature\"\nunit "
               "= \"degC\"\n",
               "map.toml:5", "twice"}));

TEST(Import, AnUnknownFileIsToldHowToBegin) {
  const auto import = import_text("when,A\n2026-01-14 06:00,1\n");
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().text(), HasSubstr("\"A\""));
  EXPECT_THAT(import.error().text(), HasSubstr("[[column]]"));
}

/// Chunks end anywhere: in lines longer than a chunk, between \r and \n, in blank lines. A quote in
/// the header makes the same text be read in one piece.
TEST(Import, ChunksLoseNoLineAndNoLineNumber) {
  std::mt19937 random(11);
  for (const std::string end : {"\n", "\r\n", "\r"}) {
    std::string rows;
    for (int minute = 0; minute < 6 * 1440; ++minute) {
      const unsigned kind = static_cast<unsigned>(random()) % 400;
      if (kind == 0) rows += end;
      if (kind == 1) rows += "# " + std::string(random() % 500000, 'x') + end;
      if (kind == 2) rows += "no row at all" + end;
      const std::string time = iso_text({1768348800000 + minute * 60000LL}, {});
      rows += time.substr(0, 16);
      for (int c = 0; c < 3; ++c) rows += "," + std::to_string(random() % 60);
      rows += std::string(random() % 60, ',') + end;
    }
    const auto read = [&](const std::string& first, std::size_t threads) {
      ImportOptions options;
      options.threads = threads;
      return import_text(first +
                             ",indoor.1.gas_pipe_temperature [degC],indoor.2.gas_pipe_temperature "
                             "[degC],indoor.3.gas_pipe_temperature [degC]" +
                             end + rows,
                         options);
    };
    const Result<Import> whole = read("\"time\"", 1);
    ASSERT_TRUE(whole.has_value()) << whole.error().text();
    ASSERT_EQ(whole->recording.size(), 6U * 1440);
    for (const std::size_t threads : {1U, 2U, 3U}) {
      const Result<Import> cut = read("time", threads);
      ASSERT_TRUE(cut.has_value()) << cut.error().text();
      ASSERT_EQ(cut->recording.time, whole->recording.time);
      for (std::size_t c = 0; c < 3; ++c) {
        EXPECT_EQ(cut->recording.channels[c].values, whole->recording.channels[c].values);
      }
      ASSERT_EQ(cut->log.rejects().size(), whole->log.rejects().size());
      for (std::size_t i = 0; i < cut->log.rejects().size(); ++i) {
        EXPECT_EQ(cut->log.rejects()[i].line, whole->log.rejects()[i].line);
      }
    }
  }
}

}  // namespace
}  // namespace cw
