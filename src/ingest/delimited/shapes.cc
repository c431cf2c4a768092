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
#include "ingest/delimited/unit_columns.h"
#include "ingest/header.h"
#include "series/recording.h"

namespace cw {
namespace {

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

/// A column called "Unit": rows of one signal may change theirs. What it holds all rows must say.
std::optional<std::size_t> unit_column(const Layout& layout, const LongShape& shape) {
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    const auto used = [&](std::size_t name) { return name == i; };
    if (i == shape.value || std::any_of(shape.names.begin(), shape.names.end(), used)) continue;
    if (is_called_unit(layout.headers[i], layout.headers[shape.value])) return i;
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

std::vector<std::string> clock_cells(std::span<const std::string> row, const ClockPlan& clock) {
  std::vector<std::string> out;
  for (const std::size_t column : clock.columns) {
    out.push_back(column < row.size() ? row[column] : std::string());
  }
  return out;
}

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
