#include "ingest/header.h"

#include <algorithm>
#include <array>

#include "base/text.h"

namespace cw {
namespace {

/// Splits "name [unit]" or "name (unit)"; a unit without brackets is not guessed here.
void split_unit(std::string_view header, std::string_view& name, std::string_view& unit) {
  name = trim(header);
  unit = {};
  if (name.empty()) return;
  const char close = name.back();
  if (close != ']' && close != ')') return;
  const char open = close == ']' ? '[' : '(';
  // The bracket that opens at depth zero: "psi(g)" may stand inside.
  int depth = 0;
  for (std::size_t i = name.size(); i-- > 0;) {
    if (name[i] == close) ++depth;
    if (name[i] == open && --depth == 0) {
      unit = trim(name.substr(i + 1, name.size() - i - 2));
      name = trim(name.substr(0, i));
      return;
    }
  }
}

bool needs_no_unit(const Quantity& quantity) {
  return quantity.dimension == Dimension::flag || quantity.dimension == Dimension::state ||
         quantity.dimension == Dimension::count || quantity.name == "pressure_ratio";
}

}  // namespace

std::optional<ChannelHeader> read_channel_header(std::string_view header) {
  std::string_view name;
  std::string_view unit;
  split_unit(header, name, unit);
  const std::size_t dot = name.rfind('.');
  if (dot == std::string_view::npos) return std::nullopt;
  const std::optional<Place> place = parse_place(name.substr(0, dot));
  const Quantity* quantity = quantity_called(name.substr(dot + 1));
  if (!place || quantity == nullptr) return std::nullopt;
  return ChannelHeader{*place, quantity, std::string(unit)};
}

Result<QuantityInUnit> unit_for(const Quantity& quantity, std::string_view unit_text) {
  if (trim(unit_text).empty()) {
    if (needs_no_unit(quantity)) {
      Unit plain;
      plain.dimension = quantity.dimension;
      plain.symbol = "1";
      return QuantityInUnit{&quantity, plain};
    }
    return Error{ErrorCode::unit, "the " + quantity.label + " has no unit", "",
                 "Write it behind the name, for example [" +
                     std::string(display_unit(quantity.dimension, UnitSystem::si).symbol) + "]"};
  }
  const Result<Unit> unit = parse_unit(unit_text);
  if (!unit) return unit.error();
  if (const auto fitting = unit->as(quantity.dimension)) return QuantityInUnit{&quantity, *fitting};
  if (const Quantity* other = find_quantity(quantity.alternative)) {
    if (const auto fitting = unit->as(other->dimension)) return QuantityInUnit{other, *fitting};
  }
  return Error{
      ErrorCode::unit,
      "the unit \"" + std::string(unit_text) + "\" measures a " +
          std::string(name_of(unit->dimension)) + ", but " + quantity.label + " is a " +
          std::string(name_of(quantity.dimension)),
      "",
      "Use a unit such as " + std::string(display_unit(quantity.dimension, UnitSystem::si).symbol)};
}

bool names_time(std::string_view header) {
  std::string_view name;
  std::string_view unit;
  split_unit(header, name, unit);
  if (name.size() > 2 && name.front() == '"' && name.back() == '"') {
    name = name.substr(1, name.size() - 2);
  }
  std::string folded = to_lower(name);
  std::erase_if(folded,
                [](char c) { return c == ' ' || c == '_' || c == '-' || c == '.' || c == '/'; });
  constexpr std::array names = {"time",        "timestamp",   "datetime",      "date",
                                "sitetime",    "timeutc",     "utctime",       "localtime",
                                "timelocal",   "epoch",       "unixtime",      "epochtime",
                                "dateandtime", "datetimeutc", "sitetimestamp", "timestamputc",
                                "epochs",      "epochms",     "instant",       "clock"};
  return std::find(names.begin(), names.end(), folded) != names.end();
}

}  // namespace cw
