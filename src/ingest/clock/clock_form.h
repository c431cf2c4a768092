#pragma once

#include <optional>
#include <string_view>

#include "ingest/clock/stamp_text.h"

namespace cw {

/// What the numbers or texts of a clock column are.
enum class ClockForm {
  stamps,       ///< texts with a date, a time or both
  epoch,        ///< seconds or milliseconds since 1970-01-01 00:00 UTC
  excel_days,   ///< days since 1899-12-30, with decimals
  elapsed,      ///< seconds, minutes, hours or days since the start
  parts,        ///< year, month, day, hour, minute, second in columns of their own
  day_of_year,  ///< (year,) day of the year and time of day in columns of their own
  rows,         ///< no column: each row is one interval
};

std::string_view name_of(ClockForm form) noexcept;
std::optional<ClockForm> clock_form_named(std::string_view name) noexcept;

}  // namespace cw
