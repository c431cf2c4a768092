#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace cw {

/// A text whose columns stand at fixed places and whose empty cells are blanks, as delimited text
/// (see CellText). Empty for any other text: one with another delimiter, or whose rows all have as
/// many cells between blanks (then blanks are the delimiter).
///
/// A column ends where all rows of the sample have a blank. A header word belongs to the column
/// that it shares most places with.
std::optional<std::string> fixed_width_as_text(std::string_view text);

}  // namespace cw
