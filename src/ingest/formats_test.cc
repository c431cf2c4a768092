// Formats beside plain text, each made here: packed texts, archives, workbooks, grids, JSON.
#include <gmock/gmock.h>
#include <sys/resource.h>
#include <zip.h>
#include <zlib.h>
#include <zstd.h>

#include "base/file.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using testing::Folder;
using ::testing::HasSubstr;
using testing::import_text;
using testing::map_of;
using testing::values_of;

const std::string plain =
    "time,site.outdoor_temperature [degC]\n2026-01-14 06:00,1\n2026-01-14 06:01,2\n";

std::string gzipped(const std::string& text) {
  z_stream stream{};
  EXPECT_EQ(deflateInit2(&stream, 6, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY), Z_OK);
  std::string out(deflateBound(&stream, text.size()) + 64, '\0');
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
  stream.avail_in = static_cast<uInt>(text.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  EXPECT_EQ(deflate(&stream, Z_FINISH), Z_STREAM_END);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  return out;
}

std::string zstd_packed(const std::string& text) {
  std::string out(ZSTD_compressBound(text.size()), '\0');
  out.resize(ZSTD_compress(out.data(), out.size(), text.data(), text.size(), 3));
  return out;
}

std::filesystem::path zipped(const Folder& folder, const std::string& name,
                             const std::vector<std::pair<std::string, std::string>>& members) {
  const std::filesystem::path path = folder.path() / name;
  zip_t* zip = zip_open(path.c_str(), ZIP_CREATE | ZIP_TRUNCATE, nullptr);
  EXPECT_NE(zip, nullptr);
  for (const auto& [member, text] : members) {
    zip_source_t* source = zip_source_buffer(zip, text.data(), text.size(), 0);
    EXPECT_GE(zip_file_add(zip, member.c_str(), source, 0), 0);
  }
  EXPECT_EQ(zip_close(zip), 0);
  return path;
}

std::vector<std::pair<std::string, std::string>> workbook(const std::string& sheet) {
  return {
      {"xl/workbook.xml",
       "<workbook xmlns:r=\"r\"><sheets><sheet name=\"Notes\" sheetId=\"1\" r:id=\"rId1\"/>"
       "<sheet name=\"Data\" sheetId=\"2\" r:id=\"rId2\"/></sheets></workbook>"},
      {"xl/_rels/workbook.xml.rels",
       "<Relationships><Relationship Id=\"rId1\" Target=\"worksheets/sheet1.xml\"/>"
       "<Relationship Id=\"rId2\" Target=\"/xl/worksheets/sheet2.xml\"/></Relationships>"},
      {"xl/sharedStrings.xml",
       "<sst><si><t>time</t></si><si><r><t>site.outdoor_temp</t></r><r><t>erature [degC]</t></r>"
       "</si></sst>"},
      {"xl/styles.xml",
       "<styleSheet><numFmts><numFmt numFmtId=\"164\" formatCode=\"[$-409]d/m/yy "
       "h:mm;@\"/></numFmts><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"164\"/></cellXfs>"
       "</styleSheet>"},
      {"xl/worksheets/sheet1.xml",
       "<worksheet><sheetData><row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>Nothing</t></is>"
       "</c></row></sheetData></worksheet>"},
      {"xl/worksheets/sheet2.xml", sheet}};
}

void expect_two_readings(const Result<Import>& import) {
  EXPECT_EQ(values_of(import, "site", "outdoor_temperature"),
            (std::vector<float>{274.15F, 275.15F}));
}

TEST(Formats, GzipAndZstd) {
  expect_two_readings(import_text(gzipped(plain), {}, "log.csv.gz"));
  expect_two_readings(import_text(zstd_packed(plain), {}, "log.csv.zst"));
}

TEST(Formats, BrokenPackedDataIsRefused) {
  const auto cut = import_text(gzipped(plain).substr(0, 40), {}, "log.csv.gz");
  ASSERT_FALSE(cut.has_value());
  EXPECT_THAT(cut.error().message, HasSubstr("gzip"));
  const auto torn = import_text(zstd_packed(plain).substr(0, 20), {}, "log.csv.zst");
  ASSERT_FALSE(torn.has_value());
  EXPECT_THAT(torn.error().message, HasSubstr("zstd"));
}

TEST(Formats, BombsAreRefused) {
  const std::string zeros(80U << 20U, '0');
  const auto gzip = import_text(gzipped(zeros), {}, "bomb.gz");
  ASSERT_FALSE(gzip.has_value());
  EXPECT_EQ(gzip.error().code, ErrorCode::out_of_range);
  const auto zstd = import_text(zstd_packed(zeros), {}, "bomb.zst");
  ASSERT_FALSE(zstd.has_value());
  EXPECT_EQ(zstd.error().code, ErrorCode::out_of_range);
  const Folder folder;
  const auto zip = import_recordings({zipped(folder, "bomb.zip", {{"a.csv", zeros}})}, {});
  ASSERT_FALSE(zip.has_value());
  EXPECT_EQ(zip.error().code, ErrorCode::out_of_range);
}

/// Peak resident memory of this process [bytes].
std::size_t peak_memory() {
  rusage usage{};
  ::getrusage(RUSAGE_SELF, &usage);
  return static_cast<std::size_t>(usage.ru_maxrss) * 1024;
}

TEST(Formats, SmallFilesThatWouldFillTheMemoryAreRefused) {
  const std::size_t before = peak_memory();
  const Folder folder;
  // Rows of one cell in the last column: each would become 16384 delimiters.
  std::string sheet = "<worksheet><sheetData>";
  for (int i = 0; i < 20000; ++i) sheet += "<row><c r=\"XFD1\"><v>1</v></c></row>";
  const auto book = import_recordings(
      {zipped(folder, "wide.xlsx", workbook(sheet + "</sheetData></worksheet>"))}, {});
  ASSERT_FALSE(book.has_value());
  EXPECT_EQ(book.error().code, ErrorCode::out_of_range) << book.error().text();
  // An archive in an archive is not unpacked at all.
  const auto inner = zipped(folder, "inner.zip", {{"a.csv", std::string(8U << 20U, '0')}});
  const Result<std::string> packed = read_file(inner);
  ASSERT_TRUE(packed.has_value());
  EXPECT_FALSE(
      import_recordings({zipped(folder, "outer.zip", {{"inner.zip", *packed}})}, {}).has_value());
  // Objects that name one key each of twenty thousand.
  std::string lines = "{\"time\":\"2026-01-14 06:00\"";
  for (int i = 0; i < 19000; ++i) lines += ",\"k" + std::to_string(i) + "\":1";
  lines += "}\n";
  for (int i = 0; i < 30000; ++i) lines += "{\"k0\":1}\n";
  const auto json = import_text(gzipped(lines), {}, "wide.jsonl.gz");
  ASSERT_FALSE(json.has_value());
  EXPECT_EQ(json.error().code, ErrorCode::out_of_range) << json.error().text();
  // zstd writes 128 kB of one byte as four: frame, window, then blocks of a repeated byte (RFC
  // 8878, 3.1.1.2.2).
  std::string frame("\x28\xB5\x2F\xFD\x00\x58", 6);
  constexpr unsigned block = (0x20000U << 3U) | (1U << 1U);
  for (int i = 0; i < 2500; ++i) {
    for (unsigned k = 0; k < 3; ++k) frame += static_cast<char>(block >> (8 * k));
    frame += '0';
  }
  std::string many;
  for (int i = 0; i < 32; ++i) many += frame;
  const auto zstd = import_text(many, {}, "bomb.zst");
  ASSERT_FALSE(zstd.has_value());
  EXPECT_EQ(zstd.error().code, ErrorCode::out_of_range) << zstd.error().text();
  // Of the 10 GB that these name not a tenth was ever there.
#if defined(__SANITIZE_ADDRESS__)
  constexpr std::size_t most_MB = 2000;  // it keeps what was freed for a while
#else
  constexpr std::size_t most_MB = 800;
#endif
  EXPECT_LT(peak_memory(), before + (most_MB << 20U));
}

TEST(Formats, FilesOfAnArchiveJoin) {
  const Folder folder;
  const auto path = zipped(folder, "logs.zip",
                           {{"logs/a.csv", plain},
                            {"logs/b.csv", "time,site.outdoor_humidity [%]\n2026-01-14 06:00,50\n"},
                            {"logs/readme.txt", "how it was made\n"}});
  const auto import = import_recordings({path}, {});
  expect_two_readings(import);
  EXPECT_EQ(values_of(import, "site", "outdoor_humidity")[0], 0.5F);
  EXPECT_EQ(count_of(import, Counter::skipped_file), 1U);
}

const std::string data_sheet =
    "<worksheet><sheetData><row r=\"2\"><c r=\"A2\" "
    "t=\"inlineStr\"><is><t>Report</t></is></c></row>"
    "<row r=\"4\"><c r=\"A4\" t=\"s\"><v>0</v></c><c r=\"C4\" t=\"s\"><v>1</v></c></row>"
    "<row r=\"5\"><c r=\"A5\" s=\"1\"><v>46036.25</v></c><c r=\"C5\"><v>1</v></c></row>"
    "<row r=\"6\"><c r=\"A6\" s=\"1\"><v>46036.250694444447</v></c><c r=\"C6\"><v>2</v></c></row>"
    "</sheetData></worksheet>";

TEST(Formats, WorkbookTakesTheSheetWithNumbers) {
  const Folder folder;
  const auto import = import_recordings({zipped(folder, "log.xlsx", workbook(data_sheet))}, {});
  expect_two_readings(import);
  ASSERT_TRUE(import.has_value());
  EXPECT_EQ(iso_text(import->recording.time[0], {}), "2026-01-14T06:00:00");
  EXPECT_EQ(iso_text(import->recording.time[1], {}), "2026-01-14T06:01:00");
}

TEST(Formats, WorkbookWithEntitiesOrBrokenXmlIsRefused) {
  const Folder folder;
  const auto bomb = import_recordings(
      {zipped(folder, "a.xlsx",
              workbook("<!DOCTYPE x [<!ENTITY a \"aaaa\">]><worksheet>&a;</worksheet>"))},
      {});
  EXPECT_FALSE(bomb.has_value());
  const auto broken =
      import_recordings({zipped(folder, "b.xlsx", workbook("<worksheet><row></sheet>"))}, {});
  EXPECT_FALSE(broken.has_value());
}

TEST(Formats, ZincGrid) {
  expect_two_readings(
      import_text(
          "ver:\"3.0\" hisStart:2026-01-14\nts dis:\"time\",v0 dis:\"site.outdoor_temperature\" "
          "id:@a.b \"Outdoor, air\"\n2026-01-14T06:00:00Z UTC,1\xC2\xB0"
          "C\n"
          "2026-01-14T06:01:00Z UTC,2\xC2\xB0"
          "C\n2026-01-14T06:02:00Z UTC,N\n",
          {}, "log.zinc")
              .has_value()
          ? import_text("ver:\"3.0\"\nts,v0 dis:\"site.outdoor_temperature\"\n"
                        "2026-01-14T06:00:00Z UTC,1\xC2\xB0"
                        "C\n"
                        "2026-01-14T06:01:00Z UTC,2\xC2\xB0"
                        "C\n",
                        {}, "log.zinc")
          : Result<Import>(Error{}));
}

TEST(Formats, HaystackJsonOfBothVersions) {
  expect_two_readings(import_text(
      R"({"meta":{"ver":"3.0"},"cols":[{"name":"ts"},{"name":"v0","dis":"site.outdoor_temperature"}],
"rows":[{"ts":"t:2026-01-14T06:00:00-06:00 Chicago","v0":"n:1 degC"},
{"ts":"t:2026-01-14T06:01:00-06:00 Chicago","v0":"n:2 degC"}]})",
      {}, "log.json"));
  expect_two_readings(import_text(
      R"({"_kind":"grid","meta":{"ver":"3.0"},"cols":[{"name":"ts"},{"name":"v0","meta":{"dis":"site.outdoor_temperature"}}],
"rows":[{"ts":{"_kind":"dateTime","val":"2026-01-14T06:00:00-06:00","tz":"Chicago"},"v0":{"_kind":"number","val":1,"unit":"degC"}},
{"ts":{"_kind":"dateTime","val":"2026-01-14T06:01:00-06:00","tz":"Chicago"},"v0":{"_kind":"number","val":2,"unit":"degC"}}]})",
      {}, "log.json"));
}

