#include "ingest/clock/stamp_text.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "ingest/clock/calendar_words.h"
#include "ingest/clock/counted_date.h"

namespace cw {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
}

bool take(std::string_view& text, char c) {
  if (text.empty() || text.front() != c) return false;
  text.remove_prefix(1);
  return true;
}

/// Blanks that do not break, too: "6:00 AM" of a web page has a narrow one before its last word.
void skip_blanks(std::string_view& text) {
  text = trim(text);
  for (const std::string_view blank : {"\xE2\x80\xAF", "\xC2\xA0"}) {
    while (text.starts_with(blank)) text = trim(text.substr(blank.size()));
  }
}

/// Takes 1 to `most` digits.
bool take_number(std::string_view& text, std::size_t most, int& value, int& digits) {
  std::size_t n = 0;
  int out = 0;
  while (n < text.size() && n < most && is_digit(text[n])) out = out * 10 + (text[n++] - '0');
  if (n == 0 || (n < text.size() && is_digit(text[n]))) return false;
  text.remove_prefix(n);
  value = out;
  digits = static_cast<int>(n);
  return true;
}

std::string_view take_letters(std::string_view& text) {
  std::size_t n = 0;
  while (n < text.size() && is_letter(text[n])) ++n;
  const std::string_view word = text.substr(0, n);
  text.remove_prefix(n);
  return word;
}

/// Twelve digits whose first four are no year: two each for the date's parts and the time's,
/// 260114063015. Which part is which the rows must show.
bool take_short_compact(std::string_view& text, StampFields& f) {
  int pair[6];
  for (std::size_t i = 0; i < 6; ++i) {
    pair[i] = (text[2 * i] - '0') * 10 + (text[2 * i + 1] - '0');
  }
  const int year = pair[0] * 100 + pair[1];
  if (year >= 1900 && year <= 2199 && pair[2] >= 1 && pair[2] <= 12) return false;
  if (pair[3] > 23 || pair[4] > 59 || pair[5] > 59) return false;
  for (std::size_t i = 0; i < 3; ++i) {
    f.part[i] = pair[i];
    f.digits[i] = 2;
  }
  f.parts = 3;
  f.separator = '0';
  f.has_time = true;
  f.hour = pair[3];
  f.minute = pair[4];
  f.second = pair[5];
  text.remove_prefix(12);
  return true;
}

/// Six digits in front of a time, 260114 0605: two each for the date's parts. Alone they are a
/// number.
bool take_short_date(std::string_view& text, StampFields& f) {
  const std::string_view rest = text.substr(6);
  if (rest.size() < 5 || (rest[0] != ' ' && rest[0] != 'T' && rest[0] != '_')) return false;
  const std::string_view time = rest.substr(1);
  const std::size_t run = std::min(time.find_first_not_of("0123456789"), time.size());
  const bool colon = run > 0 && run <= 2 && run < time.size() && time[run] == ':';
  if (!colon && run != 4 && run != 6) return false;
  for (std::size_t i = 0; i < 3; ++i) {
    f.part[i] = (text[2 * i] - '0') * 10 + (text[2 * i + 1] - '0');
    f.digits[i] = 2;
  }
  f.parts = 3;
  f.separator = '0';
  if (orders_of(f) == 0) {
    f = StampFields{};
    return false;
  }
  text.remove_prefix(6);
  return true;
}

/// A date or date and time in one run of digits: 20260114, 202601140630, 20260114063015.
bool take_compact(std::string_view& text, StampFields& f) {
  std::size_t n = 0;
  while (n < text.size() && is_digit(text[n])) ++n;
  if (n == 6) return take_short_date(text, f);
  if (n != 8 && n != 12 && n != 14) return false;
  if (n == 12 && take_short_compact(text, f)) return true;
  const auto number = [&](std::size_t at, std::size_t count) {
    int out = 0;
    for (std::size_t i = 0; i < count; ++i) out = out * 10 + (text[at + i] - '0');
    return out;
  };
  if (number(0, 4) < 1900 || number(0, 4) > 2199) return false;
  f.part[0] = number(0, 4);
  f.part[1] = number(4, 2);
  f.part[2] = number(6, 2);
  f.digits[0] = 4;
  f.digits[1] = f.digits[2] = 2;
  f.parts = 3;
  f.separator = '0';
  if (n > 8) {
    f.has_time = true;
    f.hour = number(8, 2);
    f.minute = number(10, 2);
    if (n == 14) f.second = number(12, 2);
  }
  text.remove_prefix(n);
  return true;
}

