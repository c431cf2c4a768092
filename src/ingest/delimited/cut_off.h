#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ingest/delimited/delimited.h"
#include "ingest/delimited/layout.h"

namespace cw {

/// The cell in which a text ends.
struct CutOff {
  std::size_t line = 0;   ///< of the text, 1-based
  std::size_t index = 0;  ///< position in the row
  std::string cell;
};

/// A file that was cut off ends within a number, which then is another number: "82.54" becomes "8".
/// @param body  from the first row on
/// @returns  the last cell of a text that ends without a line end and without a quote, where it is
/// a
///           number with or without a unit and has fewer places behind the decimal sign than all
///           above it in its column have, or, where those have none or differ, is shorter than all
///           of them, or lacks the unit that they have; nothing otherwise
std::optional<CutOff> find_cut_off(std::string_view body, const Layout& layout, char end_of_line);

/// Counts it.
void note_cut_off(const CutOff& cut, const Layout& layout, const ReadContext& context);

}  // namespace cw
