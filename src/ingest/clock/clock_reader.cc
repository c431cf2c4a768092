#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "base/zone.h"
#include "ingest/clock/clock_plan.h"
#include "ingest/clock/span_text.h"
#include "ingest/decimal.h"

namespace cw {
namespace {

constexpr std::int64_t day_ms = 86400000;
/// Days from 1899-12-30, the zero of spreadsheet dates from March 1900 on, to 1970-01-01.
constexpr double excel_epoch = 25569.0;

std::optional<RawStamp> excel_stamp(double days) {
  if (!(days > 1.0 && days < 200000.0)) return std::nullopt;
  return RawStamp{std::llround((days - excel_epoch) * static_cast<double>(day_ms)), 0, false};
}

bool number_of(std::string_view text, char decimal, double& value) {
  return read_dialect_number(text, Dialect{'\0', decimal, '\0'}, value);
}

/// The time of day [ms]: "06:05", 605 or 60530 (ClockPlan::time_digits), or hours with minutes and
/// seconds in further cells.
std::optional<std::int64_t> time_of_cells(std::span<const std::string> cells,
                                          const ClockPlan& plan) {
  if (cells.front().find(':') != std::string::npos) return read_duration_ms(cells.front());
  double parts[3] = {0.0, 0.0, 0.0};
  for (std::size_t i = 0; i < cells.size() && i < 3; ++i) {
    if (!number_of(cells[i], plan.decimal, parts[i])) return std::nullopt;
  }
  if (plan.time_digits > 0) {
    const double whole = parts[0];
    if (whole != std::floor(whole) || !(whole >= 0.0 && whole <= 240000.0)) return std::nullopt;
    const auto digits = static_cast<int>(whole);
    const int minutes = plan.time_digits == 4 ? digits : digits / 100;
    parts[0] = minutes / 100;
    parts[1] = minutes % 100;
    parts[2] = plan.time_digits == 4 ? 0 : digits % 100;
  }
  const bool within =
      parts[0] >= 0.0 && parts[1] >= 0.0 && parts[1] < 60.0 && parts[2] >= 0.0 && parts[2] <= 60.0;
  const double ms = (parts[0] * 60.0 + parts[1]) * 60e3 + parts[2] * 1e3;
  if (!within || ms > static_cast<double>(day_ms)) return std::nullopt;
  return std::llround(ms);
}

}  // namespace

std::string_view name_of(ClockForm form) noexcept {
  switch (form) {
    case ClockForm::stamps:
      return "stamps";
    case ClockForm::epoch:
      return "epoch";
    case ClockForm::excel_days:
      return "excel-days";
    case ClockForm::elapsed:
      return "elapsed";
    case ClockForm::parts:
      return "parts";
    case ClockForm::day_of_year:
      return "day-of-year";
    case ClockForm::rows:
      return "rows";
  }
  return "stamps";
}

std::optional<ClockForm> clock_form_named(std::string_view name) noexcept {
  for (const ClockForm form :
       {ClockForm::stamps, ClockForm::epoch, ClockForm::excel_days, ClockForm::elapsed,
        ClockForm::parts, ClockForm::day_of_year, ClockForm::rows}) {
    if (name == name_of(form)) return form;
  }
  return std::nullopt;
}

std::optional<std::int64_t> read_duration_ms(std::string_view text) {
  text = trim(text);
  const std::size_t colon = text.find(':');
  if (colon == std::string_view::npos || colon == 0 || colon > 6) return std::nullopt;
  const std::size_t second = text.find(':', colon + 1);
  const bool seconds = second != std::string_view::npos;
  double hours = 0.0;
  double minutes = 0.0;
  double rest = 0.0;
  const std::string_view middle = text.substr(colon + 1, second - colon - 1);
  if (middle.size() != 2 || !read_decimal(text.substr(0, colon), hours) ||
      !read_decimal(middle, minutes)) {
    return std::nullopt;
  }
  if (seconds && (text.size() < second + 3 || !read_decimal(text.substr(second + 1), rest))) {
    return std::nullopt;
  }
  const bool whole = hours >= 0.0 && hours == std::floor(hours) && minutes >= 0.0;
  if (!whole || minutes > 59.0 || !(rest >= 0.0 && rest < 60.0)) return std::nullopt;
  return std::llround((hours * 60.0 + minutes) * 60e3 + rest * 1e3);
}

std::string stamp_of_cells(const ClockPlan& plan, std::span<const std::string> cells) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    std::string_view cell = trim(cells[i]);
    if (plan.ranges) {
      if (const auto range = split_span(cell)) cell = range->begin;
    }
    if (!out.empty()) out += ' ';
    const bool digits =
        !cell.empty() && cell.find_first_not_of("0123456789") == std::string_view::npos;
    const std::size_t wanted = i == 1 ? plan.time_digits : i == 0 ? plan.date_digits : 0;
    if (digits && wanted <= 6 && cell.size() < wanted) out.append(wanted - cell.size(), '0');
    out += cell;
    // 2601140605; and a day without a time begins at midnight.
    if (digits && plan.date_digits == 10 && out.size() == 10) {
      out.push_back(' ');
      std::rotate(out.begin() + 6, out.end() - 1, out.end());
    }
    if (digits && plan.date_digits == 6 && cells.size() == 1) out.append(" 0000");
  }
  return out;
}

