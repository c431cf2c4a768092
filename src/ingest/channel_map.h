#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/unit_text.h"
#include "series/place.h"
#include "series/quantity.h"

namespace cw {

/// One [[column]] of a map.
struct MappedColumn {
  std::string header;  ///< text of the header cell, blanks at the ends removed
  Place place;
  const Quantity* quantity = nullptr;
  Unit unit;
  std::vector<double> sentinels;                           ///< raw values that mean "no reading"
  std::vector<std::pair<std::string, std::string>> words;  ///< file's word -> our word
};

/// A map: which column of a file is which channel, in which unit (docs/user/maps.md).
struct ChannelMap {
  std::string name;                   ///< file name, for messages
  std::string time_column;            ///< empty: found by its name or content
  std::optional<std::string> zone;    ///< IANA zone of stamps without an offset
  std::optional<int> offset_minutes;  ///< fixed offset of stamps without an offset
  std::vector<MappedColumn> columns;
  std::vector<std::string> ignored;
  std::vector<double> sentinels;              ///< for every column
  std::optional<double> barometric_pressure;  ///< [Pa]

  const MappedColumn* find(std::string_view header) const;
};

/// @error not_found, unreadable, parse, unit with file and line
Result<ChannelMap> read_channel_map(const std::filesystem::path& path);

/// As read_channel_map, from text; `name` is what errors call it.
Result<ChannelMap> parse_channel_map(std::string_view text, std::string_view name);

/// The beginning of a map for a file with these headers, as text for a person to complete.
std::string map_skeleton(const std::vector<std::string>& headers, std::string_view time_column);

}  // namespace cw
