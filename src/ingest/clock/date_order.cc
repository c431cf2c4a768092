#include "ingest/clock/date_order.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <vector>

#include "base/text.h"

namespace cw {
namespace {

constexpr std::array orders = {DateOrder::year_month_day, DateOrder::day_month_year,
                               DateOrder::month_day_year, DateOrder::day_month,
                               DateOrder::month_day,      DateOrder::none};

/// How the rows follow each other when read in one order.
struct Steps {
  std::size_t forward = 0;
  std::size_t backward = 0;
  std::int64_t longest = 0;
  std::int64_t total = 0;
  std::int64_t last = 0;
  bool any = false;

  void add(std::int64_t ms) {
    if (any) {
      const std::int64_t step = ms - last;
      forward += step > 0 ? 1U : 0U;
      backward += step < 0 ? 1U : 0U;
      longest = std::max(longest, step < 0 ? -step : step);
      total += step < 0 ? -step : step;
    }
    any = true;
    last = ms;
  }
  std::size_t against() const { return std::min(forward, backward); }
  std::size_t steps() const { return forward + backward; }
};

struct Votes {
  std::size_t stamps = 0;
  std::array<std::size_t, orders.size()> allowed{};
  std::array<std::size_t, orders.size()> only{};  ///< stamps that no other order allows
  std::array<Steps, orders.size()> steps{};
  char separator = '\0';
  std::string first;  ///< an example of an undecided date
  bool half_days = false;
  std::size_t named_months = 0;           ///< stamps whose month is a word
  std::string zone_word;                  ///< letters that are no known offset
  std::map<std::string, int> zone_names;  ///< letters that were taken for an offset [min]

  void add(std::string_view text) {
    StampFields f;
    if (!parse_stamp(text, f)) return;
    const unsigned bits = orders_of(f);
    if (bits == 0) return;
    if (stamps == 0) first = std::string(trim(text));
    ++stamps;
    named_months += f.named_month >= 0 ? 1U : 0U;
    separator = f.separator;
    half_days = half_days || f.twelve_hour;
    if (!f.zone.empty()) zone_word = std::string(f.zone);
    if (!f.zone_name.empty() && zone_names.size() < 8) {
      zone_names[std::string(f.zone_name)] = f.offset_minutes;
    }
    for (std::size_t i = 0; i < orders.size(); ++i) {
      if ((bits & bit_of(orders[i])) == 0) continue;
      ++allowed[i];
      only[i] += bits == bit_of(orders[i]) ? 1U : 0U;
      if (const auto wall = wall_time(f, orders[i], 1972, 0)) steps[i].add(wall->ms);
    }
  }