TEST(Formats, JsonLinesAndArrays) {
  expect_two_readings(
      import_text("{\"time\":\"2026-01-14 06:00\",\"site\":{\"outdoor_temperature "
                  "[degC]\":1}}\n{\"time\":\"2026-01-14 06:01\",\"site\":{"
                  "\"outdoor_temperature [degC]\":2}}\n",
                  {}, "log.jsonl"));
  expect_two_readings(
      import_text("[{\"time\":\"2026-01-14 06:00\",\"site.outdoor_temperature "
                  "[degC]\":1},\n{\"time\":\"2026-01-14 06:01\","
                  "\"site.outdoor_temperature [degC]\":2}]",
                  {}, "log.json"));
  const auto torn = import_text("{\"time\":1}\n{\"time\":\n", {}, "log.jsonl");
  ASSERT_FALSE(torn.has_value());
  EXPECT_THAT(torn.error().message, HasSubstr("line 2"));
}

TEST(Formats, KnownStrangersAreNamed) {
  for (const auto& [bytes, word] :
       std::vector<std::pair<std::string, std::string>>{{"%PDF-1.7 ...", "PDF"},
                                                        {"SQLite format 3", "SQLite"},
                                                        {"\xD0\xCF\x11\xE0 abc", ".xls"},
                                                        {"PAR1abcdef", "Parquet"}}) {
    const auto import = import_text(bytes);
    ASSERT_FALSE(import.has_value());
    EXPECT_EQ(import.error().code, ErrorCode::unsupported);
    EXPECT_THAT(import.error().message, HasSubstr(word));
  }
}

