#include "base/instant.h"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "base/zone.h"

namespace cw {
namespace {

int offset_minutes_at(Instant instant, const Clock& clock) {
  switch (clock.kind) {
    case Clock::Kind::unstated:
      return 0;
    case Clock::Kind::offset:
      return clock.offset_minutes;
    case Clock::Kind::zone:
      return zone_offset_minutes(clock.zone, instant).value_or(0);
  }
  return 0;
}

Instant shifted(Instant instant, int minutes) {
  return {instant.ms + minutes * std::int64_t{60000}};
}

}  // namespace

std::optional<Instant> instant_of(const CivilTime& civil) noexcept {
  using namespace std::chrono;
  if (civil.year < -9999 || civil.year > 9999) return std::nullopt;
  const year_month_day date{year{civil.year}, month{static_cast<unsigned>(civil.month)},
                            day{static_cast<unsigned>(civil.day)}};
  if (civil.month < 1 || civil.day < 1 || !date.ok()) return std::nullopt;
  const bool end_of_day =
      civil.hour == 24 && civil.minute == 0 && civil.second == 0 && civil.millisecond == 0;
  const bool in_range = civil.hour >= 0 && civil.hour < 24 && civil.minute >= 0 &&
                        civil.minute < 60 && civil.second >= 0 && civil.second <= 60 &&
                        civil.millisecond >= 0 && civil.millisecond < 1000;
  if (!end_of_day && !in_range) return std::nullopt;
  const std::int64_t days = sys_days{date}.time_since_epoch().count();
  const std::int64_t seconds = days * 86400 + civil.hour * 3600 + civil.minute * 60 + civil.second;
  return Instant{seconds * 1000 + civil.millisecond};
}

CivilTime civil_of(Instant instant) noexcept {
  using namespace std::chrono;
  const sys_time<milliseconds> time{milliseconds{instant.ms}};
  const sys_days midnight = floor<days>(time);
  const year_month_day date{midnight};
  const hh_mm_ss<milliseconds> clock{time - midnight};
  return {static_cast<int>(date.year()),
          static_cast<int>(static_cast<unsigned>(date.month())),
          static_cast<int>(static_cast<unsigned>(date.day())),
          static_cast<int>(clock.hours().count()),
          static_cast<int>(clock.minutes().count()),
          static_cast<int>(clock.seconds().count()),
          static_cast<int>(clock.subseconds().count())};
}

std::string format_instant(Instant instant, const Clock& clock) {
  const CivilTime c = civil_of(shifted(instant, offset_minutes_at(instant, clock)));
  char buffer[80];
  if (c.second == 0) {
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d %02d:%02d", c.year, c.month, c.day, c.hour,
                  c.minute);
  } else {
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d %02d:%02d:%02d", c.year, c.month, c.day,
                  c.hour, c.minute, c.second);
  }
  return buffer;
}

std::string iso_text(Instant instant, const Clock& clock) {
  const int offset = offset_minutes_at(instant, clock);
  const CivilTime c = civil_of(shifted(instant, offset));
  char buffer[96];
  int used = std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02dT%02d:%02d:%02d", c.year, c.month,
                           c.day, c.hour, c.minute, c.second);
  std::string out(buffer, static_cast<std::size_t>(used));
  if (c.millisecond != 0) {
    std::snprintf(buffer, sizeof buffer, ".%03d", c.millisecond);
    out += buffer;
  }
  if (clock.kind != Clock::Kind::unstated) {
    std::snprintf(buffer, sizeof buffer, "%c%02d:%02d", offset < 0 ? '-' : '+',
                  std::abs(offset) / 60, std::abs(offset) % 60);
    out += buffer;
  }
  return out;
}

std::string format_duration(double seconds) {
  const auto total = static_cast<long long>(std::llround(seconds));
  char buffer[64];
  if (total < 60) {
    std::snprintf(buffer, sizeof buffer, "%lld s", total);
  } else if (total < 3600) {
    if (total % 60 == 0) {
      std::snprintf(buffer, sizeof buffer, "%lld min", total / 60);
    } else {
      std::snprintf(buffer, sizeof buffer, "%lld min %02lld s", total / 60, total % 60);
    }
  } else if (total < 3 * 86400) {
    std::snprintf(buffer, sizeof buffer, "%lld h %02lld min", total / 3600, total % 3600 / 60);
  } else {
    std::snprintf(buffer, sizeof buffer, "%lld d %02lld h", total / 86400, total % 86400 / 3600);
  }
  return buffer;
}

}  // namespace cw
