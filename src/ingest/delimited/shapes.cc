#include "ingest/delimited/shapes.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "base/text.h"
#include "ingest/clock/first_hour.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/cut_off.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/quality_columns.h"
#include "ingest/header.h"
#include "series/recording.h"

namespace cw {
namespace {

constexpr std::size_t most_signals = 4000;

std::vector<std::string> clock_cells(std::span<const std::string> row, const ClockPlan& clock) {
  std::vector<std::string> out;
  for (const std::size_t column : clock.columns) {
    out.push_back(column < row.size() ? row[column] : std::string());
  }
  return out;
}

std::string signal_name(std::span<const std::string> row, const LongShape& shape) {
  std::string out;
  for (const std::size_t column : shape.names) {
    if (column >= row.size() || row[column].empty()) continue;
    if (!out.empty()) out += " / ";
    out += row[column];
  }
  return out;
}

/// What stands as unit beside signals that have none; it says nothing for or against units.
bool is_no_unit(const std::string& cell) {
  constexpr std::array words = {"bool", "boolean", "enum", "state", "on/off", "-", "n/a", "none"};
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return equal_ignoring_case(cell, word); });
}

/// The unit that the row says, known or not.
std::string_view unit_in(std::span<const std::string> row, const LongShape& shape) {
  if (!shape.unit || *shape.unit >= row.size()) return {};
  return is_no_unit(row[*shape.unit]) ? std::string_view() : row[*shape.unit];
}

/// Does a column of qualities count here, by the map or by its own words, and does it say of this
/// row that it is not good?
bool marks_bad(std::span<const std::string> row, const LongShape& shape) {
  if (!shape.own_form || !shape.quality || *shape.quality >= row.size()) return false;
  return std::find(shape.good.begin(), shape.good.end(), to_lower(row[*shape.quality])) ==
         shape.good.end();
}

std::optional<std::size_t> index_of(const Layout& layout, const std::string& header) {
  const auto found = std::find(layout.headers.begin(), layout.headers.end(), header);
  if (found == layout.headers.end()) return std::nullopt;
  return static_cast<std::size_t>(found - layout.headers.begin());
}

struct TextColumn {
  std::size_t index = 0;
  std::set<std::string> texts;
  std::size_t texts_seen = 0;
  std::size_t channels = 0;
  std::size_t numbers = 0;
  std::size_t filled = 0;
};

std::vector<TextColumn> look_at_texts(const Layout& layout, const ClockPlan& clock) {
  std::vector<TextColumn> out;
  for (std::size_t c = 0; c < layout.headers.size(); ++c) {
    if (std::find(clock.columns.begin(), clock.columns.end(), c) != clock.columns.end()) continue;
    TextColumn column;
    column.index = c;
    for (const auto& row : layout.rows) {
      if (c >= row.size() || row[c].empty()) continue;
      ++column.filled;
      if (is_number(row[c], layout.dialect)) {
        ++column.numbers;
        continue;
      }
      ++column.texts_seen;
      StampFields stamp;
      if (parse_stamp(row[c], stamp)) ++column.numbers;
      column.channels += read_channel_header(row[c]).has_value() ? 1U : 0U;
      if (column.texts.size() < 500) column.texts.insert(row[c]);
    }
    out.push_back(std::move(column));
  }
  return out;
}

/// The number column that a long table's values stand in: the one named so, else the only one.
std::optional<std::size_t> value_column(const Layout& layout,
                                        const std::vector<TextColumn>& columns) {
  std::optional<std::size_t> best;
  std::size_t found = 0;
  for (const TextColumn& column : columns) {
    if ((column.numbers - std::min(column.numbers, column.texts_seen)) * 2 <= layout.rows.size())
      continue;
    const std::string low = to_lower(layout.headers[column.index]);
    for (const char* word : {"value", "reading", "volume", "wert", "valeur", "valor"}) {
      if (low.find(word) != std::string::npos) return column.index;
    }
    best = column.index;
    ++found;
  }
  return found == 1 ? best : std::nullopt;
}

/// Rows among these that have the stamp and the names of an earlier one.
std::size_t doubles(const Layout& layout, const ClockPlan& clock,
                    const std::vector<std::size_t>& names) {
  std::set<std::string> seen;
  std::size_t out = 0;
  for (std::size_t i = 0; i < layout.rows.size() && i < 190; ++i) {
    std::string key;
    for (const std::string& cell : clock_cells(layout.rows[i], clock)) key += cell + '\x1f';
    for (const std::size_t name : names) {
      key += (name < layout.rows[i].size() ? layout.rows[i][name] : std::string()) + '\x1f';
    }
    out += seen.insert(std::move(key)).second ? 0U : 1U;
  }
  return out;
}