TEST(Formats, NothingButCommentsIsRefused) {
  for (const char* text : {"#ti\xA3,{1me", "#a\n# b\n\n", "ver:\"3.0\"\n#\xDB.ts,s\n"}) {
    const auto import = import_text(text);
    ASSERT_FALSE(import.has_value());
    EXPECT_FALSE(import.error().message.empty());
    ImportOptions survey;
    survey.survey = true;
    EXPECT_FALSE(import_text(text, survey).has_value());
  }
}

/// Columns at fixed places, blank where there was no reading.
TEST(Formats, FixedWidthWithBlankCells) {
  const auto import = import_text(
      "Logger 7, roof\n\n"
      "Date       Time    outdoor.1.discharge_pressure[kPa] outdoor.1.discharge_temperature[degC] "
      "outdoor.1.compressor_frequency[Hz]\n"
      "14.01.2026 06:00                                2400                                       "
      "                                60\n"
      "14.01.2026 06:01                                2410                                  81.2\n"
      "14.01.2026 06:02                                                                      81.4 "
      "                                61\n"
      "14.01.2026 06:03                                2420                                  81.4 "
      "                                61\n"
      "14.01.2026 06:04                                2425                                       "
      "                                61\n"
      "14.01.2026 06:05                                2430                                  81.9 "
      "                                62\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->recording.size(), 6U);
  EXPECT_EQ(iso_text(import->recording.time[0], {}), "2026-01-14T06:00:00");
  const auto p = values_of(import, "outdoor.1", "discharge_pressure");
  const auto t = values_of(import, "outdoor.1", "discharge_temperature");
  const auto f = values_of(import, "outdoor.1", "compressor_frequency");
  ASSERT_TRUE(p.size() == 6 && t.size() == 6 && f.size() == 6);
  EXPECT_FLOAT_EQ(p[0], 2.4e6F);
  EXPECT_TRUE(is_missing(t[0]));
  EXPECT_FLOAT_EQ(f[0], 60.0F);
  EXPECT_TRUE(is_missing(p[2]));
  EXPECT_FLOAT_EQ(t[2], 273.15F + 81.4F);
  EXPECT_TRUE(is_missing(f[1]));
  EXPECT_EQ(count_of(import, Counter::bad_row_short), 0U);
}

// Every prefix and many one-byte changes of each format: an answer, never a crash.
TEST(Formats, MutatedFilesGetAnAnswer) {
  const std::vector<std::string> seeds = {
      plain,
      gzipped(plain),
      zstd_packed(plain),
      "time;a\n14.01.2026 06:00;1,5\n\"x\"\"y\";=\"3\"\n",
      "ver:\"3.0\"\nts,v0\n2026-01-14T06:00:00Z,1kW\n",
      "{\"time\":\"2026-01-14 06:00\",\"a\":{\"val\":1}}\n",
      "{\"cols\":[{\"name\":\"ts\"}],\"rows\":[{\"ts\":\"t:2026\"}]}",
      std::string("\xFF\xFEt\0,\0a\0\n\0", 10)};
  ImportOptions options;
  options.survey = true;
  const Folder folder;
  std::uint32_t state = 7;
  std::size_t answers = 0;
  for (const std::string& seed : seeds) {
    for (std::size_t i = 0; i < seed.size() + 60; ++i) {
      std::string bytes = i < seed.size() ? seed.substr(0, i) : seed;
      for (int changes = 0; i >= seed.size() && changes < 3; ++changes) {
        state = state * 1664525U + 1013904223U;
        bytes[(state >> 8U) % bytes.size()] = static_cast<char>(state >> 24U);
      }
      const auto import = import_recordings({folder.write("x.csv", bytes)}, options);
      answers += import.has_value() || !import.error().message.empty() ? 1U : 0U;
    }
  }
  EXPECT_GT(answers, 400U);
}

// Any table in any of our dialects reads back bit-equal.
TEST(Formats, WrittenTablesReadBackBitEqual) {
  std::uint32_t state = 99;
  const auto random = [&](std::uint32_t below) {
    state = state * 1664525U + 1013904223U;
    return (state >> 8U) % below;
  };
  for (int round = 0; round < 60; ++round) {
    const char delimiter = ",;\t|"[random(4)];
    const char decimal = delimiter != ',' && random(2) == 0 ? ',' : '.';
    const bool quoted = random(3) == 0;
    const std::string line_end = random(2) == 0 ? "\r\n" : "\n";
    const bool mark = random(4) == 0;
    const std::size_t rows = 3 + random(40);
    const std::size_t columns = 1 + random(12);
    std::vector<std::vector<float>> truth(columns);
    std::string text = mark ? "\xEF\xBB\xBF" : "";
    const auto cell = [&](std::string value) {
      for (char& c : value) {
        if (c == '.') c = decimal;
      }
      text += quoted ? "\"" + value + "\"" : value;
    };
    text += "time";
    for (std::size_t c = 0; c < columns; ++c) {
      text +=
          delimiter + std::string("indoor.") + std::to_string(c + 1) + ".gas_pipe_temperature [K]";
    }
    text += line_end;
    for (std::size_t r = 0; r < rows; ++r) {
      const CivilTime t = civil_of({1768370400000 + static_cast<std::int64_t>(r) * 7000});
      char buffer[64];
      std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d %02d:%02d:%02d", t.year, t.month, t.day,
                    t.hour, t.minute, t.second);
      text += buffer;
      for (std::size_t c = 0; c < columns; ++c) {
        text += delimiter;
        if (random(8) == 0) {
          truth[c].push_back(missing);
          continue;
        }
        const float value = 230.0F + static_cast<float>(random(150000)) * 0.001F;
        std::snprintf(buffer, sizeof buffer, random(2) == 0 ? "%.9g" : "%.4f",
                      static_cast<double>(value));
        truth[c].push_back(static_cast<float>(std::strtod(buffer, nullptr)));
        cell(buffer);
      }
      text += line_end;
    }
    const auto import = import_text(text);
    ASSERT_TRUE(import.has_value()) << import.error().text() << "\n" << text;
    for (std::size_t c = 0; c < columns; ++c) {
      const auto values =
          values_of(import, "indoor." + std::to_string(c + 1), "gas_pipe_temperature");
      ASSERT_EQ(values.size(), rows);
      for (std::size_t r = 0; r < rows; ++r) {
        ASSERT_TRUE(values[r] == truth[c][r] || (is_missing(values[r]) && is_missing(truth[c][r])))
            << text;
      }
    }
  }
}

TEST(Json, ListsOfListsAreRows) {
  const std::string rows = "[\"2026-01-14T06:00:00Z\",-3.5,12],[\"2026-01-14T06:01:00Z\",null,13]]";
  const auto named =
      import_text("[[\"time\",\"site.outdoor_temperature [degC]\",\"outdoor.1.power [W]\"]," + rows,
                  {}, "log.json");
  EXPECT_EQ(values_of(named, "outdoor.1", "power"), (std::vector<float>{12.0F, 13.0F}));
  ASSERT_EQ(named->recording.size(), 2U);
  EXPECT_TRUE(is_missing(values_of(named, "site", "outdoor_temperature")[1]));
  ImportOptions options;
  options.maps.push_back(
      map_of("[[column]]\nheader = \"column 3\"\nchannel = \"outdoor.1.power\"\nunit = \"W\"\n"));
  const auto bare = import_text("{\"data\":[" + rows + "}", options, "log.json");
  EXPECT_EQ(values_of(bare, "outdoor.1", "power"), (std::vector<float>{12.0F, 13.0F}));
}

}  // namespace
}  // namespace cw
