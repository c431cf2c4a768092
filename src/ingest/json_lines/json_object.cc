#include "ingest/json_lines/json_object.h"

#include <algorithm>
#include <map>
#include <vector>

#include "ingest/json_lines/grid_builder.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

bool is_scalar(const Json& value) { return !value.is_structured(); }

bool all_of(const Json& list, bool (*is)(const Json&)) {
  return list.is_array() && !list.empty() && std::all_of(list.begin(), list.end(), is);
}

bool is_object(const Json& value) { return value.is_object(); }
bool is_text(const Json& value) { return value.is_string(); }
bool is_list(const Json& value) { return value.is_array(); }

/// The time and the value of a list or an object of two: [1768370400, 21.5] or {"t": ..., "v":
/// ...}.
struct Pair {
  const Json* time = nullptr;
  const Json* value = nullptr;
};

Pair pair_of(const Json& item) {
  if (item.is_array() && item.size() >= 2 && is_scalar(item[0]) && is_scalar(item[1])) {
    return {&item[0], &item[1]};
  }
  if (item.is_object() && item.size() == 2 && is_scalar(item.begin().value()) &&
      is_scalar((++item.begin()).value())) {
    return {&item.begin().value(), &(++item.begin()).value()};
  }
  return {};
}

bool is_pair(const Json& item) { return pair_of(item).time != nullptr; }

/// The list of pairs of a signal, and its other members, which name it.
const Json* points_of(const Json& signal) {
  if (!signal.is_object()) return nullptr;
  for (const auto& [key, member] : signal.items()) {
    if (all_of(member, is_pair)) return &member;
  }
  return nullptr;
}

std::string text_member(const Json& object, std::initializer_list<const char*> keys) {
  for (const char* key : keys) {
    const auto found = object.find(key);
    if (found != object.end() && found->is_string()) return found->get<std::string>();
  }
  return {};
}

enum class Kind { none, rows, columns, named_rows, lists, signals };

struct Found {
  Kind kind = Kind::none;
  const Json* at = nullptr;     ///< the list of rows or signals, or the object with the lists
  const Json* names = nullptr;  ///< Kind::named_rows
  std::size_t size = 0;         ///< cells
};

void take(Found& best, const Found& other) {
  if (other.size > best.size) best = other;
}

/// Lists of scalars side by side, as many each.
Found columns_in(const Json& object) {
  std::map<std::size_t, std::size_t> lengths;
  for (const auto& [key, member] : object.items()) {
    if (all_of(member, is_scalar)) ++lengths[member.size()];
  }
  for (auto it = lengths.rbegin(); it != lengths.rend(); ++it) {
    if (it->second >= 2 && it->first >= 2) {
      return {Kind::columns, &object, nullptr, it->first * it->second};
    }
  }
  return {};
}

/// {"columns": ["time", "a"], "values": [[1, 2], [3, 4]]}
Found named_rows_in(const Json& object) {
  Found best;
  for (const auto& [key, names] : object.items()) {
    if (!all_of(names, is_text)) continue;
    for (const auto& [other, rows] : object.items()) {
      if (!all_of(rows, is_list)) continue;
      const bool fit = std::all_of(rows.begin(), rows.end(),
                                   [&](const Json& row) { return row.size() == names.size(); });
      if (fit) take(best, {Kind::named_rows, &rows, &names, rows.size() * names.size()});
    }
  }
  return best;
}

/// [["time", "a"], ["2026-01-14T06:00Z", 1], ...] or the same without names: every list a row.
Found lists_in(const Json& list) {
  if (!all_of(list, is_list) || list.size() < 2) return {};
  const std::size_t width = list.front().size();
  const bool table = width >= 2 && std::all_of(list.begin(), list.end(), [&](const Json& row) {
                       return row.size() == width && all_of(row, is_scalar);
                     });
  if (!table) return {};
  return {Kind::lists, &list, nullptr, list.size() * width};
}

/// Rows of two with names beside them are no points.
bool is_signal(const Json& item) {
  return points_of(item) != nullptr && named_rows_in(item).kind == Kind::none;
}

Found look(const Json& value, int depth) {
  constexpr int deepest = 6;
  Found best;
  if (depth > deepest || !value.is_structured()) return best;
  if (value.is_array()) {
    if (all_of(value, is_signal)) {
      std::size_t points = 0;
      for (const Json& signal : value) points += points_of(signal)->size();
      return {Kind::signals, &value, nullptr, 2 * points + 1};
    }
    if (all_of(value, is_object)) {
      best = {Kind::rows, &value, nullptr, value.size() * value.front().size()};
      // Few objects that each hold a long list are no rows.
      if (value.size() > 20) return best;
    }
    if (const Found lists = lists_in(value); lists.size > 0) return lists;
    for (std::size_t i = 0; i < value.size() && i < 50; ++i) take(best, look(value[i], depth + 1));
    return best;
  }
  take(best, named_rows_in(value));
  take(best, columns_in(value));
  for (const auto& [key, member] : value.items()) take(best, look(member, depth + 1));
  return best;
}

