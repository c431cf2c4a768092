#pragma once

#include <filesystem>
#include <optional>

#include "base/result.h"
#include "ingest/import.h"

namespace cw {

/// Writes what an import gave (without surveys) as one file that load_import() maps into memory:
/// columns packed, pyramids beside them (docs/adr/0008). The file appears whole or not at all, also
/// when the program is stopped while it writes.
/// @error unreadable  with the system's reason
Status save_import(const std::filesystem::path& path, const Import& import);

/// Reads such a file. Columns stay in the file until they are looked at; it may be removed
/// meanwhile. Empty where there is none, where it is broken or of another version: then the
/// recording is read from its own files again.
std::optional<Import> load_import(const std::filesystem::path& path);

}  // namespace cw
