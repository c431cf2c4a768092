#pragma once

#include <filesystem>
#include <vector>

#include "base/result.h"
#include "ingest/channel_map.h"

namespace cw {

/// All maps (*.toml) of a folder, by file name. A file then takes the one that names most of its
/// headers (ImportOptions::maps).
/// @error not_found  no such folder, or no map in it; otherwise as read_channel_map
Result<std::vector<ChannelMap>> read_map_book(const std::filesystem::path& folder);

}  // namespace cw
