#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"

namespace cw {

/// A point in time: milliseconds since 1970-01-01 00:00, UTC where the recording says what its
/// clock is, otherwise in the recording's own clock. 64 bits hold 290 million years.
struct Instant {
  std::int64_t ms = 0;

  friend constexpr auto operator<=>(Instant, Instant) = default;
};

constexpr double seconds_between(Instant earlier, Instant later) {
  return static_cast<double>(later.ms - earlier.ms) * 1e-3;
}

/// A civil date and time of day; nothing of a zone.
struct CivilTime {
  int year = 1970, month = 1, day = 1;
  int hour = 0, minute = 0, second = 0, millisecond = 0;

  friend constexpr bool operator==(const CivilTime&, const CivilTime&) = default;
};

/// The civil time as if it were UTC (proleptic Gregorian calendar). Empty for a date or time of day
/// that does not exist: month 13, 30 February, 24:01. 24:00 is the next day's 00:00; a second 60
/// (leap second) counts as the next minute's 0.
std::optional<Instant> instant_of(const CivilTime& civil) noexcept;

/// The inverse of instant_of.
CivilTime civil_of(Instant instant) noexcept;

/// What a recording's time stamps mean.
struct Clock {
  enum class Kind {
    unstated,  ///< no offset and no zone in file or map: times are the logger's own wall clock
    offset,    ///< a fixed offset from UTC
    zone,      ///< an IANA zone with its clock changes
  };
  Kind kind = Kind::unstated;
  int offset_minutes = 0;  ///< for Kind::offset: local time minus UTC
  std::string zone;        ///< for Kind::zone: for example "America/Chicago"

  friend bool operator==(const Clock&, const Clock&) = default;
};

/// "2026-01-14 06:30" as the recording's clock shows it; seconds are added when they are not zero.
std::string format_instant(Instant instant, const Clock& clock);

/// "2026-01-14T06:30:00-05:00": ISO 8601; without offset for a clock that is not stated.
std::string iso_text(Instant instant, const Clock& clock);

/// "4 h 05 min", "12 min", "45 s".
std::string format_duration(double seconds);

}  // namespace cw
