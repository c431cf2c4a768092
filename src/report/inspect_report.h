#pragma once

#include <string>

#include "ingest/import.h"

namespace cw {

/// What an importer saw in files (ImportOptions::survey) as JSON, schema "coilwright.inspect/1"
/// (docs/user/inspect.md).
std::string inspect_json(const Import& import);

}  // namespace cw