bool take_counted_date(std::string_view& text, StampFields& f) {
  const std::optional<CivilTime> date = read_counted_date(text);
  if (!date) return false;
  f.part[0] = date->year;
  f.part[1] = date->month;
  f.part[2] = date->day;
  f.digits[0] = 4;
  f.digits[1] = f.digits[2] = 2;
  f.parts = 3;
  f.separator = '-';
  return true;
}

/// The sign between two parts of a date; Japanese and Chinese dates have a character there.
bool take_separator(std::string_view& text, char& separator) {
  for (const char* mark : {"\xE5\xB9\xB4", "\xE6\x9C\x88"}) {  // year, month
    if (text.starts_with(mark)) {
      text.remove_prefix(3);
      separator = 'y';
      return true;
    }
  }
  constexpr std::string_view signs = "-/. ,";
  if (text.empty() || signs.find(text.front()) == std::string_view::npos) return false;
  if (separator == '\0' || separator == ' ' || text.front() == separator) {
    separator = text.front();
  } else if (text.front() != ' ' && text.front() != ',') {
    return false;
  }
  text.remove_prefix(1);
  text = trim(text);
  return true;
}

/// One part of a date: up to four digits or a month's name.
bool take_part(std::string_view& text, StampFields& f) {
  const int at = f.parts;
  if (!text.empty() && is_letter(text.front())) {
    std::string_view ahead = text;
    const std::string_view word = take_letters(ahead);
    const int named = month_named(word);
    const int month = named == 0 && at == 1 ? roman_month(word, ahead) : named;
    if (month == 0 || f.named_month >= 0) return false;
    // "14 Jan. 2026"; in "14.Jan.2026" it separates.
    if (ahead.size() < 2 || !is_digit(ahead[1])) take(ahead, '.');
    f.named_month = at;
    f.part[at] = month;
    text = ahead;
  } else if (!take_number(text, 4, f.part[at], f.digits[at])) {
    return false;
  }
  ++f.parts;
  return true;
}

bool take_date(std::string_view& text, StampFields& f) {
  if (take_compact(text, f) || take_counted_date(text, f)) return true;
  std::string_view ahead = text;
  // A weekday's name in front says nothing that the date does not.
  if (!ahead.empty() && is_letter(ahead.front())) {
    std::string_view word = ahead;
    const std::string_view day = take_letters(word);
    if (is_weekday(day) && month_named(day) == 0) {
      take(word, '.');
      take(word, ',');
      ahead = trim(word);
    } else if (is_weekday(day)) {  // "mar", "maa": a weekday in front of another word or number
      std::string_view rest = word;
      take(rest, '.');
      take(rest, ',');
      rest = trim(rest);
      std::string_view letters = rest;
      if (month_named(take_letters(letters)) != 0) ahead = rest;
    }
  }
  if (!take_part(ahead, f)) return false;
  char separator = '\0';
  std::string_view kept = ahead;
  if (!take_separator(ahead, separator) || !take_part(ahead, f)) {
    f = StampFields{};
    return false;
  }
  f.separator = separator;
  kept = ahead;
  // A third part, unless what follows is the time ("01-14 06:30").
  char third = separator;
  if (take_separator(ahead, third)) {
    std::string_view peek = ahead;
    int value = 0;
    int digits = 0;
    const bool number = take_number(peek, 4, value, digits);
    const bool time_follows = number && !peek.empty() && peek.front() == ':';
    if (number && (!time_follows || (digits == 4 && separator != '-'))) {
      if (!take_part(ahead, f)) return false;
      kept = ahead;
    }
  }
  if (kept.starts_with("\xE6\x97\xA5")) kept.remove_prefix(3);  // day
  // "14.01." in German: a full stop behind the last number.
  if (f.parts == 2 && separator == '.') take(kept, '.');
  text = kept;
  return f.parts == 3 || f.separator != ' ' || f.named_month >= 0;
}

