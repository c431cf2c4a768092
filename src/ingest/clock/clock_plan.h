#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "ingest/channel_map.h"
#include "ingest/clock/clock_form.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/counters.h"
#include "ingest/delimited/dialect.h"
#include "ingest/time_stamp.h"

namespace cw {

/// Which cells of a row make its time, and how they are read.
struct ClockPlan {
  std::vector<std::size_t> columns;  ///< positions in the row; by role for ClockForm::parts
  ClockForm form = ClockForm::stamps;
  DateOrder order = DateOrder::year_month_day;
  int year = 1970;       ///< of the first row, where the stamps have none
  std::int64_t day = 0;  ///< midnight [ms] of the first row, where the stamps have no date
  /// ClockForm::elapsed: one unit of the column [ms]; ClockForm::rows: from row to row.
  double unit_ms = 1e3;
  Instant start;  ///< ClockForm::elapsed, ClockForm::rows: the instant of zero or of the first row
  char decimal = '.';
  /// ClockForm::stamps with date and time apart: the time is a number of so many digits (4 or 6)
  /// whose zeros in front are left out, as 63005 for 06:30:05. 0: it is written as a time.
  std::size_t time_digits = 0;
  /// ClockForm::stamps: 6: the first column holds a date as a number, two digits a part, whose zero
  /// in front may be left out; 10: one column holds date and time so. 0: a text.
  std::size_t date_digits = 0;
  /// ClockForm::stamps: added to the years as they stand, of a calendar that counts from elsewhere.
  int era = 0;
  bool ranges = false;     ///< ClockForm::stamps: "06:00-06:05", whose beginning is the time
  bool says_year = false;  ///< ClockForm::day_of_year: the first column is the year
  std::optional<int> offset_minutes;  ///< from the header ("GMT-06:00") or the map
  std::optional<std::string> zone;    ///< from the header or the map
  Observation finding;
  std::vector<std::string> assumptions;  ///< sentences: what was taken as read
  std::vector<std::string> asks;         ///< what a map should say, as TOML lines with a comment
};

/// The cells of a clock that is written as stamps as one text.
/// @param cells  as many as plan.columns
std::string stamp_of_cells(const ClockPlan& plan, std::span<const std::string> cells);

/// "26:05:30" or "26:05" as a time since the start [ms], hours without a bound.
std::optional<std::int64_t> read_duration_ms(std::string_view text);

/// Goes through all rows of a file: calls back with the cells of one row until told to stop.
using RowVisitor = std::function<bool(std::span<const std::string> cells)>;
using RowWalk = std::function<void(std::size_t cells, const RowVisitor&)>;

struct ClockQuestion {
  std::span<const std::string> headers;
  std::span<const std::string> units;              ///< of a unit row; as many as headers, or none
  std::span<const std::vector<std::string>> rows;  ///< a sample in file order
  RowWalk walk;                                    ///< all rows; may be empty
  const ChannelMap* map = nullptr;
  const Dialect* dialect = nullptr;
  bool has_header = true;
  /// Columns whose header is a channel already; they are never the clock.
  std::function<bool(std::size_t)> is_channel;
};

/// Decides what the clock of a file is. Day and month are told apart by what the whole file shows;
/// where it shows nothing the order is not guessed.
/// @error not_found     no column holds time stamps
/// @error inconsistent  day and month cannot be told apart
Result<ClockPlan> plan_clock(const ClockQuestion& question);

/// One stamp as read from a row, before clock changes and missing dates are resolved.
struct RawStamp {
  std::int64_t ms = 0;  ///< UTC where has_offset, else the wall clock as if it were UTC
  std::int16_t offset_minutes = 0;
  bool has_offset = false;
  bool has_date = true;  ///< false: `ms` is of the day, and the row's date is that of the row above
  bool date_lost = false;  ///< without a date, and that of the row above is not its own
};

/// What a row, also one that was refused, says of the date of the rows below it that have none.
struct DateAbove {
  std::optional<std::int64_t> ms;  ///< its wall clock; none: it could not be read
};

/// Gives a row without a date that of the row right above it; where that has none, or the time
/// steps back within the day, the row stays without and `date_lost` is set.
void take_date_above(const DateAbove& above, RawStamp& stamp);

/// Gives rows without a date of their own that of the row above, a day more at midnight (the time
/// steps back by more than half a day): dates that are written once a day. Those above the first
/// date stay without, and so do those where the time steps back by an hour or more within the day,
/// up to the next date: a date is missing there.
void fill_dates(std::vector<RawStamp>& stamps);

/// Reads the stamps of one file. Remembers the last day, so that a column of ISO stamps costs a few
/// nanoseconds each. Not thread-safe: one reader a thread.
class StampReader {
 public:
  explicit StampReader(const ClockPlan& plan) : plan_(plan) {}
  /// @param cells  as many as plan.columns
  std::optional<RawStamp> read(std::span<const std::string> cells);
  /// Midnight of the day that a cell of the first of two columns says.
  std::optional<RawStamp> read_date(const std::string& cell);

 private:
  std::optional<RawStamp> read_stamp(std::string_view text);
  std::optional<RawStamp> read_time_alone(std::string_view text) const;
  std::optional<RawStamp> read_parts(std::span<const std::string> cells) const;
  std::optional<RawStamp> read_day_of_year(std::span<const std::string> cells) const;
  std::optional<RawStamp> read_number(std::string_view text) const;

  const ClockPlan& plan_;
  IsoStampReader iso_;
};

/// Turns raw stamps, in file order, into instants.
class ClockResolver {
 public:
  struct Answer {
    std::optional<Instant> instant;
    Counter reason = Counter::bad_time_stamp;  ///< when there is no instant
    std::string message;
  };

  explicit ClockResolver(const ClockPlan& plan);
  Answer resolve(const RawStamp& stamp);
  const Clock& clock() const { return clock_; }
  /// Hours of the autumn clock change that the order of the rows told apart.
  std::size_t repeated_rows() const { return repeated_; }

 private:
  Answer from_zone(Instant wall);
  std::int64_t carried(std::int64_t ms);
  std::int64_t year_carried(std::int64_t ms);

  const ClockPlan& plan_;
  Clock clock_;
  bool first_ = true;
  bool offsets_in_file_ = false;
  std::int64_t carry_ = 0;     // days or years added where the stamps lack them
  std::int64_t last_raw_ = 0;  // for the carry
  bool any_raw_ = false;
  Instant last_;
  bool any_ = false;
  std::int64_t cached_quarter_ = 0;
  std::int64_t cached_shift_ = 0;
  bool cached_ = false;
  std::size_t repeated_ = 0;
};

}  // namespace cw
