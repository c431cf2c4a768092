#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ingest/delimited/delimited.h"
#include "ingest/delimited/layout.h"

namespace cw {

/// The cell in which a text ends.
struct CutOff {
  /// lost: it is shorter than it can be; doubted: it is a number as others and may all the same
  /// have gone on.
  enum class Kind { lost, doubted };
  Kind kind = Kind::lost;
  std::size_t line = 0;   ///< of the text, 1-based
  std::size_t index = 0;  ///< position in the row
  std::string cell;
  std::string reason;  ///< why it is lost
};

/// A file that was cut off ends within a number, which then is another number: "82.54" becomes "8".
/// @param body  from the first row on
/// @returns  the last cell of a text that ends without a line end and without a quote. It is lost
///           where its row has fewer cells than all above it, where it is a time that is shorter
///           than all above it in its column, or a number with or without a unit that has fewer
///           places behind the decimal sign than all above it, or, where those have none or differ,
///           is shorter than all of them, or lacks the unit that they have. It is doubted where it
///           is a number that is shorter than some above it. Nothing otherwise
std::optional<CutOff> find_cut_off(std::string_view body, const Layout& layout, char end_of_line);

/// Counts what is lost.
void note_cut_off(const CutOff& cut, const Layout& layout, const ReadContext& context);

/// What is said of a doubted one.
std::string doubt_of_end(const CutOff& cut, const Layout& layout);

}  // namespace cw
