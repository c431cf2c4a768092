#pragma once

#include <string>
#include <string_view>

namespace cw {

/// A line without what differs from page to page: digits become one sign, form feeds, delimiters
/// and blanks go. "Page 2 of 9" and "Page 3 of 9" are the same then. Empty where fewer than three
/// letters are left.
std::string folded_line(std::string_view line);

/// Does the line stand for sums, averages, the end of a report, or is it only drawn ("-----")?
/// Words of a few languages; the first cell must begin with one of them.
bool is_foot_line(std::string_view line);

/// Does the line begin with a word that is no weekday and no month, as "Printed 2026-01-15"? A row
/// that was cut off does not.
bool is_remark(std::string_view line);

/// Does the line hold anything that could be a reading: a cell that begins with a digit or a sign
/// before a digit?
bool has_number(std::string_view line);

/// Is a cell of the line a date or a time of day?
bool holds_stamp(std::string_view line, char delimiter);

}  // namespace cw
