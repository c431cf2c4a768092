// Reading of long tables: a row is one reading of one signal.
#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"
#include "ingest/clock/first_hour.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/cut_off.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/quality_columns.h"
#include "ingest/delimited/shapes.h"
#include "ingest/delimited/unit_columns.h"
#include "series/recording.h"

namespace cw {
namespace {

constexpr std::size_t most_signals = 4000;

std::string signal_name(std::span<const std::string> row, const LongShape& shape) {
  std::string out;
  for (const std::size_t column : shape.names) {
    if (column >= row.size() || row[column].empty()) continue;
    if (!out.empty()) out += " / ";
    out += row[column];
  }
  return out;
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

/// The signals of a long table in the order in which they come.
struct Signals {
  Layout as_columns;  ///< as the headers of a wide table, with their units where these are known
  std::map<std::string, std::size_t, std::less<>> index;  ///< by name
  std::vector<std::string> unit;  ///< that a signal's rows say first, known or not
  LongShape shape;  ///< without the column of units where all rows show that it is none
  std::vector<std::string> assumptions;  ///< sentences
};

/// What is said of a column called "Unit" that does not hold known units throughout.
void note_units(const Layout& layout, const UnitTally& tally, Signals& signals) {
  if (!signals.shape.unit || tally.filled() == 0 || tally.units() == tally.filled()) return;
  const std::string column = "Column \"" + layout.headers[*signals.shape.unit] +
                             "\" holds units in " + std::to_string(tally.units()) + " of " +
                             std::to_string(tally.filled()) + " rows";
  const std::string others =
      tally.unknown_text().empty() ? std::string() : ", and also " + tally.unknown_text();
  if (tally.holds_units()) {
    signals.assumptions.push_back(column + others +
                                  ": a unit that is not known is taken as that of its signal's "
                                  "header or map where it is the first of the signal.");
  } else if (tally.holds_some()) {
    signals.assumptions.push_back(column + others +
                                  ": it is not taken as the readings' units, which are those of "
                                  "the signals' headers or map.");
  }
}

/// A column's plan must stand before its first cell is read: first the names, then the values.
Signals find_signals(std::string_view text, const Layout& layout, std::size_t cells,
                     const LongShape& shape) {
  Signals out{layout, {}, {}, shape, {}};
  out.as_columns.headers.clear();
  UnitTally tally;
  walk_rows(text, layout, cells, [&](std::span<const std::string> row, std::size_t) {
    const std::string name = signal_name(row, shape);
    if (!name.empty() && out.index.size() < most_signals && out.index.count(name) == 0) {
      out.index.emplace(name, out.unit.size());
      out.as_columns.headers.push_back(name);
      out.unit.emplace_back();
    }
    if (shape.unit && *shape.unit < row.size()) tally.add(row[*shape.unit], layout.dialect);
    const auto found = out.index.find(name);
    if (found != out.index.end() && out.unit[found->second].empty()) {
      out.unit[found->second] = unit_in(row, shape);
    }
    return true;
  });
  note_units(layout, tally, out);
  if (!tally.holds_units()) {
    out.shape.unit.reset();
    for (std::string& unit : out.unit) unit.clear();
  }
  out.as_columns.units = out.unit;
  for (std::string& unit : out.as_columns.units) {
    if (!parse_unit(unit)) unit.clear();
  }
  return out;
}

/// So many cells of each row are looked at.
std::size_t cells_needed(const ClockPlan& clock, const LongShape& shape) {
  std::size_t last = std::max({shape.value, shape.quality.value_or(0), shape.unit.value_or(0)});
  for (const std::size_t name : shape.names) last = std::max(last, name);
  for (const std::size_t column : clock.columns) last = std::max(last, column);
  return last + 1;
}

/// Marks that are not applied are said, of all rows.
std::optional<std::string> unapplied_marks(std::string_view text, const Layout& layout,
                                           const LongShape& shape) {
  std::vector<QualityColumn> applied;
  // In a survey the proposal of a shape says it.
  if (shape.quality) applied.push_back({*shape.quality, shape.value});
  std::vector<std::size_t> columns = quality_columns_beside(layout, applied);
  std::erase_if(columns, [&](std::size_t column) {
    return column == shape.value ||
           std::find(shape.names.begin(), shape.names.end(), column) != shape.names.end();
  });
  if (columns.empty()) return std::nullopt;
  std::optional<std::size_t> bad;
  walk_rows(text, layout, columns.back() + 1, [&](std::span<const std::string> row, std::size_t) {
    for (const std::size_t column : columns) {
      if (column < row.size() && warns_of_reading(row[column])) bad = column;
    }
    return !bad.has_value();
  });
  if (!bad) return std::nullopt;
  return marks_not_applied(layout.headers[*bad]);
}

/// A table for each signal, without rows.
std::vector<SourceTable> empty_tables(const TablePlan& plan, const ReadContext& context) {
  std::vector<SourceTable> tables(plan.columns.size());
  for (std::size_t i = 0; i < tables.size(); ++i) {
    const ColumnPlan& column = plan.columns[i];
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
  return tables;
}

/// All that is said of units and marks.
std::vector<std::string> remarks_on(std::string_view text, const Layout& layout,
                                    const TablePlan& plan, const Signals& signals) {
  std::vector<std::string> out = signals.assumptions;
  for (const ColumnPlan& column : plan.columns) {
    if (!signals.shape.unit) break;
    auto said = units_disagree(column, signals.as_columns.units[column.index],
                               layout.headers[*signals.shape.unit]);
    if (said) out.push_back(std::move(*said));
  }
  if (auto said = unapplied_marks(text, layout, signals.shape)) out.push_back(std::move(*said));
  return out;
}

}  // namespace

Result<std::vector<SourceTable>> read_long(std::string_view text, const Layout& layout,
                                           const ClockPlan& clock, const LongShape& found_shape,
                                           const ReadContext& context) {
  const std::size_t begin = std::min(layout.data_begin, text.size());
  const char end_of_line = LineCutter::end_of_line_in(text.substr(0, 1U << 20U));
  const auto cut = find_cut_off(text.substr(begin), layout, end_of_line);
  const bool lost = cut && cut->kind == CutOff::Kind::lost;
  const bool of_clock = cut && std::find(clock.columns.begin(), clock.columns.end(), cut->index) !=
                                   clock.columns.end();
  const std::size_t cells = cells_needed(clock, found_shape);
  const Signals signals = find_signals(text, layout, cells, found_shape);
  const LongShape& shape = signals.shape;
  Result<TablePlan> plan = plan_table(signals.as_columns, {}, context);
  if (!plan) return plan.error();
  std::vector<SourceTable> tables = empty_tables(*plan, context);
  std::vector<std::size_t> slot_of(signals.unit.size(), most_signals);
  for (std::size_t i = 0; i < tables.size(); ++i) slot_of[plan->columns[i].index] = i;
  std::vector<ClockResolver> resolvers(tables.size(), ClockResolver(clock));
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
    const bool at_cut = cut && cut->line == line;
    if (at_cut && lost && of_clock) {
      note_cut_off(*cut, layout, context);
      return true;
    }
    tables[slot].time.push_back(*answer.instant);
    tables[slot].line.push_back(static_cast<std::uint32_t>(line));
    // The unit that is not known, and is the same in all rows, is what the map says of it.
    std::string_view unit = unit_in(row, shape);
    const bool known = !signals.as_columns.units[found->second].empty();
    if (!known && unit == signals.unit[found->second]) unit = {};
    float value = reader.read_in_unit(row[shape.value], unit, slot, line);
    const bool value_cut = at_cut && cut->index == shape.value && !is_missing(value);
    if (value_cut && !lost) tables.front().assumptions.push_back(doubt_of_end(*cut, layout));
    if (value_cut && lost) {
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
  if (!tables.empty()) {
    tables.front().not_understood = plan->not_understood;
    for (std::string& said : remarks_on(text, layout, *plan, signals)) {
      tables.front().assumptions.push_back(std::move(said));
    }
  }
  context.log->merge(reader.log());
  return tables;
}

}  // namespace cw
