// Files of wall-clock loggers joined with one that writes UTC, across both clock changes of a year
// in both hemispheres. The instants are written down here and not asked of the library that is
// tested. They follow from these rules, and all of them were compared with `zdump -v` of Debian's
// tzdata 2025b:
//   Europe: Directive 2000/84/EC, 01:00 GMT on the last Sundays of March and October (summary of
//     the European Parliament's Legislative Observatory, procedure 2000/0140(COD), read).
//   America/Chicago: second Sunday of March to first Sunday of November, 2 a.m. local time (Energy
//     Policy Act of 2005, Public Law 109-58, section 110, quoted on pages that were read).
//   America/Santiago: from 24:00 of the first Saturday of September to 24:00 of the first Saturday
//     of April, UTC-3 (decree 224 of 13 August 2022, quoted in newspapers of 2025 that were read).
//   Australia/Sydney: Standard Time Act 1987 (NSW), read: UTC+10; 2 a.m. of the first Sunday of
//     October to 2 a.m. (standard time) of the first Sunday of April. Lord Howe: UTC+10:30 (the
//     same act), 30 minutes of summer time (its amendment of 2005, read).
//   Pacific/Auckland: New Zealand Department of Internal Affairs, "Daylight Saving", read: UTC+12;
//     last Sunday of September, 2 a.m., to first Sunday of April, 3 a.m. (summer time).
#include <gmock/gmock.h>

#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using testing::Folder;
using testing::map_of;
using testing::other_counts;

struct Change {
  CivilTime utc;   ///< the instant at which the clocks are changed
  int before = 0;  ///< local minus UTC [min]
  int after = 0;
};

struct Year {
  const char* zone;
  Change first, second;
};

void PrintTo(const Year& year, std::ostream* out) { *out << year.zone; }

const Year years[] = {
    {"Europe/Berlin", {{2025, 3, 30, 1, 0, 0, 0}, 60, 120}, {{2025, 10, 26, 1, 0, 0, 0}, 120, 60}},
    {"Europe/London", {{2025, 3, 30, 1, 0, 0, 0}, 0, 60}, {{2025, 10, 26, 1, 0, 0, 0}, 60, 0}},
    {"America/Chicago",
     {{2025, 3, 9, 8, 0, 0, 0}, -360, -300},
     {{2025, 11, 2, 7, 0, 0, 0}, -300, -360}},
    {"America/Santiago",
     {{2025, 4, 6, 3, 0, 0, 0}, -180, -240},
     {{2025, 9, 7, 4, 0, 0, 0}, -240, -180}},
    {"Australia/Sydney",
     {{2025, 4, 5, 16, 0, 0, 0}, 660, 600},
     {{2025, 10, 4, 16, 0, 0, 0}, 600, 660}},
    {"Australia/Lord_Howe",
     {{2025, 4, 5, 15, 0, 0, 0}, 660, 630},
     {{2025, 10, 4, 15, 30, 0, 0}, 630, 660}},
    {"Pacific/Auckland",
     {{2025, 4, 5, 14, 0, 0, 0}, 780, 720},
     {{2025, 9, 27, 14, 0, 0, 0}, 720, 780}}};

constexpr std::int64_t step_ms = 600000;

std::string text_of(std::int64_t ms, const char* end) {
  const CivilTime t = civil_of({ms});
  char out[64];
  std::snprintf(out, sizeof out, "%04d-%02d-%02d %02d:%02d:00%s", t.year, t.month, t.day, t.hour,
                t.minute, end);
  return out;
}

std::int64_t wall_of(const Change& change, std::int64_t utc_ms) {
  const std::int64_t at = instant_of(change.utc)->ms;
  return utc_ms + (utc_ms < at ? change.before : change.after) * std::int64_t{60000};
}

/// Every ten minutes from five hours before both changes to five hours after them.
std::vector<std::pair<const Change*, std::int64_t>> rows_of(const Year& year) {
  std::vector<std::pair<const Change*, std::int64_t>> out;
  for (const Change* change : {&year.first, &year.second}) {
    const std::int64_t at = instant_of(change->utc)->ms;
    for (std::int64_t k = -30; k < 30; ++k) out.emplace_back(change, at + k * step_ms);
  }
  return out;
}

