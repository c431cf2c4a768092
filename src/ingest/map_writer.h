#pragma once

#include <string>

#include "ingest/import.h"

namespace cw {

/// A map for the surveyed files as commented TOML: what is certain stands as it is, what is only
/// proposed stands behind a comment sign with its confidence and evidence. Reads back without
/// error.
std::string map_text(const Import& import);

/// A TOML string with quotes, as maps write headers.
std::string toml_text(std::string_view text);

}  // namespace cw
