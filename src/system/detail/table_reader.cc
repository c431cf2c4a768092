#include "system/detail/table_reader.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"

namespace cw::detail {
namespace {

constexpr std::size_t longest_text = 200;

/// Control characters and U+FFFE, U+FFFF have no place in a report or a drawing.
bool is_printable(std::string_view text) {
  unsigned char before = 0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f) return false;
    if (before == 0xC2 && byte < 0xA0) return false;  // U+0080..U+009F
    before = byte;
  }
  return text.find("\xEF\xBF\xBE") == std::string_view::npos &&
         text.find("\xEF\xBF\xBF") == std::string_view::npos;
}

std::string in_quotes(std::string_view text) { return "\"" + std::string(text) + "\""; }

std::vector<std::string> words_of(std::span<const std::string_view> keys) {
  return {keys.begin(), keys.end()};
}

}  // namespace

void Notes::fail(const toml::node& at, ErrorCode code, std::string message, std::string fix) {
  mistakes_.add(at, code, std::move(message), std::move(fix));
}

void Notes::fail_at_line(int line, ErrorCode code, std::string message, std::string fix) {
  mistakes_.add_at_line(line, code, std::move(message), std::move(fix));
}

void Notes::warn(const toml::node& at, std::string message, std::string fix) {
  warn_at(where(toml_line(at)), std::move(message), std::move(fix));
}

void Notes::warn_at(std::string where, std::string message, std::string fix) {
  warnings.push_back({std::move(where), std::move(message), std::move(fix)});
}

std::string Notes::where(const std::string& place) const {
  const auto found = line_of_place.find(place);
  return found == line_of_place.end() ? place : where(found->second);
}

Estimate estimate_per_kW(std::string_view default_key, double cooling_W) {
  const DefaultFigure& figure = default_figure(default_key);
  return {figure.value * cooling_W * 1e-3, figure.text + " per kW of rated cooling", figure.source};
}

Estimate estimate_of(std::string_view default_key) {
  const DefaultFigure& figure = default_figure(default_key);
  return {figure.value, figure.note.empty() ? "usual figure" : figure.note, figure.source};
}

TableReader::TableReader(const toml::table& table, std::string place,
                         std::span<const std::string_view> keys, Notes& notes)
    : table_(table), place_(std::move(place)), notes_(notes) {
  for (const auto& [key, node] : table) {
    const std::string_view text = key.str();
    if (std::find(keys.begin(), keys.end(), text) != keys.end()) continue;
    const std::vector<std::string> known = words_of(keys);
    const std::string near = nearest_word(text, known);
    notes.fail(
        node, ErrorCode::parse, place_ + ": unknown key " + in_quotes(short_text(text)),
        near.empty() ? "Known here: " + list_of(known) : "Did you mean " + in_quotes(near) + "?");
  }
}

void TableReader::note_line(const std::string& place) const {
  notes_.line_of_place[place] = toml_line(table_);
}

const toml::node& TableReader::at(std::string_view key) const {
  const toml::node* node = table_.get(key);
  return node != nullptr ? *node : table_;
}

void TableReader::fail(std::string_view key, std::string message, std::string fix,
                       ErrorCode code) const {
  notes_.fail(at(key), code, place_ + ": " + std::move(message), std::move(fix));
}

std::optional<std::string> TableReader::text(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<std::string>();
  const std::string name(key);
  if (!value) {
    fail(key, name + " must be a text", "Write " + name + " = \"...\" in quotes", ErrorCode::parse);
    return std::nullopt;
  }
  if (trim(*value).empty() || value->size() > longest_text || !is_printable(*value)) {
    fail(key, name + " must have 1 to 200 characters and no control characters",
         "Shorten it, or leave the line out", ErrorCode::parse);
    return std::nullopt;
  }
  return std::string(trim(*value));
}

std::optional<double> TableReader::quantity(std::string_view key, Dimension dimension,
                                            std::string_view range_key) const {
  if (!has(key)) return std::nullopt;
  const Result<double> value = toml_quantity(table_, key, dimension, notes_.file());
  if (!value) {
    fail(key, value.error().message, value.error().fix, value.error().code);
    return std::nullopt;
  }
  const Range& range = range_of(range_key);
  const std::string name(key);
  const std::string given = short_text(table_[key].value_or(number_text(*value)));
  if (*value < range.least || *value > range.most) {
    fail(
        key, name + " = " + given + " cannot be",
        "Give a figure from " + range.least_text + " to " + range.most_text + " and check the unit",
        ErrorCode::out_of_range);
    return std::nullopt;
  }
  if (*value < range.from || *value > range.to) {
    notes_.warn(at(key), place_ + ": " + name + " = " + given + " is unusual",
                "Usual is " + range.from_text + " to " + range.to_text +
                    "; check figure and unit, and leave it if it is right");
  }
  return value.value();
}