void take_fraction(std::string_view& text, int& millisecond) {
  if (text.size() < 2 || (text[0] != '.' && text[0] != ',') || !is_digit(text[1])) return;
  text.remove_prefix(1);
  int scale = 100;
  while (!text.empty() && is_digit(text.front())) {
    millisecond += scale * (text.front() - '0');
    scale /= 10;
    text.remove_prefix(1);
  }
}

/// "06:30:15:250": thousandths behind a third colon.
void take_thousandths(std::string_view& text, int& millisecond) {
  const bool there = text.size() >= 4 && text[0] == ':' && is_digit(text[1]) && is_digit(text[2]) &&
                     is_digit(text[3]) && (text.size() == 4 || !is_digit(text[4]));
  if (!there) return;
  millisecond = (text[1] - '0') * 100 + (text[2] - '0') * 10 + (text[3] - '0');
  text.remove_prefix(4);
}

bool take_half_day(std::string_view& text, StampFields& f) {
  const std::optional<HalfDay> half = half_day_behind(text);
  if (!half || (text.size() > half->size && is_letter(text[half->size]))) return true;
  if (f.hour < 1 || f.hour > 12) return false;
  f.twelve_hour = true;
  f.hour = f.hour % 12 + (half->second ? 12 : 0);
  text.remove_prefix(half->size);
  return true;
}

/// The half of the day in front of the time, as in Japanese, Chinese and Korean; 0 where none is.
char take_leading_half_day(std::string_view& text) {
  const std::optional<HalfDay> half = half_day_in_front(text);
  if (!half) return '\0';
  text.remove_prefix(half->size);
  skip_blanks(text);
  return half->second ? 'p' : 'a';
}

/// "6時05分30秒": hours, minutes and seconds, each followed by its character.
bool take_spelled_time(std::string_view& text, StampFields& f) {
  constexpr std::array marks = {"\xE6\x99\x82", "\xE5\x88\x86", "\xE7\xA7\x92"};
  std::string_view ahead = text;
  const std::array<int*, 3> parts = {&f.hour, &f.minute, &f.second};
  std::size_t taken = 0;
  for (; taken < parts.size(); ++taken) {
    std::string_view next = ahead;
    int value = 0;
    int digits = 0;
    if (!take_number(next, 2, value, digits) || !next.starts_with(marks[taken])) break;
    next.remove_prefix(std::string_view(marks[taken]).size());
    *parts[taken] = value;
    ahead = next;
  }
  if (taken == 0) return false;
  text = ahead;
  return true;
}

bool take_time(std::string_view& text, StampFields& f, bool behind_date) {
  int digits = 0;
  std::string_view ahead = text;
  int run = 0;
  while (static_cast<std::size_t>(run) < ahead.size() &&
         is_digit(ahead[static_cast<std::size_t>(run)])) {
    ++run;
  }
  if ((run == 4 || run == 6) && behind_date) {  // 0630, 063015
    f.hour = (ahead[0] - '0') * 10 + (ahead[1] - '0');
    f.minute = (ahead[2] - '0') * 10 + (ahead[3] - '0');
    if (run == 6) f.second = (ahead[4] - '0') * 10 + (ahead[5] - '0');
    ahead.remove_prefix(static_cast<std::size_t>(run));
  } else {
    if (!take_number(ahead, 2, f.hour, digits) || ahead.empty()) return false;
    const char sign = ahead.front();
    // "08.00 Uhr" and "08h00" are times of day also where no date stands in front.
    const bool said = text.size() > 4 && equal_ignoring_case(text.substr(text.size() - 3), "uhr");
    const bool clock_sign = sign == ':' || sign == 'h' || (sign == '.' && (behind_date || said));
    if (!clock_sign) {
      skip_blanks(ahead);
      // "6 PM"
      const bool half_day = behind_date && !ahead.empty() && is_letter(ahead.front());
      if (!half_day || !take_half_day(ahead, f) || !f.twelve_hour) return false;
      f.has_time = true;
      text = ahead;
      return true;
    }
    ahead.remove_prefix(1);
    if (!take_number(ahead, 2, f.minute, digits)) return false;
    // "8:5:0" is a time, "8:5" may be a proportion.
    const bool seconds = sign == ':' && !ahead.empty() && ahead.front() == ':';
    if (digits != 2 && !(behind_date && seconds)) return false;
    if (!ahead.empty() && ahead.front() == sign && sign != 'h') {
      ahead.remove_prefix(1);
      if (!take_number(ahead, 2, f.second, digits)) return false;
      take_thousandths(ahead, f.millisecond);
    }
  }
  take_fraction(ahead, f.millisecond);
  skip_blanks(ahead);
  if (!take_half_day(ahead, f)) return false;
  f.has_time = true;
  text = ahead;
  return true;
}

