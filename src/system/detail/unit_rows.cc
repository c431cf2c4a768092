#include "system/detail/unit_rows.h"

#include <array>

#include "base/text.h"

namespace cw::detail {
namespace {

const toml::table& empty_table() {
  static const toml::table table;
  return table;
}

}  // namespace

const toml::table& inside_or_empty(const TableReader& row, std::string_view key) {
  const toml::table* table = row.inside(key);
  return table != nullptr ? *table : empty_table();
}

void read_capacities(const TableReader& row, std::string_view kind, double& cooling_W,
                     double& heating_W, Notes& notes) {
  const std::string range = std::string(kind) + ".cooling";
  const DefaultFigure& ratio = default_figure(std::string(kind) + ".heating_per_cooling");
  const std::optional<double> cooling = row.quantity("cooling", Dimension::power, range);
  const std::optional<double> heating = row.quantity("heating", Dimension::power, range);
  const std::string reason = ratio.text + " times rated cooling";
  if (cooling && !row.has("heating")) {
    notes.assume({row.place(), "heating", *cooling * ratio.value, Dimension::power, "", reason,
                  ratio.source});
  } else if (heating && !row.has("cooling")) {
    notes.assume({row.place(), "cooling", *heating / ratio.value, Dimension::power, "",
                  "rated heating less the usual " + ratio.text + " times", ratio.source});
  } else if (!row.has("cooling") && !row.has("heating")) {
    row.fail("cooling", "the rated capacity is missing",
             "Add cooling = \"28 kW\" (and heating = \"31.5 kW\") from the nameplate",
             ErrorCode::parse);
  }
  // With an error behind it the system is never made: any capacity lets the reading go on.
  constexpr double stand_in_W = 10e3;
  if (!cooling && !heating) {
    cooling_W = heating_W = stand_in_W;
    return;
  }
  cooling_W = cooling ? *cooling : *heating / ratio.value;
  heating_W = heating ? *heating : *cooling * ratio.value;
  if (heating_W > 3.0 * cooling_W || cooling_W > 3.0 * heating_W) {
    row.fail("heating",
             "rated heating is " + number_text(heating_W / cooling_W, 2) + " times rated cooling",
             "Check both capacities and their units", ErrorCode::inconsistent);
  }
}

std::string numbered(const std::optional<std::string>& name, int count, std::size_t i) {
  if (!name) return {};
  return count > 1 ? *name + " " + std::to_string(i + 1) : *name;
}

bool has_room_for(std::size_t have, int more, std::size_t most, const TableReader& row,
                  std::string_view what) {
  if (have + static_cast<std::size_t>(more) <= most) return true;
  row.fail("count", "more than " + std::to_string(most) + " " + std::string(what),
           "Write one sheet for each pipe network", ErrorCode::out_of_range);
  return false;
}

void repeat_assumptions(std::size_t from, const std::vector<std::string>& ids, Notes& notes) {
  const std::vector<Assumption> made(notes.assumptions.begin() + static_cast<std::ptrdiff_t>(from),
                                     notes.assumptions.end());
  for (std::size_t i = 1; i < ids.size(); ++i) {
    for (Assumption again : made) {
      again.place.replace(again.place.find(ids.front()), ids.front().size(), ids[i]);
      notes.assume(std::move(again));
    }
  }
}

std::string UnitIds::next() {
  std::string id;
  do {
    id = kind_ + "." + std::to_string(++number_);
  } while (taken_.contains(id));
  return id;
}

std::vector<std::string> UnitIds::take(const TableReader& row, int count) {
  std::vector<std::string> out;
  if (const auto text = row.text("id")) {
    const std::array kinds = {std::string_view(kind_)};
    std::optional<std::string> id = place_text(*text, kinds);
    if (!id) id = place_text(kind_ + "." + *text, kinds);
    if (!id) {
      row.fail(
          "id", "\"" + *text + "\" is no id",
          "Write id = \"" + kind_ + ".1\" or \"" + kind_ + ".lobby\": letters, digits, - and _",
          ErrorCode::parse);
      return {next()};
    }
    if (count > 1) {
      row.fail("id", "id and count = " + std::to_string(count) + " cannot stand together",
               "Leave id out: the units are numbered, or write one table for each");
    }
    if (!taken_.insert(*id).second) {
      row.fail("id", *id + " is there twice", "Give each its own id", ErrorCode::inconsistent);
    }
    row.note_line(*id);
    return {*id};
  }
  for (int i = 0; i < count; ++i) {
    out.push_back(next());
    taken_.insert(out.back());
    row.note_line(out.back());
  }
  return out;
}

}  // namespace cw::detail