double TableReader::quantity_or(std::string_view key, Dimension dimension, std::string_view range,
                                const Estimate& estimate, std::string key_name) const {
  const std::optional<double> given = quantity(key, dimension, range);
  if (!given) {
    if (key_name.empty()) key_name = std::string(key);
    notes_.assume({place_, std::move(key_name), estimate.value, dimension, "", estimate.reason,
                   estimate.source});
    return estimate.value;
  }
  const double factor = default_figure("check.factor_from_estimate").value;
  const double ratio = estimate.value > 0.0 ? *given / estimate.value : 1.0;
  if (ratio > factor || ratio < 1.0 / factor) {
    notes_.warn(at(key),
                place_ + ": " + std::string(key) + " is " + number_text(ratio, 2) +
                    " times what the rated capacity suggests (" +
                    format_si(estimate.value, dimension, UnitSystem::si) + ")",
                "Check figure and unit, and leave it if it is right");
  }
  return *given;
}

std::optional<int> TableReader::count(std::string_view key, int least, int most) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<std::int64_t>();
  if (!value || *value < least || *value > most) {
    fail(key,
         std::string(key) + " must be a whole number from " + std::to_string(least) + " to " +
             std::to_string(most),
         "Write for example " + std::string(key) + " = " + std::to_string(std::max(1, least)),
         value ? ErrorCode::out_of_range : ErrorCode::parse);
    return std::nullopt;
  }
  return static_cast<int>(*value);
}

std::optional<bool> TableReader::flag(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<bool>();
  if (!value) {
    fail(key, std::string(key) + " must be true or false",
         "Write " + std::string(key) + " = true, without quotes", ErrorCode::parse);
  }
  return value;
}

std::optional<SheetDate> TableReader::date(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<toml::date>();
  if (!value || value->year < 1980 || value->year > 2100) {
    fail(key, std::string(key) + " must be a date from 1980 to 2100",
         "Write " + std::string(key) + " = 2025-10-03, without quotes", ErrorCode::parse);
    return std::nullopt;
  }
  return SheetDate{value->year, value->month, value->day};
}

const toml::table* TableReader::inside(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return nullptr;
  const toml::table* out = node->as_table();
  if (out == nullptr) {
    fail(key, std::string(key) + " must be a table",
         "Write " + std::string(key) + " = { ... }, see docs/user/sheet.md", ErrorCode::parse);
  }
  return out;
}

std::vector<const toml::table*> TableReader::tables(std::string_view key) const {
  std::vector<const toml::table*> out;
  const toml::node* node = table_.get(key);
  if (node == nullptr) return out;
  const toml::array* rows = node->as_array();
  const std::string name(key);
  if (rows == nullptr) {
    fail(key, name + " must be a list of tables",
         "Write [[" + name + "]] with double brackets (or " + name + " = [{ ... }])",
         ErrorCode::parse);
    return out;
  }
  for (const toml::node& row : *rows) {
    if (const toml::table* table = row.as_table()) {
      out.push_back(table);
    } else {
      notes_.fail(row, ErrorCode::parse, place_ + ": " + name + " must be a list of tables",
                  "Write [[" + name + "]] with double brackets (or " + name + " = [{ ... }])");
    }
  }
  return out;
}

std::string nearest_word(std::string_view text, std::span<const std::string> known) {
  constexpr std::size_t longest_compared = 64;
  std::string out;
  if (text.size() > longest_compared) return out;
  std::size_t best = 4;  // farther away it is no misspelling
  for (const std::string& word : known) {
    const std::size_t distance = edit_distance(text, word);
    if (distance < best && distance < std::max(text.size(), word.size())) {
      best = distance;
      out = word;
    }
  }
  return out;
}

std::optional<std::string> place_text(std::string_view raw,
                                      std::span<const std::string_view> kinds) {
  const std::string text = to_lower(trim(raw));
  for (const std::string_view kind : kinds) {
    if (!std::string_view(text).starts_with(kind) || text.size() < kind.size() + 2) continue;
    const char separator = text[kind.size()];
    if (separator != '.' && separator != ' ' && separator != '_' && separator != '-') continue;
    const std::string_view id = std::string_view(text).substr(kind.size() + 1);
    const bool plain = std::all_of(id.begin(), id.end(), [](char c) {
      return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || c == '-' || c == '_' ||
             static_cast<unsigned char>(c) >= 0x80;
    });
    if (plain && id.size() <= 40) return std::string(kind) + "." + std::string(id);
  }
  return std::nullopt;
}

}  // namespace cw::detail