struct Abbreviation {
  const char* name;
  int minutes;
};
/// Well-known abbreviations with the offset that nearly all who write them mean (IANA tz database,
/// theory.html); that it was taken so is said. Those with several usual meanings, such as CST, IST
/// and BST, are left out on purpose.
constexpr std::array abbreviations = {
    Abbreviation{"UTC", 0},    Abbreviation{"GMT", 0},    Abbreviation{"CET", 60},
    Abbreviation{"CEST", 120}, Abbreviation{"MEZ", 60},   Abbreviation{"MESZ", 120},
    Abbreviation{"WET", 0},    Abbreviation{"WEST", 60},  Abbreviation{"EET", 120},
    Abbreviation{"EEST", 180}, Abbreviation{"EST", -300}, Abbreviation{"EDT", -240},
    Abbreviation{"CDT", -300}, Abbreviation{"MST", -420}, Abbreviation{"MDT", -360},
    Abbreviation{"PST", -480}, Abbreviation{"PDT", -420}, Abbreviation{"JST", 540},
    Abbreviation{"AEST", 600}, Abbreviation{"AEDT", 660}, Abbreviation{"NZST", 720},
    Abbreviation{"NZDT", 780}};

/// "+02", "+0200", "-05:30", "+1".
bool take_signed_offset(std::string_view& text, StampFields& f) {
  if (text.empty() || (text.front() != '+' && text.front() != '-')) return false;
  const bool negative = text.front() == '-';
  std::string_view ahead = text.substr(1);
  std::size_t n = 0;
  while (n < ahead.size() && is_digit(ahead[n])) ++n;
  if (n == 0 || n > 4 || n == 3) return false;
  int hours = ahead[0] - '0';
  int minutes = 0;
  if (n >= 2) hours = hours * 10 + (ahead[1] - '0');
  if (n == 4) minutes = (ahead[2] - '0') * 10 + (ahead[3] - '0');
  ahead.remove_prefix(n);
  if (n <= 2 && take(ahead, ':')) {
    int digits = 0;
    if (!take_number(ahead, 2, minutes, digits) || digits != 2) return false;
  }
  if (hours > 14 || minutes > 59) return false;
  f.has_offset = true;
  f.offset_minutes = (hours * 60 + minutes) * (negative ? -1 : 1);
  text = ahead;
  return true;
}

