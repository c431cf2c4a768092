#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "ingest/import.h"

namespace cw {

/// Names what an import will give: the files' names and bytes, the maps, the site's air pressure,
/// and the program that reads them, down to its build. Equal names, equal results.
/// @param names     what the files are called
/// @param skipping  whether files that cannot be read are passed over (a folder was named)
/// @returns  empty where a map was made in code, whose contents have no hash
std::string import_key(const std::vector<std::string>& names,
                       const std::vector<std::string>& hashes, bool skipping,
                       const ImportOptions& options);

/// Where the stored recording of that name lies.
std::filesystem::path stored_path(const std::filesystem::path& shelf, const std::string& key);

/// Notes that it was used; the least lately used ones go first.
void touch_stored(const std::filesystem::path& path);

/// Removes stored recordings, the longest unused first, until the rest take no more than `most`
/// bytes; and what a stopped program left unfinished more than a day ago. Other files are not
/// touched.
void trim_shelf(const std::filesystem::path& shelf, std::uintmax_t most);

}  // namespace cw
