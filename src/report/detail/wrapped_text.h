#pragma once

#include <string>
#include <string_view>

namespace cw::detail {

/// Columns that a UTF-8 text takes on a terminal: continuation bytes take none.
std::size_t columns_of(std::string_view text);

/// Appends `text` behind `lead`, its words in lines of at most `width` columns, further lines under
/// the first word.
void append_wrapped(std::string& out, std::string_view lead, std::string_view text,
                    std::size_t width);

}  // namespace cw::detail