std::optional<RawStamp> StampReader::read(std::span<const std::string> cells) {
  if (cells.empty()) return std::nullopt;
  if (plan_.form == ClockForm::parts) return read_parts(cells);
  if (plan_.form == ClockForm::day_of_year) return read_day_of_year(cells);
  if (plan_.form == ClockForm::excel_days && cells.size() == 2) {
    double day = 0.0;
    double fraction = 0.0;
    if (!number_of(cells[0], plan_.decimal, day) || !number_of(cells[1], plan_.decimal, fraction) ||
        !(fraction >= 0.0 && fraction <= 1.0)) {
      return std::nullopt;
    }
    return excel_stamp(day + fraction);
  }
  if (plan_.form != ClockForm::stamps) return read_number(cells.front());
  if (cells.size() == 2 && trim(cells[0]).empty() && !trim(cells[1]).empty()) {
    return read_time_alone(cells[1]);
  }
  if (cells.size() == 1 && !plan_.ranges && plan_.date_digits == 0) {
    return read_stamp(cells.front());
  }
  return read_stamp(stamp_of_cells(plan_, cells));
}

std::optional<RawStamp> StampReader::read_date(const std::string& cell) {
  auto stamp = read_stamp(stamp_of_cells(plan_, {&cell, 1}));
  if (stamp && !stamp->has_offset) stamp->ms -= ((stamp->ms % day_ms) + day_ms) % day_ms;
  return stamp;
}

/// A time beside an empty cell of the date.
std::optional<RawStamp> StampReader::read_time_alone(std::string_view text) const {
  StampFields f;
  if (!parse_stamp(text, f) || f.parts != 0 || !f.has_time || f.has_offset || !f.zone.empty()) {
    return std::nullopt;
  }
  const auto of_day = wall_time(f, DateOrder::none, 1970, 0);
  if (!of_day) return std::nullopt;
  return RawStamp{of_day->ms, 0, false, false};
}

std::optional<RawStamp> StampReader::read_stamp(std::string_view text) {
  if (plan_.order == DateOrder::year_month_day && plan_.era == 0) {
    if (const auto iso = iso_.read(text)) {
      return RawStamp{iso->instant.ms, static_cast<std::int16_t>(iso->offset_minutes),
                      iso->has_offset};
    }
  }
  StampFields fields;
  if (!parse_stamp(text, fields)) return std::nullopt;
  // Letters that mean several offsets say no more than the zone that is stated.
  if (!fields.zone.empty() && !plan_.zone && !plan_.offset_minutes) return std::nullopt;
  if (plan_.era != 0 && fields.parts == 3) {
    fields.part[plan_.order == DateOrder::year_month_day ? 0 : 2] += plan_.era;
  }
  // Without a year, 29 February is kept until the resolver knows the year: 1972 was a leap year.
  const auto wall = wall_time(fields, plan_.order, 1972, 0);
  if (!wall) return std::nullopt;
  RawStamp out;
  out.has_offset = fields.has_offset;
  out.offset_minutes = static_cast<std::int16_t>(fields.offset_minutes);
  out.ms = wall->ms - fields.offset_minutes * std::int64_t{60000};
  return out;
}

