// Real exports of all kinds of loggers, where they are at hand (they are nobody's to pass on): each
// is read as is known to be true of it, or refused with the right reason.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "ingest/import.h"

namespace cw {
namespace {

using ::testing::HasSubstr;

std::filesystem::path data_folder() {
  if (const char* stated = std::getenv("CW_SHARED_DATA")) return stated;
  return std::filesystem::path(CW_SOURCE_ROOT) / ".." / "shared" / "data";
}

Result<Import> look_at(const std::string& file) {
  ImportOptions options;
  options.survey = true;
  return import_recordings({data_folder() / file}, options);
}

struct Truth {
  const char* file;
  const char* encoding;
  std::size_t columns;  ///< all of them, the clock's too; 0: not asked
  std::size_t rows;
  const char* first;
  const char* last;
  double interval;
};

void PrintTo(const Truth& truth, std::ostream* out) { *out << truth.file; }

class SharedFile : public ::testing::TestWithParam<Truth> {};

TEST_P(SharedFile, IsReadAsIsTrueOfIt) {
  const Truth& truth = GetParam();
  if (!std::filesystem::exists(data_folder() / truth.file)) {
    GTEST_SKIP() << "no data/" << truth.file;
  }
  const Result<Import> import = look_at(truth.file);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->surveys.size(), 1U);
  const FileSurvey& survey = import->surveys.front();
  EXPECT_FALSE(survey.clock_error.has_value());
  EXPECT_THAT(survey.findings.front().what, HasSubstr(truth.encoding));
  EXPECT_EQ(survey.columns.size(), truth.columns);
  EXPECT_EQ(survey.rows, truth.rows);
  EXPECT_EQ(iso_text(survey.first, survey.shown), truth.first);
  EXPECT_EQ(iso_text(survey.last, survey.shown), truth.last);
  EXPECT_EQ(survey.interval, truth.interval);
}

INSTANTIATE_TEST_SUITE_P(
    SharedData, SharedFile,
    ::testing::Values(
        Truth{"messy/m03.csv", "UTF-8", 4, 16, "2025-08-01T00:00:00", "2025-08-01T11:45:00", 900},
        Truth{"messy/m05.csv", "UTF-8", 8, 5987, "2020-12-06T12:00:02", "2020-12-13T12:00:02", 120},
        Truth{"messy/m06.csv", "UTF-8", 7, 298, "2018-11-17T12:37:17-06:00",
              "2018-11-20T14:52:17-06:00", 900},
        Truth{"messy/m08.lvm", "UTF-8", 8, 81, "1970-01-01T00:00:00", "1970-01-01T00:21:13", 16},
        Truth{"messy/m10.txt", "UTF-8", 4, 273, "1970-01-01T15:05:40", "1970-01-01T15:33:45", 5},
        Truth{"messy/m11.csv", "UTF-8", 6, 8754, "2024-01-01T00:00:00+01:00",
              "2024-12-31T23:00:00+01:00", 3600},
        Truth{"messy/m12.csv", "UTF-8", 5, 2880, "2022-09-01T00:00:00", "2022-09-30T23:45:00", 900},
        Truth{"messy/m13.csv", "UTF-8", 18, 417, "2023-12-22T00:00:24", "2023-12-22T10:05:30", 85},
        Truth{"messy/m14.csv", "UTF-8", 2, 5591, "2024-01-01T00:00:00", "2024-08-20T23:00:00",
              3600},
        Truth{"weather/Fairbanks_TMY3.csv", "UTF-8", 71, 8760, "1987-01-01T01:00:00",
              "1988-01-01T00:00:00", 3600},
        Truth{"lab-cooling-5s/raw_5s.csv", "UTF-8", 102, 840, "2023-08-03T12:56:01",
              "2023-08-03T14:05:56", 5}));

TEST(SharedData, BinaryLoggerFileIsRefused) {
  if (!std::filesystem::exists(data_folder() / "messy/m02.dat")) GTEST_SKIP() << "no data/messy";
  const Result<Import> import = look_at("messy/m02.dat");
  ASSERT_FALSE(import.has_value());
  EXPECT_THAT(import.error().message, HasSubstr("binary"));
}

TEST(SharedData, TwoUnitsInterleavedAreALongTable) {
  if (!std::filesystem::exists(data_folder() / "messy/m01.csv")) GTEST_SKIP() << "no data/messy";
  const Result<Import> import = look_at("messy/m01.csv");
  ASSERT_TRUE(import.has_value());
  EXPECT_EQ(import->surveys.front().shape, "long");
  std::size_t signals = 0;
  for (const ColumnSurvey& column : import->surveys.front().columns) {
    signals += column.role == "time" ? 0U : 1U;
  }
  EXPECT_EQ(signals, 2U);
}

TEST(SharedData, OtherEncodingsAndZeroBytes) {
  if (!std::filesystem::exists(data_folder() / "messy/m04.csv")) GTEST_SKIP() << "no data/messy";
  const Result<Import> wide = look_at("messy/m04.csv");
  ASSERT_TRUE(wide.has_value());
  EXPECT_THAT(wide->surveys.front().findings.front().what, HasSubstr("UTF-16 little"));
  EXPECT_TRUE(wide->surveys.front().clock_error.has_value());
  const Result<Import> zeros = look_at("messy/m07.csv");
  ASSERT_TRUE(zeros.has_value());
  EXPECT_THAT(zeros->assumptions.front(), HasSubstr("1005 zero bytes"));
  const Result<Import> japanese = look_at("shift-jis/capacity_curves.csv");
  ASSERT_TRUE(japanese.has_value());
  EXPECT_THAT(japanese->surveys.front().findings.front().what, HasSubstr("Shift-JIS"));
}

TEST(SharedData, DatesWithoutYearThatNothingDecidesAreRefused) {
  const char* file = "field-hardware-in-loop/Buffalo_Eff_Default.csv";
  if (!std::filesystem::exists(data_folder() / file)) GTEST_SKIP() << "no data/" << file;
  const Result<Import> import = look_at(file);
  ASSERT_TRUE(import.has_value());
  ASSERT_TRUE(import->surveys.front().clock_error.has_value());
  EXPECT_EQ(import->surveys.front().clock_error->code, ErrorCode::inconsistent);
}

TEST(SharedData, PressuresInBarUnderAPascalHeaderAreProposed) {
  const char* file = "lab-cooling-5s/raw_5s.csv";
  if (!std::filesystem::exists(data_folder() / file)) GTEST_SKIP() << "no data/" << file;
  const Result<Import> import = look_at(file);
  ASSERT_TRUE(import.has_value());
  std::size_t proposed = 0;
  for (const Proposal& proposal : import->surveys.front().proposals) {
    proposed += proposal.kind == "unit" && proposal.what.find("bar") != std::string::npos ? 1U : 0U;
  }
  EXPECT_EQ(proposed, 4U);
}

}  // namespace
}  // namespace cw