bool take_zone(std::string_view& text, StampFields& f) {
  skip_blanks(text);
  if (text.empty()) return true;
  take(text, '(');
  if (take_signed_offset(text, f)) {
    // A zone's name behind the offset says no more ("-06:00 Chicago", "+01:00[Europe/Oslo]").
    return text.empty() || text.front() == ' ' || text.front() == '[' || text.front() == ')';
  }
  if ((text.front() == 'Z' || text.front() == 'z') && (text.size() == 1 || !is_letter(text[1]))) {
    f.has_offset = true;
    text.remove_prefix(1);
    return text.empty() || text.front() == ' ' || text.front() == '[' || text.front() == ')';
  }
  const std::string_view word = take_letters(text);
  if (word.empty()) return false;
  if (equal_ignoring_case(word, "uhr")) return trim(text).empty();  // German: o'clock
  for (const Abbreviation& row : abbreviations) {
    if (!equal_ignoring_case(word, row.name)) continue;
    f.has_offset = true;
    f.offset_minutes = row.minutes;
    if (row.name != std::string_view("UTC") && row.name != std::string_view("GMT")) {
      f.zone_name = word;
    }
    if (row.minutes == 0) {
      skip_blanks(text);
      take_signed_offset(text, f);  // "GMT-06:00"
      skip_blanks(text);
      // "GMT+0100 (Central European Standard Time)"
      if (text.size() > 2 && text.front() == '(' && text.back() == ')') return true;
    }
    take(text, ')');
    return trim(text).empty();
  }
  f.zone = word;
  take(text, ')');
  const bool plain = std::all_of(word.begin(), word.end(),
                                 [](char c) { return static_cast<unsigned char>(c) < 0x80; });
  return plain && word.size() >= 3 && word.size() <= 5 && trim(text).empty();
}

/// "Wed Jan 14 06:30:00 2026", "Wed Jan 14 06:30:00 CET 2026": the year behind the time. Takes it
/// away and leaves the zone.
bool take_year_behind(std::string_view& text, StampFields& f) {
  const std::size_t blank = text.rfind(' ');
  const std::string_view last = blank == std::string_view::npos ? text : text.substr(blank + 1);
  int year = 0;
  int digits = 0;
  std::string_view number = last;
  if (!last.empty() && is_digit(text.front())) {  // and perhaps a zone behind it
    if (!take_number(text, 4, year, digits) || digits != 4) return false;
  } else if (take_number(number, 4, year, digits) && digits == 4 && number.empty()) {
    text = trim(text.substr(0, blank));
  } else {
    return true;
  }
  f.part[2] = year;
  f.digits[2] = 4;
  f.parts = 3;
  return true;
}

int full_year(int year, int digits) {
  if (digits > 2) return year;
  return year < 70 ? 2000 + year : 1900 + year;
}

bool is_month(int value) { return value >= 1 && value <= 12; }
bool is_day(int value) { return value >= 1 && value <= 31; }

}  // namespace

std::string_view name_of(DateOrder order) noexcept {
  switch (order) {
    case DateOrder::year_month_day:
      return "year-month-day";
    case DateOrder::day_month_year:
      return "day-month-year";
    case DateOrder::month_day_year:
      return "month-day-year";
    case DateOrder::day_month:
      return "day-month";
    case DateOrder::month_day:
      return "month-day";
    case DateOrder::none:
      return "none";
  }
  return "none";
}

std::optional<DateOrder> date_order_named(std::string_view name) noexcept {
  for (unsigned i = 0; i <= static_cast<unsigned>(DateOrder::none); ++i) {
    const auto order = static_cast<DateOrder>(i);
    if (name == name_of(order)) return order;
  }
  return std::nullopt;
}

bool parse_stamp(std::string_view text, StampFields& f) noexcept {
  f = StampFields{};
  text = trim(text);
  if (text.size() < 4 || text.size() > 100) return false;
  std::string_view rest = text;
  StampFields time_only;
  if (is_digit(rest.front()) && take_time(rest, time_only, false)) {
    f = time_only;
    return take_zone(rest, f);
  }
  rest = text;
  if (!take_date(rest, f)) return false;
  if (f.has_time) return take_zone(rest, f);  // 14 digits
  // "23.45" is a number, not the 23rd of a month.
  if (rest.empty()) return f.parts == 3 || f.named_month >= 0;
  const bool spelled = f.separator == 'y' && is_digit(rest.front());
  const std::string_view unbroken = rest;
  skip_blanks(rest);
  if (rest.empty()) return f.parts == 3;
  if (rest.size() == unbroken.size() || unbroken.front() == ' ') rest = unbroken;
  const bool no_break = rest.size() < unbroken.size();
  const bool marked = no_break || rest.front() == 'T' || rest.front() == 't' ||
                      rest.front() == ' ' || rest.front() == ',' || rest.front() == ':' ||
                      rest.front() == '_' || rest.front() == '-' || rest.front() == ';';
  if (!marked && !spelled) return false;
  if (!spelled && !no_break) rest.remove_prefix(1);
  skip_blanks(rest);
  if (rest.empty()) return f.parts == 3;
  const char half = take_leading_half_day(rest);
  if (!spelled && half == '\0' && take_time(rest, f, true)) {
    // the usual form
  } else if (take_spelled_time(rest, f) || (half != '\0' && take_time(rest, f, false))) {
    f.has_time = true;
    if (half != '\0') {
      if (f.hour > 12) return false;  // 午後 0:30 is half past noon
      f.twelve_hour = true;
      f.hour = f.hour % 12 + (half == 'p' ? 12 : 0);
    }
  } else {
    return false;
  }
  skip_blanks(rest);
  if (f.parts == 2 && rest.size() >= 4 && !take_year_behind(rest, f)) return false;
  return take_zone(rest, f);
}

