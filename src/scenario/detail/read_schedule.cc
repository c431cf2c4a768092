#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "scenario/detail/sections.h"

namespace cw::scenario::detail {
namespace {

constexpr std::int64_t day_ms = 86'400'000;
constexpr double most_gains_W = 50e3;

const double lowest_set_point_K = from_celsius(5.0).value;
const double highest_set_point_K = from_celsius(35.0).value;

UnitWish read_wish(const Table& table) {
  UnitWish wish;
  wish.on = table.flag("on");
  wish.set_point_K =
      table.quantity("set_point", Dimension::temperature, lowest_set_point_K, highest_set_point_K);
  wish.gains_W = table.quantity("gains", Dimension::power, -most_gains_W, most_gains_W);
  wish.cooling = table.flag("cooling");
  if (const auto call = table.word("call", {"thermostat", "always", "never"})) {
    wish.call = static_cast<CallRule>(*call);
  }
  return wish;
}

std::vector<std::size_t> read_units(const Table& table, const Context& context) {
  std::vector<std::string> patterns = table.texts("units");
  if (patterns.empty()) patterns.emplace_back("*");
  std::vector<std::size_t> out;
  for (const std::string& pattern : patterns) {
    const std::vector<std::size_t> found = matching(context.unit_ids, pattern);
    if (found.empty()) {
      table.fail("units", "no indoor unit is called \"" + pattern + "\"",
                 "The sheet has " + context.unit_ids.front() + " to " + context.unit_ids.back() +
                     "; * stands for any text",
                 ErrorCode::not_found);
    }
    out.insert(out.end(), found.begin(), found.end());
  }
  return out;
}

/// Every occurrence of a time of day from the day before the warm-up to the end. A time that a
/// clock change leaves out happens an hour later.
std::vector<double> occurrences(const toml::time& time, std::size_t days, const Context& context) {
  std::vector<double> out;
  const auto midnight =
      instant_of({context.start_wall.year, context.start_wall.month, context.start_wall.day});
  const auto before = static_cast<std::int64_t>(std::ceil(context.warm_up_s / 86400.0)) + 7;
  const auto after = static_cast<std::int64_t>(std::ceil(context.duration_s / 86400.0)) + 1;
  for (std::int64_t day = -before; day <= after; ++day) {
    CivilTime wall = civil_of({midnight->ms + day * day_ms});
    // 1970-01-01 was a Thursday: 0 is Monday.
    const std::int64_t number = (midnight->ms + day * day_ms) / day_ms;
    const auto weekday = static_cast<int>(((number + 3) % 7 + 7) % 7);
    if ((days == 1 && weekday >= 5) || (days == 2 && weekday < 5)) continue;
    wall.hour = time.hour;
    wall.minute = time.minute;
    wall.second = time.second;
    Result<Instant> instant = instant_of_wall(wall, context.base.clock);
    if (!instant && wall.hour < 23) {
      ++wall.hour;
      instant = instant_of_wall(wall, context.base.clock);
    }
    if (instant) out.push_back(seconds_between(context.base.start, *instant));
  }
  return out;
}

void read_change(const Table& table, const Context& context, Schedule& schedule) {
  ScheduledChange change;
  change.units = read_units(table, context);
  change.wish = read_wish(table);
  const UnitWish& wish = change.wish;
  if (!wish.on && !wish.set_point_K && !wish.gains_W && !wish.cooling && !wish.call) {
    table.fail("at", "the change changes nothing", "Give on, set_point, gains, call or cooling",
               ErrorCode::parse);
  }
  const toml::node* at = table.toml().get("at");
  if (at == nullptr) {
    table.fail("at", "at is missing",
               "Write at = 18:00:00 (every day), at = 2026-01-20T18:00:00, or at = \"9 h\" after "
               "the start",
               ErrorCode::parse);
    return;
  }
  const std::size_t days = table.word("days", {"every day", "weekdays", "weekend"}).value_or(0);
  if (const auto time = at->value_exact<toml::time>()) {
    for (const double time_s : occurrences(*time, days, context)) {
      change.time_s = time_s;
      schedule.changes.push_back(change);
    }
    return;
  }
  if (table.has("days")) {
    table.fail("days", "days has no meaning for a change that happens once",
               "Leave it out, or write at = 18:00:00", ErrorCode::inconsistent);
  }
  if (const auto time_s = table.moment("at", context.base)) {
    change.time_s = *time_s;
    schedule.changes.push_back(change);
  }
}

}  // namespace

Schedule read_schedule(const Table& top, const Context& context) {
  Schedule out;
  twin::UnitOrder first;
  first.on = true;
  out.first.assign(context.unit_ids.size(), first);
  const toml::table* inside = top.inside("schedule");
  if (inside == nullptr) return out;
  const Table table(*inside, "schedule", {"on", "set_point", "gains", "call", "cooling", "change"},
                    top.mistakes());
  ScheduledChange beginning;
  beginning.time_s = -1e12;
  for (std::size_t i = 0; i < context.unit_ids.size(); ++i) beginning.units.push_back(i);
  beginning.wish = read_wish(table);
  out.changes.push_back(std::move(beginning));
  for (const toml::table* row : table.tables("change")) {
    read_change(Table(*row, "schedule.change",
                      {"at", "days", "units", "on", "set_point", "gains", "call", "cooling"},
                      top.mistakes()),
                context, out);
  }
  std::stable_sort(
      out.changes.begin(), out.changes.end(),
      [](const ScheduledChange& a, const ScheduledChange& b) { return a.time_s < b.time_s; });
  return out;
}

}  // namespace cw::scenario::detail
