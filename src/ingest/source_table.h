#pragma once

#include <cstdint>
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
};

}  // namespace cw