/// Of columns of words those that tell the rows of one stamp apart, the one that tells most first;
/// a mark of quality or a remark tells nothing that a name does not.
std::vector<std::size_t> telling_columns(const Layout& layout, const ClockPlan& clock,
                                         std::vector<std::size_t> words) {
  std::vector<std::size_t> out;
  std::size_t left = doubles(layout, clock, out);
  const std::size_t all = left;
  while (left > 0 && !words.empty()) {
    std::size_t best = 0;
    std::size_t least = left;
    for (std::size_t w = 0; w < words.size(); ++w) {
      std::vector<std::size_t> with = out;
      with.push_back(words[w]);
      const std::size_t now = doubles(layout, clock, with);
      if (now < least) {
        least = now;
        best = w;
      }
    }
    if ((left - least) * 10 < all || least == left) break;
    left = least;
    out.push_back(words[best]);
    words.erase(words.begin() + static_cast<std::ptrdiff_t>(best));
  }
  std::sort(out.begin(), out.end());
  return out;
}

/// A table that holds one signal below the other: the clock steps back wherever the name changes
/// and nowhere else.
bool restarts_with(const Layout& layout, const ClockPlan& clock, std::size_t column) {
  StampReader stamps(clock);
  std::optional<std::int64_t> last;
  std::string name;
  std::set<std::string> names;
  std::size_t back = 0;
  std::size_t explained = 0;
  for (const std::vector<std::string>& row : layout.rows) {
    if (column >= row.size()) continue;
    const auto stamp = stamps.read(clock_cells(row, clock));
    if (!stamp) continue;
    if (last && stamp->ms < *last) {
      ++back;
      explained += row[column] != name ? 1U : 0U;
    }
    last = stamp->ms;
    if (row[column] == name) continue;
    // A mode comes again, a signal that is written in one piece does not.
    name = row[column];
    if (!names.insert(name).second) return false;
  }
  return back > 0 && explained == back;
}

/// The column that marks readings as good or not, and which of its texts mean good.
void find_quality(const Layout& layout, const std::vector<TextColumn>& columns, LongShape& shape) {
  for (const TextColumn& column : columns) {
    const auto used = [&](std::size_t i) { return i == column.index; };
    if (column.index == shape.value || std::any_of(shape.names.begin(), shape.names.end(), used)) {
      continue;
    }
    const std::string low = to_lower(layout.headers[column.index]);
    const bool said = low.find("quality") != low.npos || low.find("status") != low.npos ||
                      low.find("valid") != low.npos || low.find("qualit") != low.npos;
    if (!said) continue;
    std::set<std::string> good;
    for (const auto& row : layout.rows) {
      if (column.index >= row.size()) continue;
      // 192 is "good" among the quality bits of OPC; from memory.
      for (const char* word : {"good", "ok", "valid", "normal", "gut", "192", "true"}) {
        if (equal_ignoring_case(row[column.index], word)) good.insert(row[column.index]);
      }
    }
    if (good.empty()) continue;
    shape.quality = column.index;
    shape.good.assign(good.begin(), good.end());
    return;
  }
}

/// The same where the names are channels and the marks are applied: only a column of nothing but
/// words for good and bad. An empty one marks nothing.
void take_certain_quality(const Layout& layout, LongShape& shape) {
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    const std::string low = to_lower(layout.headers[i]);
    const bool said = low.find("qualit") != low.npos || low.find("status") != low.npos ||
                      low.find("valid") != low.npos || low.find("calidad") != low.npos;
    if (!said || i == shape.value || !holds_qualities(layout, i)) continue;
    shape.quality = i;
    shape.good.assign(good_words.begin(), good_words.end());
    shape.good.emplace_back();
    return;
  }
}

