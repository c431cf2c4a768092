#include "ingest/clock/clock_plan.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "base/zone.h"
#include "ingest/clock/column_look.h"
#include "ingest/clock/date_order.h"
#include "ingest/header.h"

namespace cw {
namespace {

/// Stamps in one column, or a date and a time in two.
std::optional<ClockChoice> choose_stamps(const ClockQuestion& q,
                                         std::span<const ColumnLook> looks) {
  std::optional<std::size_t> full;
  std::optional<std::size_t> date;
  std::optional<std::size_t> time;
  std::optional<std::size_t> digits;  // 63005 for 06:30:05
  std::optional<std::size_t> dotted;  // 06.30.05, which may be a date, too, or a number
  const auto better = [&](std::optional<std::size_t>& best, std::size_t i) {
    if (!best || (names_time(q.headers[i]) && !names_time(q.headers[*best]))) best = i;
  };
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (!usable(q, i)) continue;
    if (looks[i].mostly(looks[i].full)) {
      // The same in all rows is when the table was asked for, or where it begins.
      const bool stands = full && !looks[*full].moves;
      if (stands && looks[i].moves) full = i;
      if (!full || stands || looks[i].moves) better(full, i);
    }
    const bool dots = looks[i].mostly(looks[i].dotted) && names_time(q.headers[i]);
    if (dots && !dotted) dotted = i;
    if (looks[i].mostly(looks[i].dates) && (!date || dotted == date)) date = i;
    if (looks[i].mostly(looks[i].times)) better(time, i);
    const bool number = looks[i].mostly(looks[i].numbers) && !looks[i].mostly(looks[i].dates);
    if (number && names_time(q.headers[i]) && digits_of_time(looks[i]) > 0 && !digits) digits = i;
  }
  if (full) {
    return ClockChoice{
        ClockForm::stamps, {*full}, 0.98, "column " + named(q, *full) + " holds dates with times"};
  }
  if (date && time) {
    return ClockChoice{ClockForm::stamps,
                       {*date, *time},
                       0.95,
                       "date in " + named(q, *date) + ", time in " + named(q, *time)};
  }
  if (date && dotted && date != dotted) {
    return ClockChoice{
        ClockForm::stamps,
        {*date, *dotted},
        0.9,
        "date in " + named(q, *date) + ", time in " + named(q, *dotted) + " with full stops"};
  }
  if (date && digits) {
    const std::size_t count = digits_of_time(looks[*digits]);
    return ClockChoice{ClockForm::stamps,
                       {*date, *digits},
                       0.92,
                       "date in " + named(q, *date) + ", time in " + named(q, *digits) + " as " +
                           (count == 4 ? "HHMM" : "HHMMSS") + ", zeros in front left out",
                       count};
  }
  if (time) {
    return ClockChoice{ClockForm::stamps,
                       {*time},
                       0.7,
                       "column " + named(q, *time) + " holds times without a date"};
  }
  if (date) {
    return ClockChoice{ClockForm::stamps,
                       {*date},
                       0.7,
                       "column " + named(q, *date) + " holds dates without a time"};
  }
  return std::nullopt;
}

/// "0:00:00", "26:05:30": hours since the start, more than a day has or under a header that says
/// so.
std::optional<ClockChoice> choose_spans(const ClockQuestion& q, std::span<const ColumnLook> looks) {
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (!usable(q, i) || !looks[i].mostly(looks[i].spans)) continue;
    const std::string low = to_lower(q.headers[i]);
    const auto says = [&](const char* word) { return low.find(word) != std::string::npos; };
    const bool said = q.has_header && (says("elapsed") || says("duration") || says("since") ||
                                       says("runtime") || says("run time") || says("test time"));
    if (!said && !looks[i].over_a_day) continue;
    return ClockChoice{ClockForm::elapsed,
                       {i},
                       said ? 0.9 : 0.8,
                       "column " + named(q, i) + " counts hours and minutes from the start"};
  }
  return std::nullopt;
}

