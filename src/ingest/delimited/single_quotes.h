#pragma once

#include <optional>
#include <string_view>

#include "ingest/cell_text.h"

namespace cw {

/// A delimited text whose cells stand in single quotes ('2026-01-14 06:00','21.5'), or have one in
/// front as spreadsheets write a text, without them; line for line. Empty for any other text.
std::optional<ConvertedText> without_single_quotes(std::string_view text);

}  // namespace cw
