#include "scenario/detail/table.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "base/zone.h"
#include "scenario/channels.h"

namespace cw::scenario::detail {
namespace {

std::string in_quotes(std::string_view text) { return "\"" + short_text(text) + "\""; }

/// A figure in the unit that people read, with it.
std::string shown(double si, Dimension dimension) {
  const Unit unit = display_unit(dimension, UnitSystem::si);
  const std::string number = number_text(unit.from_si(si), 4);
  switch (dimension) {
    case Dimension::temperature_difference:
      return number + " K";
    case Dimension::time:
      return number_text(si / 3600.0, 4) + " h";
    case Dimension::mass_flow:
      return number_text(si * 3600.0, 4) + " kg/h";
    case Dimension::count:
      return number;
    default:
      return number + " " + std::string(unit.symbol);
  }
}

}  // namespace

CivilTime civil_of_toml(const toml::date_time& date) noexcept {
  return {date.date.year,
          date.date.month,
          date.date.day,
          date.time.hour,
          date.time.minute,
          date.time.second,
          0};
}

Result<Instant> instant_of_wall(const CivilTime& wall, const Clock& clock) {
  const auto local = instant_of(wall);
  if (!local) return Error{ErrorCode::invalid_argument, "there is no such date or time", "", ""};
  if (clock.kind == Clock::Kind::offset) {
    return Instant{local->ms - static_cast<std::int64_t>(clock.offset_minutes) * 60'000};
  }
  if (clock.kind == Clock::Kind::unstated) return *local;
  const Result<ZoneTimes> times = instants_in_zone(clock.zone, *local);
  if (!times) return times.error();
  if (times->instants.empty()) {
    return Error{ErrorCode::invalid_argument,
                 "the clock change in " + clock.zone + " leaves this time out", "",
                 "Give a time an hour later"};
  }
  return times->instants.front();
}

Table::Table(const toml::table& table, std::string name,
             std::initializer_list<std::string_view> known, Mistakes& mistakes)
    : table_(&table), name_(std::move(name)), mistakes_(&mistakes) {
  const Status status = refuse_unknown_keys(table, known, mistakes.file());
  if (status) return;
  for (const auto& [key, node] : table) {
    if (std::find(known.begin(), known.end(), key.str()) != known.end()) continue;
    Error error = status.error();
    mistakes.add(node, error.code, name_ + ": " + error.message, error.fix);
    return;
  }
}

const toml::node& Table::at(std::string_view key) const {
  const toml::node* node = table_->get(key);
  return node != nullptr ? *node : *table_;
}

void Table::fail(std::string_view key, std::string message, std::string fix, ErrorCode code) const {
  mistakes_->add(at(key), code, name_ + ": " + std::move(message), std::move(fix));
}

std::optional<std::string> Table::text(std::string_view key) const {
  const toml::node* node = table_->get(key);
  if (node == nullptr) return std::nullopt;
  const std::string name(key);
  const auto value = node->value_exact<std::string>();
  if (!value) {
    fail(key, name + " must be a text", "Write " + name + " = \"...\" in quotes", ErrorCode::parse);
    return std::nullopt;
  }
  const bool control = std::any_of(value->begin(), value->end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
  });
  if (trim(*value).empty() || value->size() > 400 || control) {
    fail(key, name + " must have 1 to 400 characters and no control characters",
         "Shorten it, or leave the line out", ErrorCode::parse);
    return std::nullopt;
  }
  return std::string(trim(*value));
}

std::vector<std::string> Table::texts(std::string_view key) const {
  std::vector<std::string> out;
  const toml::node* node = table_->get(key);
  if (node == nullptr) return out;
  if (node->is_string()) {
    if (auto one = text(key)) out.push_back(std::move(*one));
    return out;
  }
  const toml::array* array = node->as_array();
  const std::string name(key);
  const auto wrong = [&] {
    fail(key, name + " must be a text or a list of texts",
         "Write for example " + name + " = [\"indoor.1\", \"indoor.2\"]", ErrorCode::parse);
  };
  if (array == nullptr) {
    wrong();
    return out;
  }
  for (const toml::node& item : *array) {
    if (const auto value = item.value_exact<std::string>()) {
      out.push_back(*value);
    } else {
      wrong();
      return {};
    }
  }
  return out;
}

std::optional<double> Table::quantity(std::string_view key, Dimension dimension, double least,
                                      double most) const {
  if (!has(key)) return std::nullopt;
  const Result<double> value = toml_quantity(*table_, key, dimension, mistakes_->file());
  if (!value) {
    fail(key, value.error().message, value.error().fix, value.error().code);
    return std::nullopt;
  }
  if (!(*value >= least && *value <= most)) {
    fail(key, std::string(key) + " = " + shown(*value, dimension) + " cannot be",
         "Give a figure from " + shown(least, dimension) + " to " + shown(most, dimension),
         ErrorCode::out_of_range);
    return std::nullopt;
  }
  return *value;
}

double Table::quantity_or(std::string_view key, Dimension dimension, double least, double most,
                          double fallback) const {
  return quantity(key, dimension, least, most).value_or(fallback);
}

std::optional<bool> Table::flag(std::string_view key) const {
  const toml::node* node = table_->get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<bool>();
  if (!value) {
    fail(key, std::string(key) + " must be true or false",
         "Write " + std::string(key) + " = true, without quotes", ErrorCode::parse);
  }
  return value;
}

std::optional<std::int64_t> Table::whole(std::string_view key, std::int64_t least,
                                         std::int64_t most) const {
  const toml::node* node = table_->get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<std::int64_t>();
  if (value && *value >= least && *value <= most) return value;
  fail(key,
       std::string(key) + " must be a whole number from " + std::to_string(least) + " to " +
           std::to_string(most),
       "Write for example " + std::string(key) + " = " +
           std::to_string(std::max<std::int64_t>(1, least)),
       value ? ErrorCode::out_of_range : ErrorCode::parse);
  return std::nullopt;
}

std::optional<double> Table::moment(std::string_view key, const TimeBase& base) const {
  const toml::node* node = table_->get(key);
  if (node == nullptr) return std::nullopt;
  if (const auto date = node->value_exact<toml::date_time>()) {
    Clock clock = base.clock;
    if (date->offset) clock = {Clock::Kind::offset, date->offset->minutes, {}};
    const Result<Instant> instant = instant_of_wall(civil_of_toml(*date), clock);
    if (instant) return seconds_between(base.start, *instant);
    fail(key, std::string(key) + ": " + instant.error().message, instant.error().fix);
    return std::nullopt;
  }
  if (node->is_string()) return quantity(key, Dimension::time, -longest_moment_s, longest_moment_s);
  fail(
      key, std::string(key) + " must be a date and time, or a time after the start",
      "Write " + std::string(key) + " = 2026-01-20T18:00:00, or " + std::string(key) + " = \"9 h\"",
      ErrorCode::parse);
  return std::nullopt;
}

std::optional<std::size_t> Table::word(std::string_view key,
                                       std::initializer_list<std::string_view> words) const {
  const auto given = text(key);
  if (!given) return std::nullopt;
  const auto* found = std::find(words.begin(), words.end(), *given);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  std::vector<std::string> all;
  for (const std::string_view word : words) all.push_back(in_quotes(word));
  fail(key, std::string(key) + " = " + in_quotes(*given) + " is not known",
       "Known here: " + list_of(all), ErrorCode::parse);
  return std::nullopt;
}

const toml::table* Table::inside(std::string_view key) const {
  const toml::node* node = table_->get(key);
  if (node == nullptr) return nullptr;
  const toml::table* out = node->as_table();
  if (out == nullptr) {
    fail(key, std::string(key) + " must be a table",
         "Write [" + std::string(key) + "], see docs/user/simulate.md", ErrorCode::parse);
  }
  return out;
}

std::vector<const toml::table*> Table::tables(std::string_view key) const {
  std::vector<const toml::table*> out;
  const toml::node* node = table_->get(key);
  if (node == nullptr) return out;
  const toml::array* rows = node->as_array();
  const std::string name(key);
  const bool all_tables =
      rows != nullptr &&
      std::all_of(rows->begin(), rows->end(), [](const toml::node& row) { return row.is_table(); });
  if (!all_tables) {
    fail(key, name + " must be a list of tables",
         "Write [[" + name + "]] with double brackets (or " + name + " = [{ ... }])",
         ErrorCode::parse);
    return out;
  }
  for (const toml::node& row : *rows) out.push_back(row.as_table());
  return out;
}

std::vector<std::size_t> matching(const std::vector<std::string>& ids, std::string_view pattern) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    if (matches(pattern, ids[i])) out.push_back(i);
  }
  return out;
}

}  // namespace cw::scenario::detail
