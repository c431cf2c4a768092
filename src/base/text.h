#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// Without blanks, tabs, line ends and non-breaking blanks (U+00A0) at both ends.
std::string_view trim(std::string_view text) noexcept;

/// ASCII letters compare equal in both cases; other bytes compare as they are.
bool equal_ignoring_case(std::string_view a, std::string_view b) noexcept;

/// ASCII letters in lower case; other bytes as they are.
std::string to_lower(std::string_view text);

/// The parts between separators; always at least one.
std::vector<std::string_view> split(std::string_view text, char separator);

/// "a, b and c".
std::string list_of(const std::vector<std::string>& items);

/// Levenshtein distance in bytes, for "did you mean".
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The whole of `text` as a finite number, or false. Accepts a leading '+'.
bool read_number(std::string_view text, double& number) noexcept;

/// Up to `digits` significant digits without trailing zeros ("0.0254", "1.5e-07").
std::string number_text(double value, int digits = 6);

}  // namespace cw