std::optional<RawStamp> StampReader::read_parts(std::span<const std::string> cells) const {
  int values[6] = {1970, 1, 1, 0, 0, 0};
  double second = 0.0;
  for (std::size_t i = 0; i < cells.size() && i < 6; ++i) {
    double number = 0.0;
    if (!number_of(cells[i], plan_.decimal, number)) return std::nullopt;
    if (i == 5) {
      second = number;
    } else if (number != std::floor(number) || std::abs(number) > 9999) {
      return std::nullopt;
    } else {
      values[i] = static_cast<int>(number);
    }
  }
  CivilTime civil;
  civil.year = values[0] < 100 ? values[0] + (values[0] < 70 ? 2000 : 1900) : values[0];
  civil.month = values[1];
  civil.day = values[2];
  const auto midnight = instant_of(civil);
  if (!midnight || values[3] < 0 || values[3] > 24 || values[4] < 0 || values[4] > 60 ||
      !(second >= 0 && second <= 60)) {
    return std::nullopt;
  }
  // Hour 1..24 with minute 60 names the end of that hour; with minute 0 the hour is the time.
  const int hour = values[4] == 60 ? values[3] - 1 : values[3];
  return RawStamp{
      midnight->ms + (hour * 60 + values[4]) * std::int64_t{60000} + std::llround(second * 1e3), 0,
      false};
}

std::optional<RawStamp> StampReader::read_day_of_year(std::span<const std::string> cells) const {
  std::size_t at = 0;
  double year = plan_.year;
  double day = 0.0;
  if (plan_.says_year && !number_of(cells[at++], plan_.decimal, year)) return std::nullopt;
  if (year != std::floor(year) || at >= cells.size() || !(std::abs(year) < 10000.0)) {
    return std::nullopt;
  }
  CivilTime first;
  first.year = static_cast<int>(year);
  first.month = first.day = 1;
  const auto january = instant_of(first);
  ++first.year;
  const auto next = instant_of(first);
  if (!january || !next || !number_of(cells[at++], plan_.decimal, day)) return std::nullopt;
  const bool leap = (next->ms - january->ms) / day_ms == 366;
  if (!(day >= 1.0 && day < (leap || !plan_.says_year ? 367.0 : 366.0))) return std::nullopt;
  const bool timed = at < cells.size();
  if (timed && day != std::floor(day)) return std::nullopt;
  std::int64_t ms = std::llround((day - 1.0) * static_cast<double>(day_ms));
  if (timed) {
    const auto of_day = time_of_cells(cells.subspan(at), plan_);
    if (!of_day) return std::nullopt;
    ms += *of_day;
  }
  return RawStamp{january->ms + ms, 0, false};
}

std::optional<RawStamp> StampReader::read_number(std::string_view text) const {
  if (plan_.form == ClockForm::epoch) {
    const auto epoch = read_epoch(text);
    if (!epoch) return std::nullopt;
    return RawStamp{epoch->instant.ms, 0, true};
  }
  double number = 0.0;
  if (plan_.form == ClockForm::elapsed && text.find(':') != std::string_view::npos) {
    const auto ms = read_duration_ms(text);
    if (!ms) return std::nullopt;
    return RawStamp{plan_.start.ms + *ms, 0, false};
  }
  if (!number_of(text, plan_.decimal, number)) return std::nullopt;
  if (plan_.form == ClockForm::excel_days) {
    return excel_stamp(number);
  }
  if (!(std::abs(number * plan_.unit_ms) < 1e15)) return std::nullopt;
  return RawStamp{plan_.start.ms + std::llround(number * plan_.unit_ms), 0, false};
}

namespace {

/// The instant of a time of the day behind another that has its date; none where it is before it.
std::optional<std::int64_t> carried_on(std::int64_t last, std::int64_t of_day) {
  constexpr std::int64_t hour_ms = 3600000;  // what the end of summer time repeats
  const std::int64_t ms = last - ((last % day_ms) + day_ms) % day_ms + of_day;
  if (ms < last - day_ms / 2) return ms + day_ms;
  if (ms <= last - hour_ms) return std::nullopt;
  return ms;
}

}  // namespace

void take_date_above(const DateAbove& above, RawStamp& stamp) {
  if (stamp.has_date) return;
  const auto ms = above.ms ? carried_on(*above.ms, stamp.ms) : std::nullopt;
  stamp.has_date = ms.has_value();
  stamp.date_lost = !ms;
  stamp.ms = ms.value_or(stamp.ms);
}

void fill_dates(std::vector<RawStamp>& stamps) {
  DateAbove above;
  for (RawStamp& stamp : stamps) {
    if (!stamp.date_lost) take_date_above(above, stamp);
    // With an offset the wall clock's day is not that of UTC: then nothing is carried.
    const bool dated = stamp.has_date && !stamp.has_offset;
    above.ms = dated ? std::optional<std::int64_t>(stamp.ms) : std::nullopt;
  }
}

