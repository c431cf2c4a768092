#pragma once

#include <optional>
#include <string_view>

namespace cw {

/// The two ends of a span of time in one text.
struct SpanText {
  std::string_view begin;  ///< "2026-01-14 06:00"
  std::string_view end;    ///< "06:05", or with a date
};

/// Splits "06:00-06:05", "14.01.2026 06:00 – 06:15", "2026-01-14T06:00/2026-01-14T06:05", "6:00 AM
/// to 6:05 AM". Empty where the text is no such thing. "06:00-05:00" may be a time with its offset
/// from UTC: the rows around it must show which.
std::optional<SpanText> split_span(std::string_view text);

}  // namespace cw
