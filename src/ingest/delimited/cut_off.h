#pragma once

#include <string_view>

#include "ingest/delimited/delimited.h"
#include "ingest/delimited/layout.h"

namespace cw {

/// A file that was cut off ends within a number, which then is another number: "82.54" becomes "8".
/// @returns  the last cell of a text that ends without a line end, where it has fewer places behind
///           the decimal sign than all above it have, or, where those have none or differ, is
///           shorter than all of them; empty otherwise
std::string_view cut_off_cell(std::string_view body, const Layout& layout, char end_of_line);

/// The rows without a cell in which the file was cut off, which is counted then.
/// @param body  from the first row on
std::string_view without_cut_off(std::string_view body, const Layout& layout, char end_of_line,
                                 const ReadContext& context);

}  // namespace cw
