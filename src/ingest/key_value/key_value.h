#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "ingest/cell_text.h"

namespace cw {

/// Lines that name each value, as programs log them: "2026-01-14 06:00:00 T_out=-5.2 mode=heating"
/// or "[2026-01-14 06:00] INFO Outside: -5.2 C, Compressor: 45 Hz". What stands before the first
/// name is the time. As delimited text (see CellText), a column a name, in the order in which the
/// names first appear. Empty for any other text.
/// @error out_of_range  a few bytes that would become a text of many
std::optional<Result<ConvertedText>> key_values_as_text(std::string_view text);

}  // namespace cw
