#include "ingest/delimited/column_plan.h"

#include <algorithm>

#include "base/text.h"
#include "ingest/header.h"
#include "ingest/time_stamp.h"

namespace cw {
namespace {

bool reads_as_stamp(std::string_view cell) {
  IsoStampReader iso;
  return iso.read(cell).has_value() || read_epoch(cell).has_value();
}

/// The time column: the map's, else one named so, else the first whose first cell is a time stamp.
std::optional<std::size_t> find_time(const std::vector<std::string>& headers,
                                     const std::vector<std::string>& first_row,
                                     const ChannelMap* map) {
  if (map != nullptr && !map->time_column.empty()) {
    const auto found = std::find(headers.begin(), headers.end(), map->time_column);
    if (found == headers.end()) return std::nullopt;
    return static_cast<std::size_t>(found - headers.begin());
  }
  for (std::size_t i = 0; i < headers.size(); ++i) {
    if (names_time(headers[i]) && i < first_row.size() && reads_as_stamp(first_row[i])) return i;
  }
  for (std::size_t i = 0; i < headers.size() && i < first_row.size(); ++i) {
    if (reads_as_stamp(first_row[i]) && !read_channel_header(headers[i])) return i;
  }
  return std::nullopt;
}

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
  if (unit.reference == PressureReference::gauge) plan.unit_text += "(g)";
  plan.scale = unit.scale;
  plan.offset = unit.to_si(0.0, context.barometric_pressure);
  // A flag may be logged as a percentage or any non-zero number; a reading just beyond a flag's or
  // state's range is not a sensor fault.
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

/// Plans one column; nothing is added when it is not understood.
void plan_column(std::size_t index, const std::string& header, const ReadContext& context,
                 TablePlan& table) {
  const ChannelMap* map = context.map;
  const MappedColumn* mapped = map == nullptr ? nullptr : map->find(header);
  if (mapped == nullptr && map != nullptr &&
      std::find(map->ignored.begin(), map->ignored.end(), header) != map->ignored.end()) {
    set_aside(context, Counter::ignored_column, header, "the map says to ignore it");
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
      return;
    }
    const Result<QuantityInUnit> stated = unit_for(*own->quantity, own->unit_text);
    if (!stated) {
      set_aside(context, Counter::column_unit_missing, header, stated.error().text());
      table.not_understood.push_back(header);
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

Result<TablePlan> plan_table(const std::vector<std::string>& headers,
                             const std::vector<std::string>& first_row,
                             const ReadContext& context) {
  TablePlan table;
  const std::optional<std::size_t> time = find_time(headers, first_row, context.map);
  for (std::size_t i = 0; i < headers.size(); ++i) {
    if (i == time || (headers[i].empty() && i + 1 == headers.size())) continue;
    plan_column(i, headers[i], context, table);
  }
  std::vector<std::string> channels;
  for (const ColumnPlan& column : table.columns) channels.push_back(column.header);
  const std::string seen = "Columns understood: " + quoted_list(channels) +
                           ". Not understood: " + quoted_list(table.not_understood);
  if (table.columns.empty()) {
    std::vector<std::string> examples(
        table.not_understood.begin(),
        table.not_understood.begin() +
            static_cast<std::ptrdiff_t>(std::min<std::size_t>(2, table.not_understood.size())));
    return Error{ErrorCode::unreadable, "no column is a known channel. " + seen, context.file,
                 map_hint + map_skeleton(examples, time ? headers[*time] : "")};
  }
  if (!time) {
    const std::string wanted = context.map != nullptr && !context.map->time_column.empty()
                                   ? "the time column \"" + context.map->time_column +
                                         "\" that the map names is not there. "
                                   : "no column holds time stamps (ISO 8601 or epoch seconds). ";
    return Error{ErrorCode::unreadable, wanted + seen, context.file,
                 "Name the time column in a map, [clock] column = \"...\" (docs/user/maps.md)"};
  }
  table.time_index = *time;
  table.time_header = headers[*time];
  return table;
}

}  // namespace cw