/// Year, month, day, hour (and minute, second) in neighbouring columns.
std::optional<ClockChoice> choose_parts(const ClockQuestion& q, std::span<const ColumnLook> looks) {
  struct Range {
    double low, high;
  };
  constexpr std::array ranges = {Range{1900, 2199}, Range{1, 12}, Range{1, 31},
                                 Range{0, 24},      Range{0, 60}, Range{0, 60}};
  const auto within = [&](std::size_t i, std::size_t role) {
    const ColumnLook& look = looks[i];
    return look.mostly(look.numbers) && (look.whole || role == 5) &&
           look.lowest >= ranges[role].low && look.highest <= ranges[role].high;
  };
  for (std::size_t i = 0; i + 3 < looks.size(); ++i) {
    if (!within(i, 0) || !within(i + 1, 1) || !within(i + 2, 2) || !within(i + 3, 3)) continue;
    if (looks[i + 3].highest == looks[i + 3].lowest && looks[i + 2].highest == looks[i + 2].lowest)
      continue;
    ClockChoice out{ClockForm::parts,
                    {i, i + 1, i + 2, i + 3},
                    0.85,
                    "columns " + std::to_string(i + 1) + " to " + std::to_string(i + 4) +
                        " hold year, month, day and hour"};
    const auto also = [&](std::size_t role, std::string_view word) {
      const std::size_t at = i + role;
      if (at >= looks.size() || out.columns.size() != role || !within(at, role)) return;
      const bool said = to_lower(q.headers[at]).find(word) != std::string::npos;
      const bool constant = looks[at].lowest == looks[at].highest;
      if (said || (!q.has_header && role == 4 &&
                   (!constant || looks[at].lowest == 60 || looks[at].lowest == 0))) {
        out.columns.push_back(at);
      }
    };
    also(4, "min");
    also(5, "sec");
    return out;
  }
  return std::nullopt;
}

/// The unit of a column that counts time, in its header or below it [ms].
std::optional<double> elapsed_unit(const ClockQuestion& q, std::size_t i) {
  const HeaderParts parts = split_header(q.headers[i]);
  // Below any other name it is a counter: of the hours that a compressor has run, for example.
  const bool below = parts.unit_text.empty() && i < q.units.size() && names_time(q.headers[i]);
  const Result<Unit> unit = parse_unit(below ? q.units[i] : parts.unit_text);
  if (unit && unit->dimension == Dimension::time) return unit->scale * 1e3;
  return std::nullopt;
}

/// A spreadsheet's day number in one column, the fraction of the day in another.
std::optional<ClockChoice> choose_split_days(const ClockQuestion& q,
                                             std::span<const ColumnLook> looks) {
  std::optional<std::size_t> day;
  std::optional<std::size_t> fraction;
  for (std::size_t i = 0; i < looks.size(); ++i) {
    const ColumnLook& look = looks[i];
    if (!usable(q, i) || !names_time(q.headers[i]) || !look.mostly(look.numbers)) continue;
    if (look.whole && look.lowest > 20000 && look.highest < 80000 && !day) day = i;
    if (!look.whole && look.lowest >= 0.0 && look.highest < 1.0 && !fraction) fraction = i;
  }
  if (!day || !fraction) return std::nullopt;
  return ClockChoice{
      ClockForm::excel_days,
      {*day, *fraction},
      0.85,
      "spreadsheet days in " + named(q, *day) + ", parts of the day in " + named(q, *fraction)};
}

/// Epoch seconds, spreadsheet days, or a count from the start.
std::optional<ClockChoice> choose_number(const ClockQuestion& q,
                                         std::span<const ColumnLook> looks) {
  for (const bool by_name : {true, false}) {
    for (std::size_t i = 0; i < looks.size(); ++i) {
      const ColumnLook& look = looks[i];
      if (!usable(q, i) || names_time(q.headers[i]) != by_name) continue;
      if (look.mostly(look.epochs) && (by_name || look.rises() || look.numbers < 3)) {
        return ClockChoice{
            ClockForm::epoch,
            {i},
            by_name ? 0.97 : 0.9,
            "column " + named(q, i) + " counts from 1970 (seconds, or thousandths and so on)"};
      }
      if (!look.mostly(look.numbers) || !look.rises()) continue;
      if (by_name && look.lowest > 20000 && look.highest < 80000 && !look.whole) {
        return ClockChoice{
            ClockForm::excel_days,
            {i},
            0.9,
            "column " + named(q, i) + " holds spreadsheet dates (days since 1899-12-30)"};
      }
      const auto unit = elapsed_unit(q, i);
      if ((by_name || unit) && std::abs(look.first) < 1e6 && unit) {
        return ClockChoice{
            ClockForm::elapsed, {i}, 0.9, "column " + named(q, i) + " counts time from the start"};
      }
      if (!q.has_header && i == 0 && look.downs == 0 && std::abs(look.first) < 1e-3) {
        return ClockChoice{
            ClockForm::elapsed,
            {i},
            0.6,
            "the first column rises steadily from zero, as seconds from the start do"};
      }
    }
  }
  return std::nullopt;
}

