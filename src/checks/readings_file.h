#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "checks/readings.h"

namespace cw {

/// What a file of typed readings says (TOML, docs/user/readings.md).
struct ReadingsFile {
  std::vector<Reading> readings;
  std::string refrigerant;  ///< as written; empty: not said
  std::string mode;         ///< as written; empty: not said
};

/// Reads refrigerant = "R-410A", mode = "heating", and a table [readings].
/// @param name       what errors call the file
/// @param barometer  turns gauge pressures absolute [Pa]
/// @error parse, unit  with file and line
Result<ReadingsFile> parse_readings_file(std::string_view text, std::string_view name,
                                         double barometer);

}  // namespace cw
