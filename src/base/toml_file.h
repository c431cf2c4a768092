#pragma once

// toml++ is heavy to compile: include this header in .cc files only. The library is compiled once,
// in toml_file.cc, and never throws.
#define TOML_EXCEPTIONS 0
#define TOML_HEADER_ONLY 0
#include <toml++/toml.h>

#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/unit_text.h"

namespace cw {

/// Parses TOML text; `name` is what errors call it.
/// @error parse  with name:line:column
Result<toml::table> parse_toml(std::string_view text, std::string_view name);

/// Reads and parses a TOML file.
/// @error not_found, unreadable, parse
Result<toml::table> read_toml_file(const std::filesystem::path& path);

/// "name:line" of a node, for Error::where.
std::string place_of(const toml::node& node, std::string_view name);

/// A string such as "49 degC" at `key` as SI.
/// @error parse  missing, or no string; unit  as parse_quantity
Result<double> toml_quantity(const toml::table& table, std::string_view key, Dimension wanted,
                             std::string_view name);

/// The keys of `table` that are not in `known`, as an error naming line and the nearest known key;
/// success when there is none. A misspelt key must never be passed over in silence.
Status refuse_unknown_keys(const toml::table& table, std::initializer_list<std::string_view> known,
                           std::string_view name);

}  // namespace cw