unsigned orders_of(const StampFields& f) noexcept {
  if (f.parts == 0) return bit_of(DateOrder::none);
  const int a = f.part[0];
  const int b = f.part[1];
  const int c = f.part[2];
  unsigned out = 0;
  const auto allow = [&](DateOrder order) { out |= bit_of(order); };
  if (f.parts == 2) {
    if (f.digits[0] > 2 || f.digits[1] > 2) return 0;  // a month of a year is no time stamp
    if (f.named_month != 0 && is_day(a) && is_month(b)) allow(DateOrder::day_month);
    if (f.named_month != 1 && is_month(a) && is_day(b)) allow(DateOrder::month_day);
    return out;
  }
  if (f.named_month <= 1) {
    if (f.digits[0] == 4 || (f.digits[0] == 2 && f.digits[2] <= 2 && f.separator != '.')) {
      if (f.named_month != 0 && is_month(b) && is_day(c)) allow(DateOrder::year_month_day);
    }
    if (f.digits[0] <= 2 && (f.digits[2] == 4 || f.digits[2] == 2)) {
      if (f.named_month != 0 && is_day(a) && is_month(b)) allow(DateOrder::day_month_year);
      if (f.named_month != 1 && is_month(a) && is_day(b)) allow(DateOrder::month_day_year);
    }
  }
  return out;
}

std::optional<Instant> wall_time(const StampFields& f, DateOrder order, int year,
                                 std::int64_t day) noexcept {
  CivilTime civil;
  civil.hour = f.hour;
  civil.minute = f.minute;
  civil.second = f.second;
  civil.millisecond = f.millisecond;
  if ((order == DateOrder::none) != (f.parts == 0)) return std::nullopt;
  const bool yearless = order == DateOrder::day_month || order == DateOrder::month_day;
  if (order != DateOrder::none && f.parts != (yearless ? 2 : 3)) return std::nullopt;
  switch (order) {
    case DateOrder::year_month_day:
      civil.year = full_year(f.part[0], f.digits[0]);
      civil.month = f.part[1];
      civil.day = f.part[2];
      break;
    case DateOrder::day_month_year:
    case DateOrder::month_day_year:
      if (f.digits[2] == 0 || f.digits[0] > 2) return std::nullopt;
      civil.year = full_year(f.part[2], f.digits[2]);
      civil.day = f.part[order == DateOrder::day_month_year ? 0 : 1];
      civil.month = f.part[order == DateOrder::day_month_year ? 1 : 0];
      break;
    case DateOrder::day_month:
    case DateOrder::month_day:
      civil.year = year;
      civil.day = f.part[order == DateOrder::day_month ? 0 : 1];
      civil.month = f.part[order == DateOrder::day_month ? 1 : 0];
      break;
    case DateOrder::none:
      if (const auto of_day = instant_of(civil)) return Instant{of_day->ms + day};
      return std::nullopt;
  }
  // Minute 60 is how some tables write the end of an hour.
  if (civil.minute == 60 && civil.second == 0) {
    civil.minute = 0;
    const auto hour = instant_of(civil);
    if (!hour) return std::nullopt;
    return Instant{hour->ms + 3600000};
  }
  return instant_of(civil);
}

}  // namespace cw
