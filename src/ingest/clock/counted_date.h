#pragma once

#include <optional>
#include <string_view>

#include "base/instant.h"

namespace cw {

/// Takes a date of ISO 8601 that counts weeks (2026-W03-3) or days of the year (2026-014) from the
/// front of `text`. Empty, with nothing taken, where none stands there.
inline std::optional<CivilTime> read_counted_date(std::string_view& text) {
  const auto number = [&](std::size_t at, std::size_t count) {
    int out = 0;
    for (std::size_t i = at; i < at + count; ++i) {
      if (i >= text.size() || text[i] < '0' || text[i] > '9') return -1;
      out = out * 10 + (text[i] - '0');
    }
    return out;
  };
  const auto sign = [&](std::size_t at) { return at < text.size() ? text[at] : '\0'; };
  const int year = number(0, 4);
  if (year < 1 || sign(4) != '-') return std::nullopt;
  const auto january = instant_of(CivilTime{year, 1, 1, 0, 0, 0, 0});
  if (!january) return std::nullopt;
  constexpr std::int64_t day_ms = 86400000;
  const std::int64_t first = january->ms / day_ms;
  std::int64_t day = 0;
  std::size_t length = 8;
  if (sign(5) == 'W' || sign(5) == 'w') {
    const int week = number(6, 2);
    const int weekday = number(9, 1);
    if (week < 1 || week > 53 || sign(8) != '-' || weekday < 1 || weekday > 7) return std::nullopt;
    // The week of the fourth of January is the first; 1970-01-01 was a Thursday.
    const std::int64_t fourth = first + 3;
    day = fourth - ((fourth + 3) % 7 + 7) % 7 + 7 * (week - 1) + weekday - 1;
    length = 10;
  } else {
    const int of_year = number(5, 3);
    if (of_year < 1 || of_year > 366) return std::nullopt;
    day = first + of_year - 1;
  }
  if (sign(length) >= '0' && sign(length) <= '9') return std::nullopt;
  text.remove_prefix(length);
  return civil_of({day * day_ms});
}

}  // namespace cw
