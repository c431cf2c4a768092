#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/instant.h"
#include "series/place.h"
#include "series/quantity.h"

namespace cw {

/// One column of a file that became a channel: raw order of the file, SI values.
struct SourceColumn {
  Place place;
  const Quantity* quantity = nullptr;
  std::string origin;         ///< "column 4 \"T_OUT\" [degC]"
  std::vector<float> values;  ///< [n_row], SI, missing where there is no reading

  // Only in a survey (ReadContext::survey), where columns that are no channel are read as they
  // stand: quantity is null and values are the file's numbers.
  std::string header;
  std::string unit_text;                                   ///< of the header or a unit row
  std::size_t index = 0;                                   ///< position in the row
  std::vector<std::pair<std::string, std::size_t>> words;  ///< texts among the cells, with counts

  /// The air pressure that made a gauge reading absolute [Pa]; empty for other readings.
  std::optional<double> gauge_with = std::nullopt;
};

/// One file as a format's reader hands it on, before files are joined.
struct SourceTable {
  std::string file;  ///< name for messages
  Clock clock;
  std::vector<Instant> time;        ///< [n_row], in file order, not yet checked for order
  std::vector<std::uint32_t> line;  ///< [n_row], 1-based line in the file
  std::vector<SourceColumn> columns;
  std::vector<std::string> understood;  ///< headers that became channels, as "header -> channel"
  std::vector<std::string> not_understood;  ///< headers that did not, in file order
  std::vector<std::string> assumptions;     ///< sentences on what was taken as read
};

}  // namespace cw
