#pragma once

#include <algorithm>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ingest/clock/clock_plan.h"

namespace cw {

/// What the cells of one column of the sample are, as a clock would see them.
struct ColumnLook {
  std::size_t filled = 0;
  std::size_t full = 0;    ///< date and time
  bool moves = false;      ///< do the texts of these differ?
  std::size_t dates = 0;   ///< date only
  std::size_t times = 0;   ///< time of day only
  std::size_t dotted = 0;  ///< "06.05.00" or "06.05": times as Italians and Finns write them
  std::size_t spans = 0;   ///< hours, minutes and seconds, with any number of hours
  bool over_a_day = false;
  std::size_t epochs = 0;
  std::size_t numbers = 0;
  std::size_t ups = 0, downs = 0, level = 0;  ///< steps of the numbers
  double first = 0.0, last = 0.0, lowest = 0.0, highest = 0.0;
  bool whole = true;            ///< all numbers are integers
  bool hour_minute = true;      ///< all could be 630 for 06:30
  bool with_seconds = true;     ///< all could be 63005 for 06:30:05
  std::size_t short_dates = 0;  ///< "260114", or "50126" whose zero in front was left out
  std::size_t short_stamps =
      0;                   ///< "2601140605": two digits each from the year or day to the minute
  std::size_t ranges = 0;  ///< "06:00-06:05": two ends of a span of time
  std::string range_end;   ///< of the first of them
  bool range_ends_vary = false;
  /// Of the ranges: dated texts without blanks, whose end may be an offset from UTC as well
  /// ("2026-03-08T01:45-06:00").
  std::size_t maybe_offsets = 0;
  /// Steps from one of these to another in which the ends go along with the beginnings.
  std::size_t steps_of_spans = 0;
  std::size_t steps_of_ranges = 0;

  /// Spans of time, and not stamps with offsets: an end that is the same everywhere, or that
  /// changes with summer time only, is an offset.
  bool holds_spans() const {
    if (!mostly(ranges) || !range_ends_vary) return false;
    return maybe_offsets * 2 < ranges || steps_of_spans * 2 > steps_of_ranges;
  }
  bool mostly(std::size_t count) const { return filled > 0 && count * 10 >= filled * 7; }
  bool rises() const { return numbers > 2 && downs * 20 <= ups && ups > 0 && level * 2 <= ups; }
};

ColumnLook look_at_column(const ClockQuestion& question, std::size_t column);

/// May the column be the clock at all?
bool usable(const ClockQuestion& question, std::size_t column);

/// Columns that may be the clock, and how sure that is.
struct ClockChoice {
  ClockForm form = ClockForm::stamps;
  std::vector<std::size_t> columns;
  double confidence = 0.0;
  std::string reason;
  std::size_t time_digits = 0;  ///< as in ClockPlan, as are those below
  std::size_t date_digits = 0;
  bool ranges = false;
  bool says_year = false;
};

/// How many digits the time of day has in a column of plain numbers; 0 where they are no times.
std::size_t digits_of_time(const ColumnLook& look);

/// The column's header in quotes.
std::string named(const ClockQuestion& question, std::size_t column);

/// The time in a second column beside a date, written as a time or as a number (HHMM or HHMMSS).
struct TimeColumn {
  std::size_t column = 0;
  std::size_t digits = 0;  ///< as ClockPlan::time_digits
};
std::optional<TimeColumn> time_beside(const ClockQuestion& question,
                                      std::span<const ColumnLook> looks, std::size_t date);

/// "06:00-06:05" in one cell, with the date or beside a column of dates.
std::optional<ClockChoice> choose_ranges(const ClockQuestion& question,
                                         std::span<const ColumnLook> looks);

/// Dates of two digits a part, 260114, with the time behind them or in another column.
std::optional<ClockChoice> choose_short_dates(const ClockQuestion& question,
                                              std::span<const ColumnLook> looks);

/// Year and day of the year, with the time of day in one or several columns behind them.
std::optional<ClockChoice> choose_day_of_year(const ClockQuestion& question,
                                              std::span<const ColumnLook> looks);

}  // namespace cw
