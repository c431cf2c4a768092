#pragma once

#include <optional>
#include <string_view>

#include "ingest/cell_text.h"

namespace cw {

/// A table whose times stand across the top and whose signals go down the side ("Signal, Unit,
/// 06:00, 06:05, ...") turned over: a row a time, a column a signal. Empty for any other text; a
/// day a row (a matrix) is none of these.
/// @error out_of_range  a few bytes that would become a text of many
std::optional<Result<ConvertedText>> turned_over(std::string_view text);

}  // namespace cw
