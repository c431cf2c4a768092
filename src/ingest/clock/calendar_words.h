#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

namespace cw {

/// The month (1..12) that a word names by its first letters, in seven languages; 0 for none.
int month_named(std::string_view word);

/// Does the word name a day of the week in one of them, whole or by its first letters?
bool is_weekday(std::string_view word);

/// "14.II.2026", "14 XII 2026": Roman months as in Poland and Hungary, between a day and a year of
/// four digits. "5 V" is a voltage. 0: none.
/// @param behind  what follows the word
int roman_month(std::string_view word, std::string_view behind);

/// "AM", "p. m.", their like in other languages.
struct HalfDay {
  bool second = false;   ///< afternoon
  std::size_t size = 0;  ///< bytes of the word
};
/// At the front of what stands behind a time; what follows it is not looked at.
std::optional<HalfDay> half_day_behind(std::string_view text);
/// At the front of a text, before a time, as in Japanese, Chinese and Korean.
std::optional<HalfDay> half_day_in_front(std::string_view text);

}  // namespace cw