class BothChanges : public ::testing::TestWithParam<Year> {};

TEST_P(BothChanges, AWallClockJoinsWithUtc) {
  const Year& year = GetParam();
  const auto rows = rows_of(year);
  std::string wall = "time,site.outdoor_temperature [degC]\n";
  std::string utc = "time,site.outdoor_humidity [%]\n";
  for (std::size_t i = 0; i < rows.size(); ++i) {
    wall += text_of(wall_of(*rows[i].first, rows[i].second), "") + "," + std::to_string(i % 40);
    utc += text_of(rows[i].second, "Z") + "," + std::to_string(i % 90);
    wall += "\n";
    utc += "\n";
  }
  const Folder folder;
  ImportOptions options;
  options.maps = {map_of("[clock]\nzone = \"" + std::string(year.zone) + "\"\n")};
  const auto import =
      import_recordings({folder.write("wall.csv", wall), folder.write("utc.csv", utc)}, options);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->recording.size(), rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    ASSERT_EQ(import->recording.time[i].ms, rows[i].second) << "row " << i;
  }
  const auto t = testing::values_of(import, "site", "outdoor_temperature");
  const auto h = testing::values_of(import, "site", "outdoor_humidity");
  for (std::size_t i = 0; i < rows.size(); ++i) {
    EXPECT_NEAR(t[i], 273.15 + static_cast<double>(i % 40), 1e-3) << "row " << i;
    EXPECT_NEAR(h[i], 0.01 * static_cast<double>(i % 90), 1e-6) << "row " << i;
  }
  EXPECT_EQ(other_counts(import, {}), 0U);
}

/// A logger that begins a new file each hour: one ends in the first pass of the repeated hour, the
/// next begins in the second.
TEST_P(BothChanges, AFileMayBeginInTheSecondPass) {
  const Year& year = GetParam();
  const Change& back = year.first.after < year.first.before ? year.first : year.second;
  const std::int64_t at = instant_of(back.utc)->ms;
  const std::string header = "time,site.outdoor_temperature [degC]\n";
  std::string before = header;
  std::string after = header;
  for (std::int64_t k = -12; k < 12; ++k) {
    (k < 0 ? before : after) +=
        text_of(wall_of(back, at + k * step_ms), "") + "," + std::to_string(k) + "\n";
  }
  const Folder folder;
  ImportOptions options;
  options.maps = {map_of("[clock]\nzone = \"" + std::string(year.zone) + "\"\n")};
  const auto import =
      import_recordings({folder.write("1.csv", before), folder.write("2.csv", after)}, options);
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->recording.size(), 24U);
  for (std::int64_t k = -12; k < 12; ++k) {
    EXPECT_EQ(import->recording.time[static_cast<std::size_t>(k + 12)].ms, at + k * step_ms) << k;
  }
  EXPECT_EQ(other_counts(import, {}), 0U);
}

/// Times that the spring change skips are no times: they are set aside and counted.
TEST_P(BothChanges, SkippedTimesAreCounted) {
  const Year& year = GetParam();
  const Change& on = year.first.after > year.first.before ? year.first : year.second;
  const std::int64_t skipped = instant_of(on.utc)->ms + on.before * std::int64_t{60000};
  ImportOptions options;
  options.maps = {map_of("[clock]\nzone = \"" + std::string(year.zone) + "\"\n")};
  const auto import = testing::import_text(
      "time,site.outdoor_temperature [degC]\n" + text_of(skipped - step_ms, "") + ",1\n" +
          text_of(skipped + step_ms, "") + ",2\n" + text_of(skipped + 6 * step_ms, "") + ",3\n",
      options);
  EXPECT_EQ(count_of(import, Counter::nonexistent_local_time), 1U);
  EXPECT_EQ(import->recording.size(), 2U);
}

INSTANTIATE_TEST_SUITE_P(Iana, BothChanges, ::testing::ValuesIn(years),
                         [](const ::testing::TestParamInfo<Year>& year) {
                           std::string name = year.param.zone;
                           for (char& c : name) c = c == '/' ? '_' : c;
                           return name;
                         });

}  // namespace
}  // namespace cw
