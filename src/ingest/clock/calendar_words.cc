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

}  // namespace cw
