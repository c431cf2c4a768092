#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "ingest/cell_text.h"

namespace cw {

/// Does the text begin as a Project Haystack grid in Zinc (ver:"3.0")?
bool is_zinc(std::string_view text) noexcept;

/// A Zinc grid as delimited text (see CellText): a column is named by its dis, else by its name; a
/// unit that all its numbers share stands in the header.
/// @error unreadable  not a grid; unsupported  a grid inside a cell
Result<ConvertedText> zinc_as_text(std::string_view text);

}  // namespace cw
