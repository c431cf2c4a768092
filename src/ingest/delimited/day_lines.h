#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// A text whose dates stand in lines of their own, with a column of dates in front of its rows.
struct DayLines {
  struct Line {
    std::size_t number = 0;  ///< 1-based
    std::string text;
  };
  std::string text;         ///< line for line that of the file; lines of dates are empty
  std::vector<Line> dates;  ///< the lines that hold nothing but a date
};

/// "14.01.2026", then rows that have times only, then "15.01.2026": the date goes in front of the
/// first row below it, the others have none and are taken as of the day above them.
///
/// Nothing is turned where it could be read otherwise: the first date must stand above the first
/// row, there must be two dates or more, all different and in the same form, a word beside one must
/// be that for a date or a day, and within a day the times must not step back, midnight excepted.
/// Empty for any other text.
std::optional<DayLines> with_dates_in_rows(std::string_view text);

}  // namespace cw
