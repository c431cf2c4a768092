#include "ingest/delimited/column_plan.h"

#include <algorithm>

#include "base/text.h"
#include "ingest/header.h"

namespace cw {
namespace {

void add_words(ColumnPlan& plan, const MappedColumn* mapped) {
  const Quantity& quantity = *plan.quantity;
  const auto add = [&](std::string_view word, double value) {
    plan.words.emplace_back(to_lower(word), value);
  };
  const auto value_of = [&](std::string_view word) {
    if (quantity.dimension == Dimension::flag) return word == "on" ? 1.0 : 0.0;
    return static_cast<double>(quantity.number_of(word).value_or(0));
  };
  if (mapped != nullptr) {
    for (const auto& [from, to] : mapped->words) add(from, value_of(to));
  }
  if (quantity.dimension == Dimension::flag) {
    for (const char* word : {"on", "true", "yes", "active", "calling", "running"}) add(word, 1.0);
    for (const char* word : {"off", "false", "no", "inactive", "idle", "stopped"}) add(word, 0.0);
  }
  if (quantity.dimension == Dimension::state) {
    for (const std::string& word : quantity.words) add(word, value_of(word));
    for (const auto& [from, to] : quantity.synonyms) add(from, value_of(to));
  }
}

ColumnPlan make_plan(std::size_t index, const std::string& header, const Place& place,
                     const Quantity& quantity, const Unit& unit, const MappedColumn* mapped,
                     const ReadContext& context) {
  ColumnPlan plan;
  plan.index = index;
  plan.header = header;
  plan.place = place;
  plan.quantity = &quantity;
  plan.unit_text = std::string(unit.symbol);
  plan.unit = unit;
  if (unit.reference == PressureReference::gauge) {
    plan.unit_text += "(g)";
    plan.gauge_with = context.barometric_pressure;
  }
  plan.scale = unit.scale * (mapped == nullptr ? 1.0 : mapped->factor);
  plan.offset = unit.to_si(0.0, context.barometric_pressure);
  plan.lowest = quantity.lowest;
  plan.highest = quantity.highest;
  if (context.map != nullptr) plan.sentinels = context.map->sentinels;
  if (mapped != nullptr) {
    plan.sentinels.insert(plan.sentinels.end(), mapped->sentinels.begin(), mapped->sentinels.end());
  }
  if (quantity.dimension == Dimension::flag || quantity.dimension == Dimension::state) {
    add_words(plan, mapped);
  }
  return plan;
}

void set_aside(const ReadContext& context, Counter counter, const std::string& header,
               std::string reason) {
  context.log->add({counter, context.file, 1, header, "", std::move(reason)});
}

/// A column that a survey reads as it stands.
void add_raw(std::size_t index, const std::string& header, const std::string& unit_row,
             const ReadContext& context, TablePlan& table) {
  if (context.survey == nullptr) return;
  const HeaderParts parts = split_header(header);
  ColumnPlan plan;
  plan.index = index;
  plan.header = header;
  plan.unit_text = unit_row.empty() ? parts.unit_text : unit_row;
  plan.lowest = -1e300;
  plan.highest = 1e300;
  table.columns.push_back(std::move(plan));
}

/// Plans one column; nothing is added when it is not understood.
void plan_column(std::size_t index, const std::string& header, const std::string& unit_row,
                 const ReadContext& context, TablePlan& table) {
  const ChannelMap* map = context.map;
  const MappedColumn* mapped = map == nullptr ? nullptr : map->find(header);
  if (mapped == nullptr && map != nullptr && map->ignores(header)) {
    set_aside(context, Counter::ignored_column, header, "the map says to ignore it");
    ++table.left_out;
    return;
  }
  Place place;
  const Quantity* quantity = nullptr;
  Unit unit;
  if (mapped != nullptr) {
    place = mapped->place;
    quantity = mapped->quantity;
    unit = mapped->unit;
  } else {
    const auto own = read_channel_header(header);
    if (!own) {
      set_aside(context, Counter::unknown_column, header, "no known channel, and no map names it");
      table.not_understood.push_back(header);
      add_raw(index, header, unit_row, context, table);
      return;
    }
    const Result<QuantityInUnit> stated =
        unit_for(*own->quantity, own->unit_text.empty() ? unit_row : own->unit_text);
    if (!stated) {
      set_aside(context, Counter::column_unit_missing, header, stated.error().text());
      table.not_understood.push_back(header);
      add_raw(index, header, unit_row, context, table);
      return;
    }
    place = own->place;
    quantity = stated->quantity;
    unit = stated->unit;
  }
  for (const ColumnPlan& other : table.columns) {
    if (other.place == place && other.quantity == quantity) {
      set_aside(context, Counter::duplicate_column, header,
                "column \"" + other.header + "\" gives " + place.text + "." + quantity->name);
      return;
    }
  }
  table.columns.push_back(make_plan(index, header, place, *quantity, unit, mapped, context));
}

/// Headers that the map names and the file does not have: a typing error, or another file's map.
void note_absent(const std::vector<std::string>& headers, const ReadContext& context) {
  if (context.map == nullptr || !context.map->shape.matrix_channel.empty()) return;
  for (const MappedColumn& column : context.map->columns) {
    if (std::find(headers.begin(), headers.end(), column.header) != headers.end()) continue;
    std::string reason = "the map names it and the file has no such header";
    const auto close = std::find_if(headers.begin(), headers.end(), [&](const std::string& header) {
      return !header.empty() && edit_distance(header, column.header) <= 2;
    });
    if (close != headers.end()) reason += "; did you mean \"" + *close + "\"?";
    context.log->add({Counter::mapped_column_absent, context.file, 0, column.header, "", reason});
  }
}

std::string quoted_list(const std::vector<std::string>& items) {
  constexpr std::size_t shown = 30;
  std::string out;
  for (std::size_t i = 0; i < items.size() && i < shown; ++i) {
    if (i > 0) out += ", ";
    out += "\"" + items[i] + "\"";
  }
  if (items.size() > shown) out += " and " + std::to_string(items.size() - shown) + " more";
  return out.empty() ? "none" : out;
}

constexpr const char* map_hint =
    "Name the columns of your file in a small map and give it with --map FILE (docs/user/maps.md). "
    "It begins like this:\n\n";

}  // namespace

bool is_channel_header(const std::string& header, const ChannelMap* map) {
  if (map != nullptr && map->find(header) != nullptr) return true;
  return read_channel_header(header).has_value();
}

std::string understood_text(const TablePlan& table) {
  std::vector<std::string> channels;
  for (const ColumnPlan& column : table.columns) {
    if (column.quantity != nullptr) channels.push_back(column.header);
  }
  return "Columns understood: " + quoted_list(channels) +
         ". Not understood: " + quoted_list(table.not_understood);
}

Result<TablePlan> plan_table(const Layout& layout, const std::vector<std::size_t>& clock,
                             const ReadContext& context) {
  TablePlan table;
  const std::vector<std::string>& headers = layout.headers;
  for (std::size_t i = 0; i < headers.size(); ++i) {
    const bool of_clock = std::find(clock.begin(), clock.end(), i) != clock.end();
    if (of_clock || (headers[i].empty() && i + 1 == headers.size())) continue;
    plan_column(i, headers[i], i < layout.units.size() ? layout.units[i] : std::string(), context,
                table);
  }
  note_absent(headers, context);
  // A person who leaves out all that a file has means the file: other files may go on without it.
  const bool all_left_out = table.left_out > 0 && table.not_understood.empty();
  if (table.columns.empty() && !all_left_out && context.survey == nullptr) {
    std::vector<std::string> examples(
        table.not_understood.begin(),
        table.not_understood.begin() +
            static_cast<std::ptrdiff_t>(std::min<std::size_t>(2, table.not_understood.size())));
    return Error{
        ErrorCode::unreadable, "no column is a known channel. " + understood_text(table),
        context.file,
        told(context.reader,
             map_hint + map_skeleton(examples, clock.empty() ? "" : headers[clock.front()]),
             "Say under \"What was understood\" what the columns are")};
  }
  return table;
}

}  // namespace cw