  /// Orders that nearly every stamp allows; one broken stamp in fifty decides nothing.
  std::vector<std::size_t> candidates() const {
    std::vector<std::size_t> out;
    const std::size_t most = *std::max_element(allowed.begin(), allowed.end());
    for (std::size_t i = 0; i < orders.size(); ++i) {
      if (allowed[i] > 0 && allowed[i] * 50 >= most * 49) out.push_back(i);
    }
    // A stamp that only one order allows speaks for it; where stamps speak for several, none does.
    const auto spoken = [&](std::size_t i) { return only[i] > 0; };
    if (out.size() > 1 && std::count_if(out.begin(), out.end(), spoken) == 1) {
      out = {*std::find_if(out.begin(), out.end(), spoken)};
    }
    return out;
  }
};

/// Of a whole row, the clock's cells as one text.
std::string joined(const ClockPlan& plan, std::span<const std::string> row) {
  std::vector<std::string> cells;
  for (const std::size_t column : plan.columns) {
    cells.push_back(column < row.size() ? row[column] : std::string());
  }
  // A time beside an empty date says nothing of the order.
  if (cells.size() > 1 && cells.front().empty()) return {};
  return stamp_of_cells(plan, cells);
}

/// Of several orders, the one under which the rows follow each other in time.
std::optional<std::size_t> by_row_order(const Votes& votes, const std::vector<std::size_t>& from) {
  std::optional<std::size_t> best;
  for (const std::size_t i : from) {
    const Steps& mine = votes.steps[i];
    if (mine.steps() < 3) return std::nullopt;
    const bool wins = std::all_of(from.begin(), from.end(), [&](std::size_t k) {
      const Steps& other = votes.steps[k];
      if (k == i) return true;
      if (mine.against() * 10 < other.against()) return true;
      return mine.against() <= other.against() && mine.longest * 5 < other.longest;
    });
    if (wins) best = i;
  }
  return best;
}

Status undecided(const Votes& votes, const std::vector<std::size_t>& left, ClockPlan& plan) {
  std::vector<std::string> first;
  std::vector<std::string> named;
  for (const std::size_t i : left) {
    const DateOrder order = orders[i];
    const bool year = order == DateOrder::year_month_day;
    const bool day = order == DateOrder::day_month_year || order == DateOrder::day_month;
    first.emplace_back(year ? "the year first" : day ? "the day first" : "the month first");
    named.push_back("\"" + std::string(name_of(order)) + "\"");
  }
  // As people ask: the day or the month.
  if (first.size() > 1 && first.front() == "the year first") {
    std::rotate(first.begin(), first.begin() + 1, first.end());
    std::rotate(named.begin(), named.begin() + 1, named.end());
  }
  const auto either = [](const std::vector<std::string>& texts) {
    std::string out;
    for (const std::string& text : texts) out += (out.empty() ? "" : " or ") + text;
    return out;
  };
  plan.asks.emplace_back(
      "order = " + (named.empty() ? "\"day-month-year\"" : named.front()) + "   # or " +
      either({named.begin() + (named.empty() ? 0 : 1), named.end()}) + ": the file does not say");
  return Error{ErrorCode::inconsistent,
               "the dates can be read with " + either(first) + " (\"" + votes.first +
                   "\"), and no row of the file decides",
               "", "Say it in a map, [clock] order = " + either(named)};
}

/// The order that a header spells: "Date (DD/MM/YYYY)", "YYMMDD", "TT.MM.JJJJ".
std::optional<DateOrder> order_in_header(const ClockQuestion& q, const ClockPlan& plan) {
  struct Row {
    const char* letters;
    DateOrder order;
  };
  constexpr std::array rows = {
      Row{"ymd", DateOrder::year_month_day}, Row{"jmt", DateOrder::year_month_day},
      Row{"amj", DateOrder::year_month_day}, Row{"dmy", DateOrder::day_month_year},
      Row{"tmj", DateOrder::day_month_year}, Row{"jma", DateOrder::day_month_year},
      Row{"gma", DateOrder::day_month_year}, Row{"dma", DateOrder::day_month_year},
      Row{"mdy", DateOrder::month_day_year}};
  if (!q.has_header || plan.columns.empty()) return std::nullopt;
  const std::string low = to_lower(q.headers[plan.columns.front()]);
  // Runs of two or four of the same letter, signs between them left out: "dd/mm/yyyy" is dmy.
  std::string letters;
  for (std::size_t i = 0; i < low.size();) {
    std::size_t end = i;
    while (end < low.size() && low[end] == low[i]) ++end;
    const bool letter = low[i] >= 'a' && low[i] <= 'z';
    if (letter && end - i >= 2) letters += low[i];
    if (letter && end - i == 1) letters += '_';
    i = end;
  }
  for (const Row& row : rows) {
    if (letters.find(row.letters) != std::string::npos) return row.order;
  }
  return std::nullopt;
}

/// That letters such as "CET" were taken for an offset is said.
void note_zone_names(const Votes& votes, ClockPlan& plan) {
  for (const auto& [name, minutes] : votes.zone_names) {
    char offset[32];
    std::snprintf(offset, sizeof offset, "%c%02d:%02d", minutes < 0 ? '-' : '+',
                  std::abs(minutes) / 60, std::abs(minutes) % 60);
    plan.assumptions.push_back("The letters \"" + name + "\" behind the times are read as UTC" +
                               offset + ", as they are used most.");
  }
}

void settle(const Votes& votes, std::size_t chosen, double confidence, std::string why,
            ClockPlan& plan) {
  plan.order = orders[chosen];
  plan.finding.confidence = std::min(plan.finding.confidence, confidence);
  if (plan.order != DateOrder::none) {
    plan.finding.reason += "; " + std::string(name_of(plan.order)) + ", " + std::move(why);
  }
  if (votes.half_days) plan.finding.reason += "; 12-hour clock";
}

/// Years of the Buddhist calendar (2569 is 2026; Thailand) and of the Republic of China (115 is
/// 2026; Taiwan). Offsets: from memory.
void settle_era(const ClockQuestion& q, ClockPlan& plan) {
  struct Era {
    const char* name;
    int first, last;  // years in which recordings may be
    int digits;
    int shift;
  };
  constexpr std::array eras = {Era{"the Buddhist calendar", 2513, 2643, 4, -543},
                               Era{"the calendar of the Republic of China", 59, 189, 3, 1911}};
  if (plan.order > DateOrder::month_day_year) return;
  const std::size_t at = plan.order == DateOrder::year_month_day ? 0 : 2;
  for (const Era& era : eras) {
    std::size_t stamps = 0;
    std::size_t within = 0;
    int year = 0;
    for (const std::vector<std::string>& row : q.rows) {
      StampFields f;
      const std::string text = joined(plan, row);  // the fields may look into it
      if (text.empty() || !parse_stamp(text, f) || f.parts != 3) continue;
      ++stamps;
      const bool fits =
          f.digits[at] == era.digits && f.part[at] >= era.first && f.part[at] <= era.last;
      within += fits ? 1U : 0U;
      if (fits) year = f.part[at];
    }
    if (stamps == 0 || within * 10 < stamps * 9) continue;
    plan.era = era.shift;
    plan.assumptions.push_back("The years (" + std::to_string(year) + ") are taken as those of " +
                               era.name + ": " + std::to_string(year) + " is " +
                               std::to_string(year + era.shift) + ".");
    return;
  }
}

Status decide_order_of_parts(const ClockQuestion& q, ClockPlan& plan) {
  Votes votes;
  for (const std::vector<std::string>& row : q.rows) votes.add(joined(plan, row));
  if (votes.stamps == 0) return Done{};  // every row will be counted as bad
  const bool stated = plan.zone || plan.offset_minutes;
  if (!votes.zone_word.empty() && !stated) {
    return Error{ErrorCode::inconsistent,
                 "the letters \"" + votes.zone_word +
                     "\" behind the times are no offset that means the same everywhere",
                 "", "Say the zone in a map, [clock] zone = \"America/Chicago\""};
  }
  note_zone_names(votes, plan);
  if (q.map != nullptr && q.map->clock.order) {
    plan.order = *q.map->clock.order;
    return Done{};
  }
  std::vector<std::size_t> left = votes.candidates();
  if (left.size() == 1) {
    settle(votes, left.front(), 0.99, "the only order that the stamps allow", plan);
    return Done{};
  }
  if (const auto said = order_in_header(q, plan)) {
    const auto mine =
        std::find_if(left.begin(), left.end(), [&](std::size_t i) { return orders[i] == *said; });
    if (mine != left.end()) {
      settle(votes, *mine, 0.97, "as the header says", plan);
      return Done{};
    }
  }
  if (votes.separator == '.') {
    const auto day_first = std::find_if(left.begin(), left.end(), [](std::size_t i) {
      return orders[i] == DateOrder::day_month_year || orders[i] == DateOrder::day_month;
    });
    if (day_first != left.end()) {
      settle(votes, *day_first, 0.97, "as dates with dots are written", plan);
      return Done{};
    }
  }
  if (q.walk) {
    votes = {};
    const std::size_t cells = *std::max_element(plan.columns.begin(), plan.columns.end()) + 1;
    q.walk(cells, [&](std::span<const std::string> row) {
      votes.add(joined(plan, row));
      return true;
    });
    left = votes.candidates();
  }
  if (left.size() == 1) {
    settle(votes, left.front(), 0.99, "the only order that all stamps of the file allow", plan);
    return Done{};
  }
  if (const auto chosen = by_row_order(votes, left)) {
    settle(votes, *chosen, 0.93, "the only order in which the rows follow each other", plan);
    return Done{};
  }
  // "14-Jan-26": only a two-digit year could be the day, and nobody is known to write so.
  const auto day_first = std::find_if(left.begin(), left.end(), [](std::size_t i) {
    return orders[i] == DateOrder::day_month_year;
  });
  if (votes.named_months == votes.stamps && day_first != left.end()) {
    settle(votes, *day_first, 0.85, "as dates with a month's name in the middle are written", plan);
    return Done{};
  }
  return undecided(votes, left, plan);
}

}  // namespace

Status decide_order(const ClockQuestion& q, ClockPlan& plan) {
  if (Status order = decide_order_of_parts(q, plan); !order) return order;
  settle_era(q, plan);
  return Done{};
}

}  // namespace cw
