#include "ingest/time_stamp.h"

#include <cmath>

#include "base/text.h"
#include "ingest/decimal.h"

namespace cw {
namespace {

/// Takes exactly `count` digits from the front of `text`.
bool take_digits(std::string_view& text, std::size_t count, int& value) noexcept {
  if (text.size() < count) return false;
  int out = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const char c = text[i];
    if (c < '0' || c > '9') return false;
    out = out * 10 + (c - '0');
  }
  text.remove_prefix(count);
  value = out;
  return true;
}

bool take(std::string_view& text, char c) noexcept {
  if (text.empty() || text.front() != c) return false;
  text.remove_prefix(1);
  return true;
}

/// ".250" or ",250": decimals of a second, cut to milliseconds.
bool take_fraction(std::string_view& text, int& millisecond) noexcept {
  if (text.empty() || (text.front() != '.' && text.front() != ',')) return true;
  text.remove_prefix(1);
  int scale = 100;
  bool any = false;
  while (!text.empty() && text.front() >= '0' && text.front() <= '9') {
    millisecond += scale * (text.front() - '0');
    scale /= 10;
    text.remove_prefix(1);
    any = true;
  }
  return any;
}

/// "", "Z", "+02", "+0200", "-05:30".
bool take_offset(std::string_view& text, StampReading& out) noexcept {
  while (take(text, ' ')) {
  }
  if (text.empty()) return true;
  if (take(text, 'Z') || take(text, 'z')) {
    out.has_offset = true;
    return text.empty();
  }
  if (equal_ignoring_case(text, "UTC") || equal_ignoring_case(text, "GMT")) {
    out.has_offset = true;
    return true;
  }
  const bool negative = text.front() == '-';
  if (!negative && text.front() != '+') return false;
  text.remove_prefix(1);
  int hours = 0;
  int minutes = 0;
  if (!take_digits(text, 2, hours)) return false;
  take(text, ':');
  if (!text.empty() && !take_digits(text, 2, minutes)) return false;
  if (hours > 14 || minutes > 59 || !text.empty()) return false;
  out.has_offset = true;
  out.offset_minutes = (hours * 60 + minutes) * (negative ? -1 : 1);
  return true;
}

/// The time of day behind the date, up to the offset, in milliseconds.
std::optional<std::int64_t> take_time(std::string_view& text) noexcept {
  if (text.empty()) return std::nullopt;  // a date alone is no time stamp of a recording
  if (!take(text, 'T') && !take(text, 't') && !take(text, ' ')) return std::nullopt;
  while (take(text, ' ')) {
  }
  CivilTime time;
  if (!take_digits(text, 2, time.hour)) return std::nullopt;
  const bool colons = take(text, ':');
  if (!take_digits(text, 2, time.minute)) return std::nullopt;
  const bool more = colons ? take(text, ':') : (!text.empty() && text[0] >= '0' && text[0] <= '9');
  if (more && !take_digits(text, 2, time.second)) return std::nullopt;
  if (more && !take_fraction(text, time.millisecond)) return std::nullopt;
  const auto of_day = instant_of(time);  // 1970-01-01 plus the time of day
  if (!of_day) return std::nullopt;
  return of_day->ms;
}

}  // namespace

std::optional<StampReading> IsoStampReader::read(std::string_view text) noexcept {
  text = trim(text);
  std::size_t day_size = 0;
  if (text.size() >= 10 && text[4] == '-' && text[7] == '-') {
    day_size = 10;
  } else if (text.size() >= 8 && text.find_first_not_of("0123456789") == 8) {
    day_size = 8;
  } else {
    return std::nullopt;
  }
  const std::string_view day = text.substr(0, day_size);
  if (day != last_day_) {
    std::string_view rest = day;
    CivilTime date;
    const bool hyphens = day_size == 10;
    if (!take_digits(rest, 4, date.year) || (hyphens && !take(rest, '-')) ||
        !take_digits(rest, 2, date.month) || (hyphens && !take(rest, '-')) ||
        !take_digits(rest, 2, date.day)) {
      return std::nullopt;
    }
    const auto midnight = instant_of(date);
    if (!midnight) return std::nullopt;
    last_day_ms_ = midnight->ms;
    last_day_ = day;
  }
  text.remove_prefix(day_size);
  const auto time_of_day = take_time(text);
  if (!time_of_day) return std::nullopt;
  StampReading out;
  if (!take_offset(text, out)) return std::nullopt;
  out.instant.ms = last_day_ms_ + *time_of_day - out.offset_minutes * std::int64_t{60000};
  return out;
}

std::optional<StampReading> read_epoch(std::string_view text) noexcept {
  double number = 0.0;
  // 1.76837E+09 has lost its last digits in a spreadsheet.
  if (text.find_first_of("eE") != std::string_view::npos) return std::nullopt;
  if (!read_decimal(trim(text), number)) return std::nullopt;
  // 1980 .. 2200 in seconds: a counter or a reading in a column called "time" is not an epoch.
  constexpr double earliest = 315532800.0;
  constexpr double latest = 7258118400.0;
  // Seconds, milliseconds, microseconds and nanoseconds of these years do not overlap.
  const double scale = number < 1e11 ? 1e3 : number < 1e14 ? 1.0 : number < 1e17 ? 1e-3 : 1e-6;
  const double ms = number * scale;
  if (!(ms >= earliest * 1e3 && ms <= latest * 1e3)) return std::nullopt;
  return StampReading{{static_cast<std::int64_t>(std::llround(ms))}, true, 0};
}

}  // namespace cw
