#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/instant.h"

namespace cw {

/// The order in which a date writes its parts.
enum class DateOrder {
  year_month_day,
  day_month_year,
  month_day_year,
  day_month,  ///< no year
  month_day,  ///< no year
  none,       ///< no date
};

std::string_view name_of(DateOrder order) noexcept;  ///< "day-month-year"
std::optional<DateOrder> date_order_named(std::string_view name) noexcept;

/// The parts of a time stamp in the order in which the text has them, before anything is decided
/// about day and month.
struct StampFields {
  int part[3] = {-1, -1, -1};  ///< numbers of the date; a month's name counts as its number
  int digits[3] = {0, 0, 0};   ///< how many digits each was written with
  int parts = 0;               ///< 0: no date; 2: no year (or no day)
  int named_month = -1;        ///< index of the part that was a name; -1: none
  char separator = '\0';       ///< between the parts of the date
  bool has_time = false;
  int hour = 0, minute = 0, second = 0, millisecond = 0;
  bool twelve_hour = false;  ///< AM or PM stood behind the time; `hour` is of the day already
  bool has_offset = false;
  int offset_minutes = 0;
  std::string_view zone;       ///< letters behind the time that are no known offset ("CST")
  std::string_view zone_name;  ///< letters that were taken for an offset ("CET"); not UTC and GMT
};

/// Reads "2026-01-14T06:30:15.250Z", "14.01.2026 06:30", "1/14/26 6:30:00 PM", "14-Jan-2026 06:30",
/// "Wed Jan 14 06:30:00 2026", "Wed Jan 14 06:30:00 CET 2026", "20260114 0630", "260114 0630",
/// "14/Jan/2026:06:30:00 +0100", "06:30:15", "01-14 06:30". Month names in English, German, French,
/// Spanish, Italian, Dutch and Portuguese by their first letters. False when the text is no such
/// thing.
bool parse_stamp(std::string_view text, StampFields& fields) noexcept;

/// The orders of day, month and year that these fields allow, as a set of bits.
unsigned orders_of(const StampFields& fields) noexcept;
constexpr unsigned bit_of(DateOrder order) { return 1U << static_cast<unsigned>(order); }

/// The wall-clock time of the fields, offset not applied. Two-digit years are 1970..2069.
/// @param year  stands in where the text has none
/// @param day   midnight [ms] that stands in where the text has no date
/// Empty where no such time exists.
std::optional<Instant> wall_time(const StampFields& fields, DateOrder order, int year,
                                 std::int64_t day) noexcept;

}  // namespace cw
