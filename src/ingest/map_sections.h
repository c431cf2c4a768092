#pragma once

#include <string_view>

#include "base/toml_file.h"
#include "ingest/channel_map.h"

namespace cw {

/// Reads [file], [clock] and [shape] of a map; `name` is what errors call the file.
/// @error parse, unit, not_found  with name and line
Status read_map_sections(const toml::table& table, std::string_view name, ChannelMap& map);

/// An error at a node of a map.
Error map_error(const toml::node& node, std::string_view name, std::string message,
                std::string fix);

}  // namespace cw
