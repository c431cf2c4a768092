#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/unit_text.h"
#include "ingest/clock/clock_form.h"
#include "series/place.h"
#include "series/quantity.h"

namespace cw {

/// One [[column]] of a map.
struct MappedColumn {
  std::string header;  ///< text of the header cell, blanks at the ends removed
  std::string file;    ///< of this file only; empty: of every file
  Place place;
  const Quantity* quantity = nullptr;
  Unit unit;
  std::vector<double> sentinels;                           ///< raw values that mean "no reading"
  std::vector<std::pair<std::string, std::string>> words;  ///< file's word -> our word
  double factor = 1.0;  ///< raw value times this is in `unit` (0.1 for tenths)
};

/// [file]: what the sniffing of a text would decide otherwise. Empty: decided from the file.
struct MapDialect {
  std::string encoding;
  std::optional<char> delimiter;
  std::optional<char> decimal;
  std::optional<char> thousands;
  std::optional<std::size_t> header_line;  ///< 1-based; 0: the file has no header
  std::optional<std::size_t> data_line;    ///< 1-based line of the first row
  std::vector<std::string> sheets;         ///< of a workbook
};

/// [clock] beside the column: what stamps lack.
struct MapClock {
  std::vector<std::string> columns;  ///< header texts; two where date and time stand apart
  std::optional<ClockForm> form;
  std::optional<DateOrder> order;
  std::optional<int> year;
  std::optional<Instant> start;  ///< the date, or the instant of zero, as wall clock
  std::int64_t shift_ms = 0;     ///< added to every stamp of the file
  double interval_ms = 0.0;      ///< ClockForm::rows: from row to row
};

/// [shape]: how rows and columns make channels. Empty: one row a time, one column a channel.
struct MapShape {
  std::vector<std::string> name;  ///< long: the columns that say which signal a row is of
  std::string value;              ///< long: the column with the value
  std::string quality;            ///< long: the column that says whether the value is good
  std::vector<std::string> good;  ///< long: texts of that column that say so
  std::string matrix_channel;     ///< matrix: the header name that all its columns have
  std::optional<double> hold;     ///< blank means unchanged, for at most this long [s]
};

/// A column that is known and not wanted.
struct IgnoredColumn {
  std::string header;  ///< to the letter, as tidy_label leaves it
  std::string file;    ///< empty: in every file
};

/// A map: which column of a file is which channel, in which unit (docs/user/maps.md).
struct ChannelMap {
  std::string name;         ///< file name, for messages
  std::string hash;         ///< content_hash of its text; a map made in code has none
  std::string time_column;  ///< empty: found by its name or content
  MapDialect dialect;
  MapClock clock;
  MapShape shape;
  std::optional<std::string> zone;    ///< IANA zone of stamps without an offset
  std::optional<int> offset_minutes;  ///< fixed offset of stamps without an offset
  std::vector<MappedColumn> columns;
  std::vector<IgnoredColumn> ignored;
  std::vector<double> sentinels;              ///< for every column
  std::optional<double> barometric_pressure;  ///< [Pa]
  std::string refrigerant;                    ///< as written; empty: not said

  const MappedColumn* find(std::string_view header) const;
  bool ignores(std::string_view header) const;
};

/// The map as it is for one file: without the columns that are of other files, those of this file
/// first; what it ignores in this file by name rules over columns of any file.
ChannelMap map_for_file(const ChannelMap& map, std::string_view file);

/// @error not_found, unreadable, parse, unit with file and line
Result<ChannelMap> read_channel_map(const std::filesystem::path& path);

/// As read_channel_map, from text; `name` is what errors call it.
Result<ChannelMap> parse_channel_map(std::string_view text, std::string_view name);

/// Does the file look like the one that the map was made for? The number of its headers that the
/// map names, columns and clock.
std::size_t known_headers(const ChannelMap& map, const std::vector<std::string>& headers);

/// The beginning of a map for a file with these headers, as text for a person to complete.
std::string map_skeleton(const std::vector<std::string>& headers, std::string_view time_column);

}  // namespace cw
