#pragma once

#include <string>
#include <vector>

#include "ingest/counters.h"

namespace cw {

/// A map may be of several files: a column that one of them has is not absent. The log without such
/// remarks.
/// @param understood  "file: header -> channel" of all files
ImportLog without_found_columns(const ImportLog& log, const std::vector<std::string>& understood);

}  // namespace cw
