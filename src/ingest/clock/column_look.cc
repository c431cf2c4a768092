#include "ingest/clock/column_look.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "ingest/clock/span_text.h"
#include "ingest/header.h"

namespace cw {
namespace {

void look_at_number(double number, ColumnLook& look) {
  if (look.numbers == 0) {
    look.first = look.lowest = look.highest = number;
  } else {
    look.ups += number > look.last ? 1U : 0U;
    look.downs += number < look.last ? 1U : 0U;
    look.level += number == look.last ? 1U : 0U;
  }
  look.last = number;
  look.lowest = std::min(look.lowest, number);
  look.highest = std::max(look.highest, number);
  look.whole = look.whole && number == std::floor(number);
  const bool fits = number >= 0.0 && number <= 240000.0 && look.whole;
  const int digits = fits ? static_cast<int>(number) : -1;
  look.hour_minute = look.hour_minute && fits && digits <= 2400 && digits % 100 < 60;
  look.with_seconds = look.with_seconds && fits && digits % 100 < 60 && digits / 100 % 100 < 60;
  ++look.numbers;
}

/// Two digits each of hours, minutes and perhaps seconds, with full stops between.
bool is_dotted_time(std::string_view cell) {
  if (cell.size() != 5 && cell.size() != 8) return false;
  const auto pair_within = [&](std::size_t at, int bound) {
    const char a = cell[at];
    const char b = cell[at + 1];
    return a >= '0' && a <= '9' && b >= '0' && b <= '9' && (a - '0') * 10 + b - '0' < bound;
  };
  return pair_within(0, 24) && cell[2] == '.' && pair_within(3, 60) &&
         (cell.size() == 5 || (cell[5] == '.' && pair_within(6, 60)));
}

/// Ten digits, two each from the year (or the day) to the minute.
bool is_short_stamp(const std::string& cell) {
  StampFields f;
  return cell.size() == 10 && cell.find_first_not_of("0123456789") == std::string::npos &&
         parse_stamp(cell.substr(0, 6) + " " + cell.substr(6), f) && f.hour <= 24 && f.minute < 60;
}

/// Six digits of a date, or five of which the first, a zero, was left out.
bool is_short_date(const std::string& cell) {
  if (cell.size() < 5 || cell.size() > 6) return false;
  if (cell.find_first_not_of("0123456789") != std::string::npos) return false;
  StampFields f;
  return parse_stamp(std::string(6 - cell.size(), '0') + cell + " 0000", f);
}

/// The two ends of the range before, of the day [ms].
struct RangeBefore {
  std::optional<std::int64_t> begin, end;
};

std::optional<std::int64_t> time_of_day(std::string_view text) {
  StampFields f;
  if (!parse_stamp(text, f) || !f.has_time) return std::nullopt;
  return ((f.hour * 60 + f.minute) * std::int64_t{60} + f.second) * 1000 + f.millisecond;
}

/// Offsets are full quarters of an hour.
bool may_be_offset(const std::string& cell) {
  StampFields f;
  return parse_stamp(cell, f) && f.parts > 0 && f.has_offset && f.offset_minutes % 15 == 0 &&
         cell.find(" -") == cell.npos && cell.find("- ") == cell.npos;
}

void look_at_range(const std::string& cell, RangeBefore& before, ColumnLook& look) {
  const auto range = split_span(cell);
  if (!range) return;
  if (look.ranges == 0) look.range_end = std::string(range->end);
  look.range_ends_vary = look.range_ends_vary || range->end != look.range_end;
  ++look.ranges;
  look.maybe_offsets += may_be_offset(cell) ? 1U : 0U;
  constexpr std::int64_t day_ms = 86400000;
  const auto begin = time_of_day(range->begin);
  const auto end = time_of_day(range->end);
  if (begin && end && before.begin && before.end) {
    const std::int64_t moved = *begin - *before.begin;
    const bool along = (*end - *before.end - moved) % day_ms == 0 || begin == before.end;
    look.steps_of_spans += moved != 0 && along ? 1U : 0U;
    ++look.steps_of_ranges;
  }
  before = {begin, end};
}

}  // namespace

ColumnLook look_at_column(const ClockQuestion& q, std::size_t column) {
  ColumnLook look;
  RangeBefore before;
  std::string stamp;  // the first
  for (const std::vector<std::string>& row : q.rows) {
    if (column >= row.size() || row[column].empty()) continue;
    ++look.filled;
    double number = 0.0;
    const bool is_value = read_dialect_number(row[column], *q.dialect, number);
    if (is_value) look_at_number(number, look);
    if (read_epoch(row[column])) ++look.epochs;
    if (const auto span = read_duration_ms(row[column])) {
      ++look.spans;
      look.over_a_day = look.over_a_day || *span > 24 * std::int64_t{3600000};
    }
    if (is_dotted_time(row[column])) ++look.dotted;
    if (is_value && is_short_date(row[column])) ++look.short_dates;
    if (is_value && is_short_stamp(row[column])) ++look.short_stamps;
    if (!is_value) look_at_range(row[column], before, look);
    StampFields f;
    if ((is_value && row[column].size() < 8) || !parse_stamp(row[column], f)) continue;
    if (f.parts > 0 && f.has_time) {
      ++look.full;
      if (stamp.empty()) stamp = row[column];
      look.moves = look.moves || row[column] != stamp;
    }
    if (f.parts == 3 && !f.has_time) ++look.dates;
    // "00h05" may be how long something took.
    const bool spelled = row[column].find('h') != std::string::npos;
    if (f.parts == 0 && (!spelled || names_time(q.headers[column]))) ++look.times;
  }
  return look;
}

bool usable(const ClockQuestion& q, std::size_t column) {
  return !q.is_channel || !q.is_channel(column);
}

std::size_t digits_of_time(const ColumnLook& look) {
  if (look.hour_minute) return 4;
  return look.with_seconds ? 6 : 0;
}

std::string named(const ClockQuestion& q, std::size_t column) {
  return "\"" + q.headers[column] + "\"";
}

}  // namespace cw