/// "GMT-06:00", "UTC+1", "(UTC)" or an IANA name in the clock's header.
void read_zone_in_header(const std::string& header, ClockPlan& plan) {
  const std::string low = to_lower(header);
  for (const char* word : {"gmt", "utc"}) {
    const std::size_t at = low.find(word);
    if (at == std::string::npos) continue;
    if (at > 0 && low[at - 1] >= 'a' && low[at - 1] <= 'z') continue;
    StampFields f;
    std::string rest = header.substr(at);
    rest = rest.substr(0, rest.find_first_of(")],;"));
    if (parse_stamp("12:00 " + rest, f) && f.has_offset) {
      plan.offset_minutes = f.offset_minutes;
      plan.assumptions.push_back("The clock's header says \"" + std::string(trim(rest)) + "\".");
      return;
    }
  }
  const std::size_t slash = header.find('/');
  if (slash == std::string::npos || slash == 0) return;
  const auto part = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '-' || c == '/';
  };
  std::size_t from = slash;
  std::size_t to = slash;
  while (from > 0 && part(header[from - 1])) --from;
  while (to < header.size() && part(header[to])) ++to;
  const std::string name = header.substr(from, to - from);
  if (name.size() > 5 && name[0] >= 'A' && name[0] <= 'Z' &&
      zone_offset_minutes(name, Instant{}).has_value()) {
    plan.zone = name;
  }
}

void take_map(const ChannelMap* map, ClockPlan& plan) {
  if (map == nullptr) return;
  if (map->zone) {
    plan.zone = map->zone;
    plan.offset_minutes.reset();
  } else if (map->offset_minutes) {
    plan.offset_minutes = map->offset_minutes;
    plan.zone.reset();
  }
  if (map->clock.year) plan.year = *map->clock.year;
  if (map->clock.start) {
    plan.start = *map->clock.start;
    plan.day = map->clock.start->ms / 86400000 * 86400000;
  }
}

void note_what_lacks(const ChannelMap* map, ClockPlan& plan) {
  const bool counted = plan.form == ClockForm::day_of_year;
  const bool no_year =
      counted ? !plan.says_year
              : plan.form == ClockForm::stamps &&
                    (plan.order == DateOrder::day_month || plan.order == DateOrder::month_day);
  const bool stated = map != nullptr && map->clock.start.has_value();
  if (plan.form == ClockForm::stamps && plan.order == DateOrder::none && !stated) {
    plan.assumptions.emplace_back(
        "The time stamps carry no date: the first day is shown as 1970-01-01. Say the date in a "
        "map, [clock] start = \"2026-01-14\".");
    plan.asks.emplace_back("start = \"2026-01-14\"   # the date of the first row");
  }
  if (no_year && (map == nullptr || !map->clock.year)) {
    plan.assumptions.emplace_back("The time stamps carry no year: the first row is shown as " +
                                  std::to_string(plan.year) +
                                  ". Say the year in a map, [clock] year = 2026.");
    plan.asks.emplace_back("year = 2026   # the year of the first row");
  }
  if (plan.form == ClockForm::rows) {
    plan.assumptions.emplace_back(
        "The file has no time column: each row is taken as one interval of " +
        format_duration(plan.unit_ms * 1e-3) + ", as the map says" +
        (stated ? "." : "; the first is shown as 1970-01-01 00:00, say [clock] start."));
  }
  if (plan.form == ClockForm::elapsed && !stated) {
    plan.assumptions.emplace_back(
        "The clock counts from the start of the recording, shown as 1970-01-01 00:00. Say the "
        "instant of zero in a map, [clock] start = \"2026-01-14 06:30\".");
    plan.asks.emplace_back("start = \"2026-01-14 06:30\"   # the instant of zero");
  }
}