/// A column called "Unit" that holds units: rows of one signal may change theirs. "Indoor unit" is
/// none, nor is one that numbers machines or names zones A, B, C.
std::optional<std::size_t> unit_column(const Layout& layout, const LongShape& shape) {
  constexpr std::array names = {"unit",
                                "units",
                                "einheit",
                                "einheiten",
                                "unidad",
                                "unidades",
                                "unit\xC3\xA9",
                                "unit\xC3\xA0",
                                "\xE5\x8D\x98\xE4\xBD\x8D",   // 単位
                                "\xE5\x8D\x95\xE4\xBD\x8D"};  // 单位
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    const auto used = [&](std::size_t name) { return name == i; };
    if (i == shape.value || std::any_of(shape.names.begin(), shape.names.end(), used)) continue;
    const std::string header = to_lower(trim(layout.headers[i]));
    if (std::find(names.begin(), names.end(), header) == names.end()) continue;
    std::size_t filled = 0;
    std::size_t units = 0;
    for (const std::vector<std::string>& row : layout.rows) {
      if (i >= row.size() || row[i].empty() || is_no_unit(row[i])) continue;
      ++filled;
      units += !is_number(row[i], layout.dialect) && parse_unit(row[i]) ? 1U : 0U;
    }
    if (units > 0 && units * 10 >= filled * 9) return i;
  }
  return std::nullopt;
}

/// How often does a row have the stamp of the row before it?
double repeated_share(const Layout& layout, const ClockPlan& clock) {
  std::size_t same = 0;
  std::size_t pairs = 0;
  for (std::size_t i = 1; i < layout.rows.size() && i < 190; ++i) {
    ++pairs;
    same += clock_cells(layout.rows[i], clock) == clock_cells(layout.rows[i - 1], clock) ? 1U : 0U;
  }
  return pairs == 0 ? 0.0 : static_cast<double>(same) / static_cast<double>(pairs);
}

}  // namespace

void walk_rows(std::string_view text, const Layout& layout, std::size_t cells,
               const std::function<bool(std::span<const std::string>, std::size_t)>& visit) {
  LineCutter lines(text.substr(std::min(layout.data_begin, text.size())),
                   LineCutter::end_of_line_in(text.substr(0, 1U << 20U)));
  std::string_view line;
  std::string scratch;
  std::vector<std::string> row;
  while (lines.next(line)) {
    if (is_blank_or_comment(line) || line == layout.header_text) continue;
    CellCutter cutter(line, layout.dialect.delimiter, scratch);
    std::string_view cell;
    std::size_t used = 0;
    while (used < cells && cutter.next(cell)) {
      if (row.size() <= used) row.emplace_back();
      row[used++].assign(trim(cell));
    }
    if (!visit(std::span(row).first(used), lines.number() + layout.data_line - 1)) return;
  }
}

std::optional<LongShape> find_long(const Layout& layout, const ClockPlan& clock,
                                   const ChannelMap* map) {
  LongShape shape;
  if (map != nullptr && !map->shape.name.empty()) {
    for (const std::string& header : map->shape.name) {
      const auto index = index_of(layout, header);
      if (!index) return std::nullopt;
      shape.names.push_back(*index);
    }
    const auto value = index_of(layout, map->shape.value);
    if (!value) return std::nullopt;
    shape.value = *value;
    if (!map->shape.quality.empty()) {
      shape.quality = index_of(layout, map->shape.quality);
      shape.good = map->shape.good;
    }
    shape.own_form = true;
    shape.unit = unit_column(layout, shape);
    return shape;
  }
  if (clock.columns.empty()) return std::nullopt;
  const std::vector<TextColumn> columns = look_at_texts(layout, clock);
  const auto value = value_column(layout, columns);
  if (!value) return std::nullopt;
  shape.value = *value;
  for (const TextColumn& column : columns) {
    if (column.filled > 0 && column.channels * 10 >= column.filled * 9) {
      shape.names = {column.index};
      shape.own_form = true;
      shape.signals = column.texts.size();
      shape.unit = unit_column(layout, shape);
      take_certain_quality(layout, shape);
      return shape;
    }
  }
  const bool in_turn = repeated_share(layout, clock) >= 0.4;
  std::vector<std::size_t> words;
  for (const TextColumn& column : columns) {
    const bool texts = column.texts_seen * 10 >= column.filled * 9 && column.filled > 3 &&
                       column.numbers * 10 < column.filled;
    if (!texts || column.texts.size() < 2 || column.texts.size() > 200) continue;
    const bool again = column.texts.size() * 3 <= column.texts_seen;
    if (!in_turn && !(again && restarts_with(layout, clock, column.index))) continue;
    words.push_back(column.index);
  }
  shape.names = in_turn || words.empty() ? telling_columns(layout, clock, words)
                                         : std::vector<std::size_t>{words.front()};
  if (shape.names.empty()) return std::nullopt;
  for (const TextColumn& column : columns) {
    if (column.index == shape.names.front()) shape.signals = column.texts.size();
  }
  find_quality(layout, columns, shape);
  shape.unit = unit_column(layout, shape);
  return shape;
}