Result<ConvertedText> columns_text(const Found& found, std::size_t source) {
  UnitGrid grid;
  std::size_t rows = 0;
  std::vector<const Json*> lists;
  std::map<std::size_t, std::size_t> lengths;
  for (const auto& [key, member] : found.at->items()) {
    if (all_of(member, is_scalar)) ++lengths[member.size()];
  }
  for (const auto& [length, times] : lengths) rows = times >= 2 ? length : rows;
  for (const auto& [key, member] : found.at->items()) {
    if (!all_of(member, is_scalar) || member.size() != rows) continue;
    grid.columns.push_back({key, key, "", false});
    lists.push_back(&member);
  }
  for (std::size_t r = 0; r < rows; ++r) {
    grid.rows.emplace_back();
    for (std::size_t c = 0; c < lists.size(); ++c) grid.put(c, json_cell((*lists[c])[r], false));
  }
  return grid.text(source);
}

Result<ConvertedText> named_rows_text(const Found& found, std::size_t source) {
  UnitGrid grid;
  for (const Json& name : *found.names) {
    grid.columns.push_back({name.get<std::string>(), name.get<std::string>(), "", false});
  }
  for (const Json& row : *found.at) {
    grid.rows.emplace_back();
    for (std::size_t c = 0; c < row.size(); ++c) grid.put(c, json_cell(row[c], false));
  }
  return grid.text(source);
}

Result<ConvertedText> lists_text(const Found& found, std::size_t source) {
  UnitGrid grid;
  const Json& first = found.at->front();
  // Texts in the first list name the columns, unless the rows below have nothing but texts, too.
  const bool named = all_of(first, is_text) && !all_of((*found.at)[1], is_text);
  for (std::size_t c = 0; c < first.size(); ++c) {
    const std::string name =
        named ? first[c].get<std::string>() : "column " + std::to_string(c + 1);
    grid.columns.push_back({name, name, "", false});
  }
  for (std::size_t r = named ? 1 : 0; r < found.at->size(); ++r) {
    grid.rows.emplace_back();
    const Json& row = (*found.at)[r];
    for (std::size_t c = 0; c < row.size(); ++c) grid.put(c, json_cell(row[c], false));
  }
  return grid.text(source);
}

/// Signals joined on their times.
Result<ConvertedText> signals_text(const Found& found, std::size_t source) {
  UnitGrid grid;
  grid.columns.push_back({"time", "time", "", false});
  // By number where times are numbers, else by text: ISO stamps sort as they stand.
  std::map<std::pair<double, std::string>, std::map<std::size_t, UnitGrid::Cell>> rows;
  for (const Json& signal : *found.at) {
    std::string name =
        text_member(signal, {"name", "title", "label", "target", "metric", "id", "tag", "key"});
    const std::size_t column = grid.columns.size();
    if (name.empty()) name = "signal " + std::to_string(column);
    grid.columns.push_back({name, name, text_member(signal, {"unit", "units", "uom"}), false});
    for (const Json& point : *points_of(signal)) {
      const Pair pair = pair_of(point);
      if (pair.time == nullptr) continue;
      UnitGrid::Cell time = json_cell(*pair.time, false);
      const double number = pair.time->is_number() ? pair.time->get<double>() : 0.0;
      rows[{number, std::move(time.text)}].try_emplace(column, json_cell(*pair.value, false));
    }
  }
  for (auto& [time, cells] : rows) {
    grid.rows.emplace_back();
    grid.put(0, {time.second, ""});
    for (auto& [column, cell] : cells) grid.put(column, std::move(cell));
  }
  return grid.text(source);
}

}  // namespace

Result<ConvertedText> json_rows_as_text(const Json& rows, std::size_t source) {
  GridBuilder builder;
  for (const Json& item : rows) {
    builder.row();
    builder.object(item);
  }
  return builder.grid().text(source);
}

Result<ConvertedText> json_object_as_text(const Json& root, std::size_t source) {
  const Found found = look(root, 0);
  switch (found.kind) {
    case Kind::rows:
      return json_rows_as_text(*found.at, source);
    case Kind::columns:
      return columns_text(found, source);
    case Kind::named_rows:
      return named_rows_text(found, source);
    case Kind::lists:
      return lists_text(found, source);
    case Kind::signals:
      return signals_text(found, source);
    case Kind::none:
      break;
  }
  return Error{ErrorCode::unsupported, "the JSON holds no table", "",
               "Export rows of objects, or lists of times and values side by side"};
}

}  // namespace cw
