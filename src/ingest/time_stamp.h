#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/instant.h"

namespace cw {

/// One time stamp as read: the wall-clock or UTC instant and what the text said of its offset.
struct StampReading {
  Instant instant;  ///< UTC where `has_offset`, else the wall clock as if it were UTC
  bool has_offset = false;
  int offset_minutes = 0;
};

/// Reads "2026-01-14 06:30", "2026-01-14T06:30:15.250Z", "2026-01-14T06:30-05:00", "20260114T0630".
/// Remembers the last day, so that a column of stamps costs a few nanoseconds each.
/// Not thread-safe: one reader per column.
class IsoStampReader {
 public:
  std::optional<StampReading> read(std::string_view text) noexcept;

 private:
  std::string last_day_;
  std::int64_t last_day_ms_ = 0;
};

/// Reads epoch seconds ("1768372200", with decimals) or milliseconds (13 digits). The unit is told
/// apart by size: a number from 1e11 on is milliseconds (1e11 s would be the year 5138).
std::optional<StampReading> read_epoch(std::string_view text) noexcept;

}  // namespace cw
