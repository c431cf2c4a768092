#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "ingest/cell_text.h"

namespace cw {

/// What kind of JSON a text is; empty when it is none that is read.
///
/// "JSON lines": one object a line. "JSON array": objects in a list. "JSON object": an object with
/// a table somewhere inside (json_object.h). "Haystack grid": an object with cols and rows, as
/// Project Haystack writes it (versions 3 and 4).
std::string json_kind(std::string_view text);

/// The objects as delimited text (see CellText): each key a column, keys of objects inside objects
/// joined with dots; numbers keep the digits they are written with as far as a double holds them.
/// @error unreadable  broken JSON, with the line
Result<ConvertedText> json_as_text(std::string_view text, const std::string& kind);

}  // namespace cw