/// The columns that the map names.
Result<std::vector<std::size_t>> mapped_columns(const ClockQuestion& q) {
  std::vector<std::size_t> out;
  // Code may set the one column; a map file may name several.
  std::vector<std::string> names = q.map->clock.columns;
  if (!q.map->time_column.empty() && (names.empty() || names.front() != q.map->time_column)) {
    names = {q.map->time_column};
  }
  for (const std::string& name : names) {
    const auto found = std::find(q.headers.begin(), q.headers.end(), name);
    if (found == q.headers.end()) {
      return Error{ErrorCode::not_found,
                   "the time column \"" + name + "\" that the map names is not there", "", ""};
    }
    out.push_back(static_cast<std::size_t>(found - q.headers.begin()));
  }
  return out;
}

/// "1.76837E+12", "####": what a spreadsheet makes of stamps that do not fit into its column.
std::optional<Error> shortened_stamps(const ClockQuestion& q) {
  for (std::size_t i = 0; i < q.headers.size(); ++i) {
    if (q.has_header && !names_time(q.headers[i])) continue;
    std::size_t filled = 0;
    std::size_t cut = 0;
    std::string first;
    for (const std::vector<std::string>& row : q.rows) {
      if (i >= row.size() || row[i].empty()) continue;
      ++filled;
      const std::string& cell = row[i];
      const bool power = cell.front() >= '0' && cell.front() <= '9' &&
                         cell.find_first_not_of("0123456789.,eE+") == std::string::npos &&
                         to_lower(cell).find("e+") != std::string::npos;
      const bool signs = cell.find_first_not_of('#') == std::string::npos;
      if (!power && !signs) continue;
      if (cut++ == 0) first = cell;
    }
    if (filled == 0 || cut * 10 < filled * 7) continue;
    return Error{ErrorCode::inconsistent,
                 "the times in " + named(q, i) + " were shortened by a spreadsheet (\"" + first +
                     "\"), and what was cut off is lost",
                 "",
                 "Take the file as the logger wrote it, or widen the column and show it as a date "
                 "with seconds before it is saved as text"};
  }
  return std::nullopt;
}

/// Of columns that the map names, what they hold.
ClockChoice mapped_choice(const ClockQuestion& q, std::span<const ColumnLook> looks,
                          std::vector<std::size_t> fixed) {
  ClockChoice out{ClockForm::stamps, fixed, 1.0, "the map says so"};
  const ColumnLook& look = looks[fixed.front()];
  const ColumnLook& last = looks[fixed.back()];
  if (fixed.size() == 2 && look.mostly(look.dates) && !last.mostly(last.times)) {
    out.time_digits = digits_of_time(last);
  }
  out.ranges = last.holds_spans() && !q.map->clock.form;
  if (q.map->clock.form) {
    out.form = *q.map->clock.form;
  } else if (fixed.size() > 2) {
    out.form = ClockForm::parts;
  } else if (fixed.size() == 1 && look.filled > 0 && look.short_stamps == look.filled &&
             look.lowest >= 2e9) {
    out.date_digits = 10;
  } else if (look.mostly(look.short_dates) && fixed.size() == 2) {
    out.date_digits = 6;
    if (!last.mostly(last.times)) out.time_digits = digits_of_time(last);
  } else if (fixed.size() == 1 && look.mostly(look.epochs)) {
    out.form = ClockForm::epoch;
  } else if (fixed.size() == 1 && look.mostly(look.numbers) && !look.mostly(look.full)) {
    const bool days = look.lowest > 20000 && look.highest < 80000 && !look.whole;
    out.form = days ? ClockForm::excel_days : ClockForm::elapsed;
  }
  if (out.form == ClockForm::stamps && q.map->clock.form) {
    if (look.mostly(look.short_dates)) out.date_digits = 6;
    if (look.filled > 0 && look.short_stamps == look.filled) out.date_digits = 10;
    if (fixed.size() == 2 && !last.mostly(last.times)) out.time_digits = digits_of_time(last);
  }
  if (out.form == ClockForm::day_of_year) {
    out.says_year = fixed.size() > 1 && look.lowest >= 1970.0;
    const std::size_t of_date = out.says_year ? 2 : 1;
    if (fixed.size() == of_date + 1 && last.highest > 24.0) out.time_digits = digits_of_time(last);
  }
  return out;
}

