#include <gtest/gtest.h>

#include <chrono>
#include <random>

#include "base/cache_place.h"
#include "base/file.h"
#include "ingest/stored/shelf.h"
#include "ingest/stored/stored_import.h"
#include "ingest/test_support.h"
#include "series/pyramid.h"

namespace cw {
namespace {

namespace fs = std::filesystem;
using testing::count_of;
using testing::Folder;

std::string log_text(int rows) {
  std::string out =
      "time,outdoor.1.discharge_temperature [degC],outdoor.1.discharge_pressure [psi(g)],"
      "outdoor.1.defrost,outdoor.1.power [kW],stranger\n";
  std::mt19937 random(3);
  for (int i = 0; i < rows; ++i) {
    char line[120];
    std::snprintf(line, sizeof line, "2026-01-%02d %02d:%02d:00,%.1f,%s,%d,%.7f,x\n", 1 + i / 1440,
                  i / 60 % 24, i % 60, 60 + static_cast<double>(random() % 300) * 0.1,
                  i % 10 == 0 ? "" : std::to_string(300 + random() % 90).c_str(),
                  i % 90 < 4 ? 1 : 0, 1e-6 * static_cast<double>(random() % 10000000));
    out += i % 100 == 99 ? "broken\n" : line;
  }
  return out;
}

ImportOptions kept_in(const fs::path& shelf) {
  ImportOptions out;
  out.shelf = shelf;
  out.shelf_from = 0;
  return out;
}

void expect_same(const Import& a, const Import& b) {
  EXPECT_TRUE(a.recording.time == b.recording.time);
  EXPECT_TRUE(a.recording.clock == b.recording.clock);
  ASSERT_EQ(a.recording.channels.size(), b.recording.channels.size());
  for (std::size_t i = 0; i < a.recording.channels.size(); ++i) {
    const Channel& one = a.recording.channels[i];
    const Channel& two = b.recording.channels[i];
    EXPECT_EQ(one.name(), two.name());
    EXPECT_EQ(one.origin, two.origin);
    EXPECT_EQ(one.interval, two.interval);
    EXPECT_TRUE(one.values == two.values) << one.name();
    ASSERT_NE(two.pyramid, nullptr);
    EXPECT_EQ(Pyramid(a.recording.time, {one.values.data(), one.values.size()}).levels(),
              two.pyramid->levels());
  }
  ASSERT_EQ(a.recording.files.size(), b.recording.files.size());
  EXPECT_EQ(a.recording.files[0].hash, b.recording.files[0].hash);
  EXPECT_EQ(a.recording.files[0].rows, b.recording.files[0].rows);
  EXPECT_EQ(a.understood, b.understood);
  EXPECT_EQ(a.not_understood, b.not_understood);
  EXPECT_EQ(a.assumptions, b.assumptions);
  EXPECT_EQ(a.barometric_pressure.value, b.barometric_pressure.value);
  ASSERT_EQ(a.log.rejects().size(), b.log.rejects().size());
  for (std::size_t i = 0; i < a.log.rejects().size(); ++i) {
    EXPECT_EQ(a.log.rejects()[i].line, b.log.rejects()[i].line);
    EXPECT_EQ(a.log.rejects()[i].reason, b.log.rejects()[i].reason);
  }
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    EXPECT_EQ(a.log.count_of(static_cast<Counter>(i)), b.log.count_of(static_cast<Counter>(i)));
  }
}

fs::path only_file_in(const fs::path& folder) {
  fs::path out;
  for (const auto& entry : fs::directory_iterator(folder)) {
    EXPECT_TRUE(out.empty()) << entry.path();
    out = entry.path();
  }
  return out;
}

TEST(StoredImport, OpensAsItWasRead) {
  const Folder folder;
  const fs::path log = folder.write("log.csv", log_text(4000));
  const auto plain = import_recordings({log}, {});
  const ImportOptions options = kept_in(folder.path() / "a" / "shelf");
  const auto first = import_recordings({log}, options);
  const auto second = import_recordings({log}, options);
  ASSERT_TRUE(plain && first && second);
  EXPECT_FALSE(first->from_shelf);
  EXPECT_TRUE(second->from_shelf);
  EXPECT_EQ(count_of(second, Counter::bad_row_short), 40U);
  expect_same(*plain, *first);
  expect_same(*plain, *second);
  // Packed it is smaller than its floats.
  const fs::path stored = only_file_in(options.shelf);
  EXPECT_LT(fs::file_size(stored), 4000U * (8 + 4 * 4));
}

/// The file may go while it is in use: what is mapped stays.
TEST(StoredImport, MayBeRemovedWhileItIsUsed) {
  const Folder folder;
  const fs::path log = folder.write("log.csv", log_text(500));
  const ImportOptions options = kept_in(folder.path() / "shelf");
  const auto first = import_recordings({log}, options);
  const auto second = import_recordings({log}, options);
  ASSERT_TRUE(first && second && second->from_shelf);
  fs::remove_all(options.shelf);
  expect_same(*first, *second);
}

TEST(StoredImport, AnyBrokenByteMeansReadingAgain) {
  const Folder folder;
  const fs::path log = folder.write("log.csv", log_text(300));
  const ImportOptions options = kept_in(folder.path() / "shelf");
  const auto first = import_recordings({log}, options);
  ASSERT_TRUE(first.has_value());
  const fs::path stored = only_file_in(options.shelf);
  const std::string good = read_file(stored).value();
  std::vector<std::string> broken = {"", good.substr(0, 10), good.substr(0, 64),
                                     good.substr(0, good.size() - 1), good + "x"};
  std::mt19937 random(8);
  for (int i = 0; i < 200; ++i) {
    // Of the header only what is in use counts; the padding behind it holds nothing.
    std::size_t at = random() % good.size();
    if (at >= 48 && at < 64) at = 0;
    broken.push_back(good);
    broken.back()[at] = static_cast<char>(broken.back()[at] ^ (1 << random() % 8));
  }
  for (const std::string& bytes : broken) {
    folder.write("shelf/" + stored.filename().string(), bytes);
    EXPECT_FALSE(load_import(stored).has_value());
  }
  const auto again = import_recordings({log}, options);
  ASSERT_TRUE(again.has_value());
  EXPECT_FALSE(again->from_shelf);
  expect_same(*first, *again);
  EXPECT_EQ(read_file(stored).value(), good);
}

TEST(StoredImport, IsForTheseBytesThisMapAndThisAirPressureAlone) {
  const Folder folder;
  const fs::path log = folder.write("log.csv", log_text(300));
  ImportOptions options = kept_in(folder.path() / "shelf");
  ASSERT_TRUE(import_recordings({log}, options).has_value());
  const auto fresh = [&](const ImportOptions& with) {
    const auto import = import_recordings({log}, with);
    EXPECT_TRUE(import.has_value());
    return import && !import->from_shelf;
  };
  EXPECT_FALSE(fresh(options));
  ImportOptions high = options;
  high.altitude = Metre{1600};
  EXPECT_TRUE(fresh(high));
  ImportOptions mapped = options;
  mapped.maps = {testing::map_of("ignore = [\"stranger\"]")};
  EXPECT_TRUE(fresh(mapped));
  EXPECT_FALSE(fresh(mapped));
  ImportOptions other = options;
  other.maps = {testing::map_of("ignore = [\"stranger\"] # the same with a word more")};
  EXPECT_TRUE(fresh(other));
  // A map without a hash is never taken for another one.
  other.maps.front().hash.clear();
  EXPECT_TRUE(fresh(other));
  EXPECT_TRUE(fresh(other));
  folder.write("log.csv", log_text(301));
  EXPECT_TRUE(fresh(options));
}

TEST(StoredImport, SmallOnesAndSurveysAreNotKept) {
  const Folder folder;
  const fs::path log = folder.write("log.csv", log_text(300));
  ImportOptions options = kept_in(folder.path() / "shelf");
  options.shelf_from = 8U << 20U;
  ASSERT_TRUE(import_recordings({log}, options).has_value());
  EXPECT_FALSE(fs::exists(options.shelf));
  options.shelf_from = 0;
  options.survey = true;
  ASSERT_TRUE(import_recordings({log}, options).has_value());
  EXPECT_FALSE(fs::exists(options.shelf));
}

TEST(StoredImport, AShelfThatCannotBeMadeSpoilsNothing) {
  const Folder folder;
  const fs::path log = folder.write("log.csv", log_text(300));
  const ImportOptions options = kept_in(folder.write("taken", "a file") / "shelf");
  const auto import = import_recordings({log}, options);
  ASSERT_TRUE(import.has_value());
  EXPECT_EQ(import->recording.size(), 297U);
}

TEST(Shelf, TheLongestUnusedGoFirst) {
  const Folder folder;
  const auto now = fs::file_time_type::clock::now();
  const auto put = [&](const std::string& name, int hours_ago) {
    const fs::path path = folder.write(name, std::string(1000, 'x'));
    fs::last_write_time(path, now - std::chrono::hours(hours_ago));
    return path;
  };
  const fs::path old = put("a.recording", 30);
  const fs::path used = put("b.recording", 20);
  const fs::path recent = put("c.recording", 10);
  const fs::path stopped = put("d.recording.part77", 40);
  const fs::path running = put("e.recording.part78", 1);
  const fs::path foreign = put("notes.txt", 500);
  touch_stored(old);
  trim_shelf(folder.path(), 2500);
  EXPECT_TRUE(fs::exists(old));
  EXPECT_FALSE(fs::exists(used));
  EXPECT_TRUE(fs::exists(recent));
  EXPECT_FALSE(fs::exists(stopped));
  EXPECT_TRUE(fs::exists(running));
  EXPECT_TRUE(fs::exists(foreign));
}

/// XDG Base Directory Specification 0.8: cache home is $XDG_CACHE_HOME, else $HOME/.cache; relative
/// paths in these variables are invalid and ignored (from memory).
TEST(CachePlace, FollowsTheVariables) {
  struct Restored {
    explicit Restored(const char* n) : name(n), had(std::getenv(n) != nullptr) {
      if (had) value = std::getenv(n);
    }
    ~Restored() {
      if (had) ::setenv(name, value.c_str(), 1);
      if (!had) ::unsetenv(name);
    }
    const char* name;
    bool had;
    std::string value;
  };
  const Restored own("COILWRIGHT_CACHE");
  const Restored shared("XDG_CACHE_HOME");
  const Restored home("HOME");
  ::setenv("COILWRIGHT_CACHE", "/mine", 1);
  ::setenv("XDG_CACHE_HOME", "/shared", 1);
  ::setenv("HOME", "/home/x", 1);
  EXPECT_EQ(cache_place("recordings"), fs::path("/mine/recordings"));
  ::setenv("COILWRIGHT_CACHE", "relative", 1);
  EXPECT_EQ(cache_place("recordings"), fs::path("/shared/coilwright/recordings"));
  ::unsetenv("XDG_CACHE_HOME");
  EXPECT_EQ(cache_place("recordings"), fs::path("/home/x/.cache/coilwright/recordings"));
  ::setenv("HOME", "", 1);
  EXPECT_EQ(cache_place("recordings"), std::nullopt);
}

}  // namespace
}  // namespace cw
