// What inspect --save-map writes can be read again: with it each invented recording in
// tests/data/import gives the same times and, in the channels that it gives without a map, the same
// readings to the bit; the channels that the map switches on hold the file's numbers in SI.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>

#include "ingest/import.h"
#include "ingest/map_writer.h"
#include "support/import_data.h"

namespace cw {
namespace {

namespace fs = std::filesystem;

const fs::path& data = cw::test::import_data();

bool same_bits(const Column& a, const Column& b) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const float x = a[i];
    const float y = b[i];
    if (std::memcmp(&x, &y, sizeof x) != 0 && !(is_missing(x) && is_missing(y))) return false;
  }
  return true;
}

const ColumnSurvey* column_of(const Import& survey, const std::string& header,
                              const std::string& file) {
  for (const FileSurvey& seen : survey.surveys) {
    if (!file.empty() && seen.file != file) continue;
    for (const ColumnSurvey& column : seen.columns) {
      if (column.header == header && column.role != "time") return &column;
    }
  }
  return nullptr;
}

/// Where nothing is sure enough to be in force, a person says what the first numbers are.
std::string with_a_column(std::string text, const Import& survey) {
  if (text.find("\n[[column]]") != std::string::npos) return text;
  for (const FileSurvey& seen : survey.surveys) {
    for (const ColumnSurvey& column : seen.columns) {
      if (column.role != "number" || seen.shape == "matrix") continue;
      return text + "\n[[column]]\nheader = " + toml_text(column.header) +
             "\nchannel = \"outdoor.9.power\"\nunit = \"W\"\n";
    }
  }
  return text;
}

/// The map as it was written, with the shape of a long table in force: without it such a table has
/// no columns.
std::string saved_map(const Import& survey) {
  std::string text = with_a_column(map_text(survey), survey);
  for (const FileSurvey& seen : survey.surveys) {
    for (const Proposal& p : seen.proposals) {
      if (p.kind == "shape" && p.toml.find("name =") != std::string::npos) {
        return text + "\n" + p.toml + "\n";
      }
    }
  }
  return text;
}

void expect_range(const Import& survey, const ChannelMap& map, const Recording& recording) {
  for (const MappedColumn& mapped : map.columns) {
    const ColumnSurvey* seen = column_of(survey, mapped.header, mapped.file);
    const Channel* channel = recording.find(mapped.place.text, mapped.quantity->name);
    ASSERT_NE(seen, nullptr) << mapped.header;
    if (channel == nullptr || mapped.quantity->dimension == Dimension::flag ||
        mapped.quantity->dimension == Dimension::state) {
      continue;
    }
    float low = missing;
    float high = missing;
    for (const float value : channel->values) {
      if (is_missing(value)) continue;
      if (!(low <= value)) low = value;
      if (!(high >= value)) high = value;
    }
    // What the plausible range refuses is no longer there: sentinels.
    const auto si = [&](double raw) {
      return mapped.unit.to_si(mapped.factor * raw, standard_atmosphere);
    };
    const double near = 2e-7 * std::max(std::abs(si(seen->lowest)), std::abs(si(seen->highest)));
    const auto plausible = [&](double value) {
      return value >= mapped.quantity->lowest && value <= mapped.quantity->highest;
    };
    if (plausible(si(seen->lowest))) {
      EXPECT_NEAR(low, si(seen->lowest), near + 1e-6) << mapped.header;
    }
    if (plausible(si(seen->highest))) {
      EXPECT_NEAR(high, si(seen->highest), near + 1e-6) << mapped.header;
    }
  }
}

class SavedMap : public ::testing::TestWithParam<std::string> {};

TEST_P(SavedMap, ReadsTheSameRecording) {
  const fs::path file = data / GetParam();
  ImportOptions look;
  look.survey = true;
  const Result<Import> survey = import_recordings({file}, look);
  if (!survey) GTEST_SKIP() << "is refused: " << survey.error().message;
  const Result<ChannelMap> map = parse_channel_map(saved_map(*survey), "saved.toml");
  ASSERT_TRUE(map.has_value()) << map.error().text() << "\n" << saved_map(*survey);
  const Result<Import> plain = import_recordings({file}, {});
  ImportOptions options;
  options.maps = {*map};
  const Result<Import> read = import_recordings({file}, options);
  if (!plain && map->columns.empty()) GTEST_SKIP() << "nothing in it is sure enough for a map";
  if (std::any_of(survey->surveys.begin(), survey->surveys.end(),
                  [](const FileSurvey& s) { return s.clock_error.has_value(); }) &&
      !read) {
    GTEST_SKIP() << "its clock must be said first";
  }
  ASSERT_TRUE(read.has_value()) << read.error().text() << "\n" << saved_map(*survey);
  if (plain) {
    EXPECT_EQ(plain->recording.time, read->recording.time);
    for (const Channel& channel : plain->recording.channels) {
      const Channel* again = read->recording.find(channel.place.text, channel.quantity->name);
      ASSERT_NE(again, nullptr) << channel.name();
      EXPECT_TRUE(same_bits(channel.values, again->values)) << channel.name();
    }
  } else if (survey->surveys.size() == 1) {
    EXPECT_EQ(read->recording.time.front(), survey->surveys.front().first);
    EXPECT_EQ(read->recording.time.back(), survey->surveys.front().last);
  }
  expect_range(*survey, *map, read->recording);
  const Result<Import> twice = import_recordings({file}, options);
  ASSERT_TRUE(twice.has_value());
  EXPECT_EQ(read->recording.time, twice->recording.time);
  for (const Channel& channel : read->recording.channels) {
    const Channel* again = twice->recording.find(channel.place.text, channel.quantity->name);
    ASSERT_NE(again, nullptr);
    EXPECT_TRUE(same_bits(channel.values, again->values)) << channel.name();
  }
}

std::string test_name(const ::testing::TestParamInfo<std::string>& file) {
  std::string name = file.param;
  for (char& c : name) c = std::isalnum(static_cast<unsigned char>(c)) != 0 ? c : '_';
  return name;
}

INSTANTIATE_TEST_SUITE_P(Files, SavedMap, ::testing::ValuesIn(cw::test::import_names()), test_name);

}  // namespace
}  // namespace cw
