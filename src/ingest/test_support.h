#pragma once

// Helpers of the ingest tests: recordings written to a folder of their own, and read.
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "ingest/import.h"

namespace cw::testing {

/// A folder that goes when the test ends.
class Folder {
 public:
  Folder() {
    const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
    std::string name = std::string(info->test_suite_name()) + "." + info->name();
    for (char& c : name) {
      if (c == '/') c = '_';
    }
    path_ = std::filesystem::temp_directory_path() /
            ("cw_" + name + "_" + std::to_string(static_cast<long>(::getpid())));
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  std::filesystem::path write(const std::string& name, std::string_view bytes) const {
    const std::filesystem::path file = path_ / name;
    std::ofstream out(file, std::ios::binary);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    return file;
  }
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

inline Result<Import> import_text(std::string_view text, const ImportOptions& options = {},
                                  const std::string& name = "log.csv") {
  const Folder folder;
  return import_recordings({folder.write(name, text)}, options);
}

inline ChannelMap map_of(std::string_view text) {
  Result<ChannelMap> map = parse_channel_map(text, "map.toml");
  EXPECT_TRUE(map.has_value()) << (map ? "" : map.error().text());
  return map ? std::move(*map) : ChannelMap{};
}

/// A channel's values, or an empty list with a failure.
inline std::vector<float> values_of(const Result<Import>& import, std::string_view place,
                                    std::string_view quantity) {
  if (!import) {
    ADD_FAILURE() << import.error().text();
    return {};
  }
  const Channel* channel = import->recording.find(place, quantity);
  if (channel == nullptr) {
    ADD_FAILURE() << "no channel " << place << "." << quantity;
    return {};
  }
  return {channel->values.begin(), channel->values.end()};
}

inline std::size_t count_of(const Result<Import>& import, Counter counter) {
  if (!import) {
    ADD_FAILURE() << import.error().text();
    return 0;
  }
  return import->log.count_of(counter);
}

/// The sum of all counters but those named: "nothing else was set aside".
inline std::size_t other_counts(const Result<Import>& import,
                                std::initializer_list<Counter> expected) {
  std::size_t sum = 0;
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (std::find(expected.begin(), expected.end(), counter) == expected.end()) {
      sum += count_of(import, counter);
    }
  }
  return sum;
}

/// The times of all rows, "2026-01-14 06:00:00".
inline std::vector<std::string> times_of(const Result<Import>& import) {
  if (!import) {
    ADD_FAILURE() << import.error().text();
    return {};
  }
  std::vector<std::string> out;
  for (std::size_t i = 0; i < import->recording.size(); ++i) {
    std::string text = iso_text(import->recording.time[i], {});
    text[10] = ' ';
    out.push_back(std::move(text));
  }
  return out;
}

inline ImportOptions with_map(const char* text) {
  ImportOptions options;
  options.maps.push_back(map_of(text));
  return options;
}

/// The first reject that a counter kept; null: none.
inline const Reject* first_of(const Result<Import>& import, Counter counter) {
  if (!import) return nullptr;
  for (const Reject& reject : import->log.rejects()) {
    if (reject.counter == counter) return &reject;
  }
  return nullptr;
}

}  // namespace cw::testing