/// Spans of time; a schedule beside stamps is no clock.
std::optional<ClockChoice> choose_spans_alone(const ClockQuestion& q,
                                              std::span<const ColumnLook> looks) {
  auto ranges = choose_ranges(q, looks);
  if (!ranges) return std::nullopt;
  std::vector<ColumnLook> others(looks.begin(), looks.end());
  for (ColumnLook& look : others) {
    if (look.holds_spans()) look = ColumnLook{};
  }
  if (auto stamps = choose_stamps(q, others); stamps && stamps->confidence > 0.9) return stamps;
  if (auto number = choose_number(q, others); number && number->form != ClockForm::elapsed) {
    return number;
  }
  return ranges;
}

Result<ClockChoice> choose(const ClockQuestion& q) {
  if (q.map != nullptr && q.map->clock.form == ClockForm::rows) {
    return ClockChoice{ClockForm::rows, {}, 1.0, "the map says that each row is one interval"};
  }
  std::vector<ColumnLook> looks;
  for (std::size_t i = 0; i < q.headers.size(); ++i) looks.push_back(look_at_column(q, i));
  std::vector<std::size_t> fixed;
  if (q.map != nullptr) {
    Result<std::vector<std::size_t>> columns = mapped_columns(q);
    if (!columns) return columns.error();
    fixed = std::move(*columns);
  }
  if (!fixed.empty()) return mapped_choice(q, looks, std::move(fixed));
  if (auto ranges = choose_spans_alone(q, looks)) return *ranges;
  if (auto stamps = choose_stamps(q, looks); stamps && stamps->confidence > 0.9) return *stamps;
  if (auto dates = choose_short_dates(q, looks)) return *dates;
  if (auto days = choose_day_of_year(q, looks)) return *days;
  if (auto spans = choose_spans(q, looks)) return *spans;
  if (auto parts = choose_parts(q, looks)) return *parts;
  if (auto split = choose_split_days(q, looks)) return *split;
  if (auto number = choose_number(q, looks)) return *number;
  if (auto stamps = choose_stamps(q, looks)) return *stamps;
  if (q.rows.empty()) {
    return Error{ErrorCode::not_found, "there is no row of readings below the header", "", ""};
  }
  if (auto cut = shortened_stamps(q)) return *cut;
  return Error{
      ErrorCode::not_found,
      "no column holds time stamps (dates with times, epoch seconds, spreadsheet days or a "
      "count from the start)",
      "", ""};
}

}  // namespace

Result<ClockPlan> plan_clock(const ClockQuestion& q) {
  Result<ClockChoice> choice = choose(q);
  if (!choice) return choice.error();
  ClockPlan plan;
  plan.form = choice->form;
  plan.columns = choice->columns;
  plan.time_digits = choice->time_digits;
  plan.date_digits = choice->date_digits;
  plan.ranges = choice->ranges;
  plan.says_year = choice->says_year;
  plan.decimal = q.dialect->decimal;
  plan.finding = {std::string(name_of(plan.form)), choice->confidence, choice->reason};
  for (const std::size_t column : plan.columns) {
    if (q.has_header && !plan.zone && !plan.offset_minutes) {
      read_zone_in_header(q.headers[column], plan);
    }
  }
  take_map(q.map, plan);
  if (plan.form == ClockForm::elapsed) {
    plan.unit_ms = elapsed_unit(q, plan.columns.front()).value_or(1e3);
  }
  if (plan.form == ClockForm::rows) plan.unit_ms = q.map->clock.interval_ms;
  if (plan.ranges) {
    plan.assumptions.emplace_back(
        "Each row stands for a span of time; its beginning is taken as the row's time. If the "
        "readings are of the end, say the span in a map, [clock] shift = \"5 min\".");
  }
  if (plan.form == ClockForm::stamps) {
    if (Status order = decide_order(q, plan); !order) return order.error();
  }
  note_what_lacks(q.map, plan);
  return plan;
}

}  // namespace cw
