// What is doubted, remarked or corrected while a recording is read.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "ingest/test_support.h"

namespace cw {
namespace {

using ::testing::Contains;
using testing::count_of;
using testing::Folder;
using ::testing::HasSubstr;
using testing::import_text;
using testing::map_of;
using testing::values_of;

TEST(Doubts, AStrayNumberInAFlagIsNotOn) {
  const auto import = import_text(
      "time,outdoor.1.defrost\n2026-01-14 06:00,0\n2026-01-14 06:01,1\n2026-01-14 06:02,7\n"
      "2026-01-14 06:03,255\n2026-01-14 06:04,0.4\n");
  const auto flags = values_of(import, "outdoor.1", "defrost");
  ASSERT_EQ(flags.size(), 5U);
  EXPECT_EQ(flags[1], 1.0F);
  EXPECT_TRUE(is_missing(flags[2]));
  EXPECT_EQ(flags[3], 1.0F);
  EXPECT_TRUE(is_missing(flags[4]));
  EXPECT_EQ(count_of(import, Counter::implausible_value), 2U);
  EXPECT_EQ(import->log.rejects().front().line, 4U);
  EXPECT_EQ(import->log.rejects().front().text, "7");
}

TEST(Doubts, AMapMaySayWhatAFlagsNumberMeans) {
  ImportOptions options;
  options.maps = {map_of(
      "[[column]]\nheader = \"D\"\nchannel = \"outdoor.1.defrost\"\nwords = { \"7\" = \"on\" }\n")};
  const auto import =
      import_text("time,D\n2026-01-14 06:00,0\n2026-01-14 06:01,7\n2026-01-14 06:02,3\n", options);
  const auto flags = values_of(import, "outdoor.1", "defrost");
  ASSERT_EQ(flags.size(), 3U);
  EXPECT_EQ(flags[1], 1.0F);
  EXPECT_TRUE(is_missing(flags[2]));
}

TEST(Doubts, AHeaderThatOnlyTheMapHasIsRemarked) {
  ImportOptions options;
  options.maps = {map_of(
      "[[column]]\nheader = \"T_OUT\"\nchannel = \"site.outdoor_temperature\"\nunit = \"degC\"\n"
      "[[column]]\nheader = \"T_DISS\"\nchannel = \"outdoor.1.discharge_temperature\"\n"
      "unit = \"degC\"\n")};
  const auto import = import_text("time,T_OUT,T_DIS\n2026-01-14 06:00,1,2\n", options);
  ASSERT_EQ(count_of(import, Counter::mapped_column_absent), 1U);
  for (const Reject& reject : import->log.rejects()) {
    if (reject.counter != Counter::mapped_column_absent) continue;
    EXPECT_EQ(reject.column, "T_DISS");
    EXPECT_THAT(reject.reason, HasSubstr("\"T_DIS\""));
  }
}

TEST(Doubts, TheSameFileTwiceIsReadOnce) {
  const Folder folder;
  const std::string text = "time,site.outdoor_temperature [degC],x\n2026-01-14 06:00,1,2\n";
  const auto import =
      import_recordings({folder.write("a.csv", text), folder.write("copy of a.csv", text)}, {});
  ASSERT_TRUE(import.has_value());
  EXPECT_EQ(count_of(import, Counter::same_file_again), 1U);
  EXPECT_EQ(count_of(import, Counter::unknown_column), 1U);
  EXPECT_EQ(import->recording.files.size(), 1U);
  EXPECT_EQ(import->understood.size(), 1U);
  EXPECT_EQ(import->log.rejects().back().reason, "the same bytes as a.csv");
}

/// Gauge 100 psi at 84.3 kPa and 83.1 kPa of air (1600 m in changing weather): 1 psi is
/// 6894.757293168 Pa (NIST SP 811, appendix B.8).
TEST(Doubts, GaugePressuresFollowTheLoggedBarometer) {
  const std::string text =
      "time,outdoor.1.discharge_pressure [psi(g)],outdoor.1.suction_pressure [kPa(a)],"
      "site.barometric_pressure [kPa]\n"
      "2026-01-14 06:00,100,500,84.3\n2026-01-14 06:01,100,500,83.1\n"
      "2026-01-14 06:02,,500,83.1\n2026-01-14 06:03,100,500,\n";
  const auto import = import_text(text);
  const auto high = values_of(import, "outdoor.1", "discharge_pressure");
  const auto low = values_of(import, "outdoor.1", "suction_pressure");
  ASSERT_EQ(high.size(), 4U);
  EXPECT_NEAR(high[0], 689475.73 + 84300.0, 0.2);
  EXPECT_NEAR(high[1], 689475.73 + 83100.0, 0.2);
  EXPECT_TRUE(is_missing(high[2]));
  EXPECT_NEAR(high[3], 689475.73 + 83100.0, 0.2);  // one lost sample: the last one stands
  EXPECT_NEAR(low[0], 500e3, 0.1);
  EXPECT_THAT(import->assumptions,
              Contains(HasSubstr("follow the air pressure that the log holds")));

  ImportOptions stated;
  stated.barometric_pressure = Pascal{90e3};
  const auto other = import_text(text, stated);
  EXPECT_NEAR(values_of(other, "outdoor.1", "discharge_pressure")[0], 689475.73 + 90e3, 0.2);
  EXPECT_THAT(other->assumptions, Contains(HasSubstr("the one that was stated rules")));
}

/// Also where the barometer stands in another file than the pressures.
TEST(Doubts, TheBarometerMayBeAnotherFiles) {
  const Folder folder;
  const auto import = import_recordings(
      {folder.write("a.csv",
                    "time,outdoor.1.suction_pressure [kPa(g)]\n2026-01-14 06:00,700\n"
                    "2026-01-14 06:01,700\n"),
       folder.write("b.csv",
                    "time,site.barometric_pressure [kPa]\n2026-01-14 06:00,98\n"
                    "2026-01-14 06:01,97\n")},
      {});
  const auto low = values_of(import, "outdoor.1", "suction_pressure");
  ASSERT_EQ(low.size(), 2U);
  EXPECT_NEAR(low[0], 798e3, 0.1);
  EXPECT_NEAR(low[1], 797e3, 0.1);
}

}  // namespace
}  // namespace cw
