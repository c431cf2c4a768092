#pragma once

#include <string_view>

namespace cw {

/// The month (1..12) that a word names by its first letters, in seven languages; 0 for none.
int month_named(std::string_view word);

/// Does the word name a day of the week in one of them, whole or by its first letters?
bool is_weekday(std::string_view word);

}  // namespace cw
