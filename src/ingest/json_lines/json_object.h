#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "base/result.h"
#include "ingest/cell_text.h"

namespace cw {

/// A JSON object that holds a table somewhere inside, as delimited text (see CellText): a list of
/// objects, lists side by side, names of columns beside lists of rows, or signals that each have a
/// list of times and values. The largest one counts.
/// @param source  size of the JSON text [bytes]
/// @error unsupported   it holds no such table; out_of_range  (as UnitGrid::text)
Result<ConvertedText> json_object_as_text(const nlohmann::ordered_json& root, std::size_t source);

/// Rows of objects as a table; objects inside are joined with dots.
Result<ConvertedText> json_rows_as_text(const nlohmann::ordered_json& rows, std::size_t source);

}  // namespace cw
