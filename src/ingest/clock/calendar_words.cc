#include "ingest/clock/calendar_words.h"

#include <algorithm>
#include <array>
#include <string>

#include "base/text.h"

namespace cw {

int month_named(std::string_view word) {
  struct Row {
    const char* start;
    int month;
  };
  constexpr std::array rows = {Row{"jan", 1},
                               Row{"janv", 1},
                               Row{"ene", 1},
                               Row{"gen", 1},
                               Row{"feb", 2},
                               Row{"f\xC3\xA9v", 2},
                               Row{"fev", 2},
                               Row{"mar", 3},
                               Row{"mrz", 3},
                               Row{"maa", 3},
                               Row{"mrt", 3},
                               Row{"m\xC3\xA4r", 3},
                               Row{"apr", 4},
                               Row{"avr", 4},
                               Row{"abr", 4},
                               Row{"may", 5},
                               Row{"mai", 5},
                               Row{"mei", 5},
                               Row{"mag", 5},
                               Row{"jun", 6},
                               Row{"juin", 6},
                               Row{"giu", 6},
                               Row{"jul", 7},
                               Row{"juil", 7},
                               Row{"lug", 7},
                               Row{"aug", 8},
                               Row{"ao\xC3\xBB", 8},
                               Row{"ago", 8},
                               Row{"sep", 9},
                               Row{"set", 9},
                               Row{"oct", 10},
                               Row{"okt", 10},
                               Row{"ott", 10},
                               Row{"out", 10},
                               Row{"nov", 11},
                               Row{"dec", 12},
                               Row{"dez", 12},
                               Row{"d\xC3\xA9"
                                   "c",
                                   12},
                               Row{"dic", 12}};
  if (word.size() < 3 || word.size() > 12) return 0;
  const std::string low = to_lower(word);
  // "juil" before "jui...": the longest beginning that fits rules.
  int month = 0;
  std::size_t best = 0;
  for (const Row& row : rows) {
    const std::string_view start = row.start;
    if (low.starts_with(start) && start.size() > best) {
      best = start.size();
      month = row.month;
    }
  }
  return month;
}

bool is_weekday(std::string_view word) {
  constexpr std::array days = {"mon", "tue", "wed", "thu", "fri", "sat", "sun", "mo",  "di",
                               "mi",  "do",  "fr",  "sa",  "so",  "lun", "mar", "mer", "jeu",
                               "ven", "sam", "dim", "mie", "jue", "vie", "sab", "dom", "gio",
                               "lu",  "ma",  "me",  "je",  "ve",  "ju",  "vi",  "wo",  "vr",
                               "za",  "zo",  "maa", "din", "woe", "don", "vri", "zat", "zon"};
  const std::string low = to_lower(word);
  return std::any_of(days.begin(), days.end(), [&](const char* day) {
    return std::string_view(day).size() > 2 ? low.starts_with(day) : low == day;
  });
}

int roman_month(std::string_view word, std::string_view behind) {
  constexpr std::array months = {"I",   "II",   "III", "IV", "V",  "VI",
                                 "VII", "VIII", "IX",  "X",  "XI", "XII"};
  const auto found = std::find(months.begin(), months.end(), word);
  if (found == months.end() || behind.size() < 5) return 0;
  behind = trim(behind.substr(1));
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  const bool year = behind.size() >= 4 && std::all_of(behind.begin(), behind.begin() + 4, digit) &&
                    (behind.size() == 4 || !digit(behind[4]));
  return year ? static_cast<int>(found - months.begin()) + 1 : 0;
}

namespace {

struct HalfDayWord {
  std::string_view mark;
  bool second;
};

/// The longest mark that fits rules: "a" begins "am".
template <std::size_t N>
std::optional<HalfDay> longest(std::string_view text, const std::array<HalfDayWord, N>& rows) {
  std::optional<HalfDay> best;
  for (const HalfDayWord& row : rows) {
    const std::size_t size = row.mark.size();
    if (text.size() < size || !equal_ignoring_case(text.substr(0, size), row.mark)) continue;
    if (!best || size > best->size) best = HalfDay{row.second, size};
  }
  return best;
}

}  // namespace

std::optional<HalfDay> half_day_behind(std::string_view text) {
  // Spanish writes "p. m.", often with a no-break blank.
  constexpr std::array rows = {HalfDayWord{"a. m.", false},
                               HalfDayWord{"p. m.", true},
                               HalfDayWord{"a.\xC2\xA0m.", false},
                               HalfDayWord{"p.\xC2\xA0m.", true},
                               HalfDayWord{"a.\xE2\x80\xAFm.", false},
                               HalfDayWord{"p.\xE2\x80\xAFm.", true},
                               HalfDayWord{"am", false},
                               HalfDayWord{"pm", true},
                               HalfDayWord{"a.m.", false},
                               HalfDayWord{"p.m.", true},
                               HalfDayWord{"\xCF\x80\xCE\xBC", false},          // πμ
                               HalfDayWord{"\xCE\xBC\xCE\xBC", true},           // μμ
                               HalfDayWord{"\xCF\x80.\xCE\xBC.", false},        // π.μ.
                               HalfDayWord{"\xCE\xBC.\xCE\xBC.", true},         // μ.μ.
                               HalfDayWord{"\xC3\x96\xC3\x96", false},          // ÖÖ
                               HalfDayWord{"\xC3\x96S", true},                  // ÖS
                               HalfDayWord{"\xE4\xB8\x8A\xE5\x8D\x88", false},  // 上午
                               HalfDayWord{"\xE4\xB8\x8B\xE5\x8D\x88", true},   // 下午
                               HalfDayWord{"\xE5\x8D\x88\xE5\x89\x8D", false},  // 午前
                               HalfDayWord{"\xE5\x8D\x88\xE5\xBE\x8C", true},   // 午後
                               HalfDayWord{"a", false},
                               HalfDayWord{"p", true}};
  return longest(text, rows);
}

std::optional<HalfDay> half_day_in_front(std::string_view text) {
  constexpr std::array rows = {HalfDayWord{"\xE5\x8D\x88\xE5\x89\x8D", false},  // 午前
                               HalfDayWord{"\xE5\x8D\x88\xE5\xBE\x8C", true},   // 午後
                               HalfDayWord{"\xE4\xB8\x8A\xE5\x8D\x88", false},  // 上午
                               HalfDayWord{"\xE4\xB8\x8B\xE5\x8D\x88", true},   // 下午
                               HalfDayWord{"\xEC\x98\xA4\xEC\xA0\x84", false},  // 오전
                               HalfDayWord{"\xEC\x98\xA4\xED\x9B\x84", true}};  // 오후
  return longest(text, rows);
}

}  // namespace cw