namespace {

/// The signals of a long table in the order in which they come.
struct Signals {
  Layout as_columns;  ///< as the headers of a wide table, with their units where these are known
  std::map<std::string, std::size_t, std::less<>> index;  ///< by name
  std::vector<std::string> unit;  ///< that a signal's rows say first, known or not
};

/// A column's plan must stand before its first cell is read: first the names, then the values.
Signals find_signals(std::string_view text, const Layout& layout, std::size_t cells,
                     const LongShape& shape) {
  Signals out{layout, {}, {}};
  out.as_columns.headers.clear();
  walk_rows(text, layout, cells, [&](std::span<const std::string> row, std::size_t) {
    const std::string name = signal_name(row, shape);
    if (!name.empty() && out.index.size() < most_signals && out.index.count(name) == 0) {
      out.index.emplace(name, out.unit.size());
      out.as_columns.headers.push_back(name);
      out.unit.emplace_back();
    }
    const auto found = out.index.find(name);
    if (found != out.index.end() && out.unit[found->second].empty()) {
      out.unit[found->second] = unit_in(row, shape);
    }
    return true;
  });
  out.as_columns.units = out.unit;
  for (std::string& unit : out.as_columns.units) {
    if (!parse_unit(unit)) unit.clear();
  }
  return out;
}

}  // namespace

Result<std::vector<SourceTable>> read_long(std::string_view text, const Layout& layout,
                                           const ClockPlan& clock, const LongShape& shape,
                                           const ReadContext& context) {
  const std::size_t begin = std::min(layout.data_begin, text.size());
  const char end_of_line = LineCutter::end_of_line_in(text.substr(0, 1U << 20U));
  const auto cut = find_cut_off(text.substr(begin), layout, end_of_line);
  std::size_t cells = shape.value;
  for (const std::size_t name : shape.names) cells = std::max(cells, name);
  for (const std::size_t column : clock.columns) cells = std::max(cells, column);
  cells = std::max({cells, shape.quality.value_or(0), shape.unit.value_or(0)}) + 1;
  const Signals signals = find_signals(text, layout, cells, shape);
  Result<TablePlan> plan = plan_table(signals.as_columns, {}, context);
  if (!plan) return plan.error();
  std::vector<SourceTable> tables(plan->columns.size());
  std::vector<std::size_t> slot_of(signals.unit.size(), most_signals);
  std::vector<ClockResolver> resolvers(plan->columns.size(), ClockResolver(clock));
  for (std::size_t i = 0; i < plan->columns.size(); ++i) {
    const ColumnPlan& column = plan->columns[i];
    slot_of[column.index] = i;
    tables[i].file = context.file;
    tables[i].columns.push_back({column.place,
                                 column.quantity,
                                 context.file + ", signal \"" + column.header + "\"",
                                 {},
                                 column.header,
                                 column.unit_text,
                                 column.index,
                                 {},
                                 column.gauge_with});
    if (column.quantity == nullptr) continue;
    tables[i].understood.push_back(column.header + " -> " + column.place.text + "." +
                                   column.quantity->name);
  }
  CellReader reader(*plan, layout.dialect, context.file);
  StampReader stamps(clock);
  walk_rows(text, layout, cells, [&](std::span<const std::string> row, std::size_t line) {
    const auto refuse = [&](Counter counter, std::string cell, std::string reason) {
      reader.log().add({counter, context.file, line, "", std::move(cell), std::move(reason)});
      return true;
    };
    const auto found = signals.index.find(signal_name(row, shape));
    if (found == signals.index.end() || shape.value >= row.size()) {
      return refuse(Counter::bad_row_short, row.empty() ? "" : row.front(),
                    "no signal name or no value");
    }
    const std::size_t slot = slot_of[found->second];
    if (slot == most_signals) return true;  // counted as an unknown column
    const auto raw = stamps.read(clock_cells(row, clock));
    if (!raw) return refuse(Counter::bad_time_stamp, clock_cells(row, clock).front(), "no time");
    const ClockResolver::Answer answer = resolvers[slot].resolve(*raw);
    if (!answer.instant) return refuse(answer.reason, "", answer.message);
    tables[slot].time.push_back(*answer.instant);
    tables[slot].line.push_back(static_cast<std::uint32_t>(line));
    // The unit that is not known, and is the same in all rows, is what the map says of it.
    std::string_view unit = unit_in(row, shape);
    const bool known = !signals.as_columns.units[found->second].empty();
    if (!known && unit == signals.unit[found->second]) unit = {};
    float value = reader.read_in_unit(row[shape.value], unit, slot, line);
    if (cut && cut->line == line && cut->index == shape.value && !is_missing(value)) {
      value = missing;
      note_cut_off(*cut, layout, context);
    } else if (marks_bad(row, shape)) {
      value = missing;
      refuse(Counter::bad_quality, row[shape.value], "marked \"" + row[*shape.quality] + "\"");
    }
    tables[slot].columns.front().values.push_back(value);
    return true;
  });
  for (std::size_t i = 0; i < tables.size(); ++i) {
    tables[i].clock = resolvers[i].clock();
    settle_first_hour(clock, tables[i].time);
  }
  if (!tables.empty()) tables.front().not_understood = plan->not_understood;
  context.log->merge(reader.log());
  return tables;
}