ClockResolver::ClockResolver(const ClockPlan& plan) : plan_(plan) {
  if (plan.zone) {
    clock_.kind = Clock::Kind::zone;
    clock_.zone = *plan.zone;
  } else if (plan.offset_minutes) {
    clock_.kind = Clock::Kind::offset;
    clock_.offset_minutes = *plan.offset_minutes;
  }
}

/// Days of a year that is not written: New Year is seen as a step back by more than half a year.
std::int64_t ClockResolver::year_carried(std::int64_t ms) {
  if (any_raw_ && last_raw_ - ms > 183 * day_ms) ++carry_;
  any_raw_ = true;
  last_raw_ = ms;
  CivilTime first;
  first.month = first.day = 1;
  first.year = plan_.year;
  const auto january = instant_of(first);
  first.year += static_cast<int>(carry_);
  const auto moved = instant_of(first);
  return january && moved ? ms - january->ms + moved->ms : ms;
}

/// Adds the days or years that the stamps do not write: midnight and New Year are seen as a step
/// back by more than half of the range.
std::int64_t ClockResolver::carried(std::int64_t ms) {
  if (plan_.form == ClockForm::day_of_year && !plan_.says_year) return year_carried(ms);
  const bool no_date = plan_.order == DateOrder::none;
  const bool no_year = plan_.order == DateOrder::day_month || plan_.order == DateOrder::month_day;
  if (plan_.form != ClockForm::stamps || (!no_date && !no_year)) return ms;
  if (no_date) {
    if (any_raw_ && last_raw_ - ms > day_ms / 2) carry_ += day_ms;
    any_raw_ = true;
    last_raw_ = ms;
    return ms + carry_ + plan_.day;
  }
  if (any_raw_ && last_raw_ - ms > 183 * day_ms) ++carry_;
  any_raw_ = true;
  last_raw_ = ms;
  CivilTime civil = civil_of({ms});
  civil.year = plan_.year + static_cast<int>(carry_);
  const auto moved = instant_of(civil);
  return moved ? moved->ms : ms;  // 29 February in a year without one keeps 1972 and is set aside
}

ClockResolver::Answer ClockResolver::resolve(const RawStamp& stamp) {
  if (!stamp.has_date) {
    return {std::nullopt, Counter::bad_time_stamp,
            "a time without a date, and none above it that could be its own"};
  }
  if (first_) {
    first_ = false;
    offsets_in_file_ = stamp.has_offset;
    // What the map says of the zone rules the display; offsets in the file rule the instants.
    if (stamp.has_offset && clock_.kind == Clock::Kind::unstated) {
      clock_.kind = Clock::Kind::offset;
      clock_.offset_minutes = stamp.offset_minutes;
    }
  }
  if (stamp.has_offset != offsets_in_file_) {
    return {std::nullopt, Counter::bad_time_stamp,
            offsets_in_file_ ? "no offset, but the stamps before have one"
                             : "an offset, but the stamps before have none"};
  }
  const Instant wall{carried(stamp.ms)};
  if (stamp.has_offset || clock_.kind == Clock::Kind::unstated) return {wall, {}, {}};
  if (clock_.kind == Clock::Kind::offset) {
    return {Instant{wall.ms - clock_.offset_minutes * std::int64_t{60000}}, {}, {}};
  }
  return from_zone(wall);
}

ClockResolver::Answer ClockResolver::from_zone(Instant wall) {
  constexpr std::int64_t quarter_ms = 900000;
  const auto taken = [&](Instant instant) {
    last_ = instant;
    any_ = true;
    return Answer{instant, {}, {}};
  };
  // Zones change at full quarter hours; within one wall-clock quarter the shift is constant unless
  // the quarter is repeated or skipped, and those are never cached.
  const std::int64_t quarter = wall.ms >= 0 ? wall.ms / quarter_ms : (wall.ms + 1) / quarter_ms - 1;
  if (cached_ && quarter == cached_quarter_) return taken({wall.ms + cached_shift_});
  const Result<ZoneTimes> times = instants_in_zone(clock_.zone, wall);
  if (!times || times->instants.empty()) {
    return {std::nullopt, Counter::nonexistent_local_time,
            "this hour does not exist in " + clock_.zone};
  }
  // In the repeated autumn hour the order of the rows tells the first pass from the second.
  Instant chosen = times->instants.front();
  if (times->instants.size() == 2) {
    ++repeated_;
    if (any_ && chosen <= last_) chosen = times->instants.back();
  } else {
    cached_ = true;
    cached_quarter_ = quarter;
    cached_shift_ = chosen.ms - wall.ms;
  }
  return taken(chosen);
}

}  // namespace cw
