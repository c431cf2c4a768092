// Clocks as old loggers and printed reports write them.
#include <array>

#include "base/text.h"
#include "ingest/clock/column_look.h"
#include "ingest/header.h"

namespace cw {
namespace {

/// Letters of a header, lower case; those outside ASCII stay.
std::string folded(std::string_view header) {
  std::string out = to_lower(header.substr(0, header.find_first_of("([")));
  std::erase_if(out, [](char c) {
    return !((c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80);
  });
  return out;
}

bool is_any_of(const std::string& word, std::span<const char* const> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

bool says_year(const std::string& header) {
  constexpr std::array words = {"year",
                                "yr",
                                "yyyy",
                                "jahr",
                                "ann\xC3\xA9"
                                "e",
                                "annee",
                                "a\xC3\xB1o",
                                "ano",
                                "anno",
                                "jaar",
                                "\xE5\xB9\xB4"};
  return is_any_of(folded(header), words);
}

bool says_day_of_year(const std::string& header) {
  constexpr std::array words = {"doy",
                                "dayofyear",
                                "julianday",
                                "julian",
                                "jday",
                                "julday",
                                "yday",
                                "yearday",
                                "daynumber",
                                "jourdelann\xC3\xA9"
                                "e",
                                "jourannee",
                                "jouran",
                                "tagimjahr",
                                "jahrestag",
                                "tagdesjahres",
                                "juliantag",
                                "diadelano",
                                "ddd"};
  return is_any_of(folded(header), words);
}

bool says_day(const std::string& header) {
  constexpr std::array words = {"day",
                                "tag",
                                "jour",
                                "dia",
                                "d\xC3\xAD"
                                "a",
                                "giorno",
                                "dag",
                                "date"};
  return is_any_of(folded(header), words) || says_day_of_year(header);
}

bool says_date(const std::string& header) {
  const std::string low = to_lower(header);
  constexpr std::array words = {"date",
                                "datum",
                                "fecha",
                                "data",
                                "dato",
                                "tag",
                                "jour",
                                "day",
                                "yymm",
                                "mmyy",
                                "mmdd",
                                "aamm",
                                "jjmm",
                                "\xE6\x97\xA5\xE6\x9C\x9F",
                                "\xE6\x97\xA5\xE4\xBB\x98",
                                "\xEB\x82\xA0\xEC\xA7\x9C"};
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return low.find(word) != std::string::npos; });
}

bool says_hour(const std::string& header) {
  constexpr std::array words = {"hour", "hr", "h", "hh", "stunde", "heure", "hora", "ora", "uur"};
  return is_any_of(folded(header), words);
}

bool says_time(const std::string& header) {
  constexpr std::array words = {"hhmm", "hhmmss", "timehhmm", "zeithhmm", "hourmin", "hourminute"};
  return names_time(header) || is_any_of(folded(header), words);
}

/// Minutes and seconds in columns of their own behind an hour.
void add_parts_of_hour(const ClockQuestion& q, std::span<const ColumnLook> looks,
                       ClockChoice& choice) {
  for (const char* word : {"min", "sek", "sec"}) {
    const std::size_t at = choice.columns.back() + 1;
    if (at >= looks.size() || choice.columns.size() >= 5) return;
    const bool said = folded(q.headers[at]).starts_with(word);
    const ColumnLook& look = looks[at];
    if (said && look.mostly(look.numbers) && look.lowest >= 0.0 && look.highest <= 60.0) {
      choice.columns.push_back(at);
    }
  }
}

/// The time of day behind a day of the year; false where what stands there is not plain.
bool add_time_of_day(const ClockQuestion& q, std::span<const ColumnLook> looks, std::size_t day,
                     ClockChoice& choice) {
  const std::size_t at = day + 1;
  if (at >= looks.size()) return false;
  const ColumnLook& look = looks[at];
  const bool number = look.mostly(look.numbers) && look.lowest >= 0.0;
  if (look.mostly(look.times) && !number) {
    choice.columns.push_back(at);
    choice.reason += ", time in " + named(q, at);
    return true;
  }
  if (number && q.has_header && says_hour(q.headers[at]) && look.highest <= 24.0) {
    choice.columns.push_back(at);
    choice.reason += ", hours in " + named(q, at);
    add_parts_of_hour(q, looks, choice);
    return true;
  }
  // 0 to 24 may be hours or the first minutes of a day.
  const std::size_t digits = number ? digits_of_time(look) : 0;
  if (digits == 0 || look.highest <= 24.0) return false;
  if (q.has_header && !says_time(q.headers[at])) return false;
  choice.columns.push_back(at);
  choice.time_digits = digits;
  choice.reason +=
      ", time in " + named(q, at) + (digits == 4 ? " as HHMM" : " as HHMMSS") + " without zeros";
  return true;
}

}  // namespace

std::optional<TimeColumn> time_beside(const ClockQuestion& q, std::span<const ColumnLook> looks,
                                      std::size_t date) {
  std::optional<TimeColumn> number;
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (i == date || !usable(q, i)) continue;
    if (looks[i].mostly(looks[i].times)) return TimeColumn{i, 0};
    const std::size_t digits =
        looks[i].mostly(looks[i].numbers) ? digits_of_time(looks[i]) : std::size_t{0};
    const bool meant =
        q.has_header ? says_time(q.headers[i]) : i == date + 1 && looks[i].highest > 24.0;
    if (digits > 0 && meant && !number) number = TimeColumn{i, digits};
  }
  return number;
}