std::vector<std::size_t> find_matrix(const Layout& layout) {
  std::vector<std::size_t> out;
  int last = -1;
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    StampFields f;
    if (!parse_stamp(layout.headers[i], f) || f.parts != 0 || !f.has_time) continue;
    const int minute = f.hour * 60 + f.minute;
    if (minute <= last && minute != 0) return {};
    last = minute;
    out.push_back(i);
  }
  if (out.size() < 12) out.clear();
  return out;
}

Result<std::vector<SourceTable>> read_matrix(std::string_view text, const Layout& layout,
                                             const ClockPlan& clock,
                                             const std::vector<std::size_t>& columns,
                                             const ReadContext& context) {
  Layout one = layout;
  one.headers = {context.map != nullptr && !context.map->shape.matrix_channel.empty()
                     ? context.map->shape.matrix_channel
                     : std::string("value")};
  one.units.clear();
  const Result<TablePlan> plan = plan_table(one, {}, context);
  if (!plan) return plan.error();
  std::vector<std::int64_t> of_day;
  for (const std::size_t column : columns) {
    StampFields f;
    parse_stamp(layout.headers[column], f);
    std::int64_t ms = (f.hour * 60 + f.minute) * std::int64_t{60000};
    // 00:00 behind 23:45 is the day's end.
    if (!of_day.empty() && ms == 0) ms = 86400000;
    of_day.push_back(ms);
  }
  SourceTable table;
  table.file = context.file;
  const ColumnPlan& column = plan->columns.front();
  SourceColumn values{column.place,
                      column.quantity,
                      context.file + ", all time columns",
                      {},
                      column.header,
                      column.unit_text,
                      columns.front(),
                      {},
                      column.gauge_with};
  CellReader reader(*plan, layout.dialect, context.file);
  StampReader stamps(clock);
  ClockResolver resolver(clock);
  walk_rows(
      text, layout, layout.headers.size(), [&](std::span<const std::string> row, std::size_t line) {
        const auto raw = stamps.read(clock_cells(row, clock));
        if (!raw) {
          reader.log().add({Counter::bad_time_stamp, context.file, line, "",
                            row.empty() ? "" : row.front(), "no date"});
          return true;
        }
        for (std::size_t i = 0; i < columns.size(); ++i) {
          RawStamp stamp = *raw;
          stamp.ms += of_day[i];
          const ClockResolver::Answer answer = resolver.resolve(stamp);
          if (!answer.instant) {
            reader.log().add({answer.reason, context.file, line, layout.headers[columns[i]], "",
                              answer.message});
            continue;
          }
          table.time.push_back(*answer.instant);
          table.line.push_back(static_cast<std::uint32_t>(line));
          values.values.push_back(columns[i] < row.size() ? reader.read(row[columns[i]], 0, line)
                                                          : missing);
        }
        return true;
      });
  table.clock = resolver.clock();
  if (column.quantity != nullptr) {
    table.understood.push_back(column.header + " -> " + column.place.text + "." +
                               column.quantity->name);
  }
  table.columns.push_back(std::move(values));
  context.log->merge(reader.log());
  std::vector<SourceTable> out;
  out.push_back(std::move(table));
  return out;
}

void fill_unchanged(SourceTable& table, double hold) {
  const auto longest = static_cast<std::int64_t>(hold * 1e3);
  for (SourceColumn& column : table.columns) {
    float last = missing;
    std::int64_t since = 0;
    for (std::size_t i = 0; i < column.values.size(); ++i) {
      if (!is_missing(column.values[i])) {
        last = column.values[i];
        since = table.time[i].ms;
      } else if (!is_missing(last) && table.time[i].ms - since <= longest &&
                 table.time[i].ms >= since) {
        column.values[i] = last;
      }
    }
  }
}

}  // namespace cw