std::optional<ClockChoice> choose_ranges(const ClockQuestion& q,
                                         std::span<const ColumnLook> looks) {
  for (std::size_t i = 0; i < looks.size(); ++i) {
    const ColumnLook& look = looks[i];
    if (!usable(q, i) || !look.holds_spans()) continue;
    ClockChoice out;
    out.columns = {i};
    out.confidence = 0.93;
    out.ranges = true;
    out.reason = "column " + named(q, i) + " holds spans of time (the first ends at \"" +
                 look.range_end + "\"), of which the beginning counts";
    const bool dated = look.full * 2 > look.filled;
    for (std::size_t k = 0; k < looks.size() && !dated; ++k) {
      if (k == i || !usable(q, k) || !looks[k].mostly(looks[k].dates)) continue;
      out.columns = {k, i};
      out.reason += "; date in " + named(q, k);
      break;
    }
    return out;
  }
  return std::nullopt;
}

std::optional<ClockChoice> choose_short_dates(const ClockQuestion& q,
                                              std::span<const ColumnLook> looks) {
  for (std::size_t i = 0; i < looks.size(); ++i) {
    const ColumnLook& look = looks[i];
    if (!usable(q, i) || look.filled == 0) continue;
    // 2601140605 would be a day of 2052 as seconds from 1970; lower numbers must show by sixty rows
    // that no minute is above 59.
    const bool pairs = look.short_stamps == look.filled &&
                       (look.lowest >= 2e9 || (look.ups + look.downs >= 60)) && look.ups > 0;
    if (pairs && (names_time(q.headers[i]) || says_date(q.headers[i]) || !q.has_header)) {
      ClockChoice out;
      out.columns = {i};
      out.confidence = 0.9;
      out.date_digits = 10;
      out.reason = "column " + named(q, i) + " holds dates with times, two digits for each part";
      return out;
    }
    if (!look.mostly(look.short_dates)) continue;
    if (q.has_header ? !says_date(q.headers[i]) : i > 1) continue;
    const auto time = time_beside(q, looks, i);
    if (!time && !q.has_header) continue;
    ClockChoice out;
    out.columns = {i};
    out.date_digits = 6;
    out.confidence = q.has_header ? 0.92 : 0.75;
    out.reason = "date in " + named(q, i) + ", two digits for each part";
    if (time) {
      out.columns.push_back(time->column);
      out.time_digits = time->digits;
      out.reason += ", time in " + named(q, time->column);
      if (time->digits > 0) out.reason += time->digits == 4 ? " as HHMM" : " as HHMMSS";
    }
    return out;
  }
  return std::nullopt;
}

std::optional<ClockChoice> choose_day_of_year(const ClockQuestion& q,
                                              std::span<const ColumnLook> looks) {
  const auto is_year = [&](std::size_t i) {
    return looks[i].mostly(looks[i].numbers) && looks[i].whole && looks[i].lowest >= 1970.0 &&
           looks[i].highest <= 2199.0 && looks[i].highest - looks[i].lowest <= 30.0;
  };
  for (std::size_t i = 0; i < looks.size(); ++i) {
    const ColumnLook& look = looks[i];
    if (!usable(q, i) || !look.mostly(look.numbers) || look.lowest < 1.0 || look.highest >= 367.0) {
      continue;
    }
    ClockChoice out;
    out.form = ClockForm::day_of_year;
    out.says_year = i > 0 && is_year(i - 1) && (!q.has_header || says_year(q.headers[i - 1]));
    const bool said =
        q.has_header && (out.says_year ? says_day(q.headers[i]) : says_day_of_year(q.headers[i]));
    // Without a header the year in front and the time behind must both be plain.
    if (!said && (q.has_header || !out.says_year)) continue;
    if (out.says_year) out.columns.push_back(i - 1);
    out.columns.push_back(i);
    out.confidence = said ? 0.92 : 0.8;
    out.reason = (out.says_year ? "year in " + named(q, i - 1) + ", " : std::string()) +
                 "day of the year in " + named(q, i);
    const bool timed = look.whole && add_time_of_day(q, looks, i, out);
    if (!timed && !(said && look.rises())) continue;
    return out;
  }
  return std::nullopt;
}

}  // namespace cw
