#include <algorithm>
#include <array>

#include "base/text.h"
#include "system/detail/keys.h"
#include "system/detail/read_units.h"
#include "system/detail/unit_rows.h"

namespace cw::detail {
namespace {

constexpr std::size_t most_branches = 64;
constexpr std::size_t most_indoor = 256;
constexpr std::size_t most_rooms = 512;

template <class Value>
struct Word {
  std::string_view text;
  Value value;
};

constexpr std::array type_words = {
    Word<IndoorType>{"cassette", IndoorType::cassette},
    Word<IndoorType>{"ducted", IndoorType::ducted},
    Word<IndoorType>{"wall", IndoorType::wall},
    Word<IndoorType>{"ceiling", IndoorType::ceiling},
    Word<IndoorType>{"floor", IndoorType::floor},
    Word<IndoorType>{"fresh air", IndoorType::fresh_air},
    Word<IndoorType>{"other", IndoorType::other},
};
constexpr std::array control_words = {
    Word<ControlledBy>{"return air", ControlledBy::return_air},
    Word<ControlledBy>{"wall sensor", ControlledBy::wall_sensor},
};

template <class Value, std::size_t n>
std::optional<Value> word_of(const TableReader& row, std::string_view key,
                             const std::array<Word<Value>, n>& words) {
  const auto text = row.text(key);
  if (!text) return std::nullopt;
  std::vector<std::string> known;
  for (const Word<Value>& word : words) {
    if (equal_ignoring_case(word.text, *text)) return word.value;
    known.push_back("\"" + std::string(word.text) + "\"");
  }
  row.fail(key, std::string(key) + " = \"" + *text + "\" is not known", "Use " + list_of(known),
           ErrorCode::parse);
  return std::nullopt;
}

/// Floor area, height and volume: two of them make the third; what is missing is estimated from
/// the cooling of the units in the room, later (volume 0 until then).
void read_room_size(const TableReader& row, Room& room) {
  const auto area = row.quantity("floor_area", Dimension::area, "room.floor_area");
  const auto height = row.quantity("height", Dimension::length, "room.height");
  const auto volume = row.quantity("volume", Dimension::volume, "room.volume");
  room.floor_area_m2 = area.value_or(0.0);
  room.height_m = height.value_or(0.0);
  room.volume_m3 = volume.value_or(0.0);
  if (area && height && volume) {
    const double product = *area * *height;
    if (product > 1.3 * *volume || product < 0.7 * *volume) {
      row.fail("volume",
               "floor_area times height is " + number_text(product, 4) + " m3, but volume says " +
                   number_text(*volume, 4) + " m3",
               "Leave out the figure that is wrong", ErrorCode::inconsistent);
    }
  }
}

Room room_from(const TableReader& row) {
  Room out;
  out.id = row.place();
  out.name = row.text("name").value_or("");
  out.institutional = row.flag("institutional").value_or(false);
  read_room_size(row, out);
  return out;
}

std::vector<std::string> room_ids(const SystemParts& parts) {
  std::vector<std::string> out;
  for (const Room& room : parts.rooms) out.push_back(room.id);
  return out;
}

std::optional<std::size_t> find_room(const TableReader& row, const SystemParts& parts,
                                     const toml::node& at, std::string_view text, Notes& notes) {
  constexpr std::array<std::string_view, 1> kinds = {"room"};
  std::optional<std::string> id = place_text(text, kinds);
  if (!id) id = place_text("room." + std::string(text), kinds);
  const std::vector<std::string> known = room_ids(parts);
  const auto found = std::find(known.begin(), known.end(), id.value_or(""));
  if (found != known.end()) return static_cast<std::size_t>(found - known.begin());
  const std::string near = nearest_word(id.value_or(short_text(text)), known);
  notes.fail(at, ErrorCode::not_found,
             row.place() + ": there is no room \"" + short_text(text) + "\"",
             near.empty() ? "Add [[room]] with this id before it is named"
                          : "Did you mean \"" + near + "\"?");
  return std::nullopt;
}

void connect_rooms(const TableReader& row, std::size_t self, SystemParts& parts, Notes& notes) {
  if (!row.has("connected")) return;
  const toml::array* list = row.table()["connected"].as_array();
  if (list == nullptr) {
    row.fail("connected", "connected must be a list of room ids",
             "Write connected = [\"room.hall\"]", ErrorCode::parse);
    return;
  }
  for (const toml::node& node : *list) {
    const auto text = node.value_exact<std::string>();
    if (!text) {
      row.fail("connected", "connected must be a list of room ids",
               "Write connected = [\"room.hall\"]", ErrorCode::parse);
      continue;
    }
    const auto other = find_room(row, parts, node, *text, notes);
    if (!other) continue;
    if (*other == self) {
      row.fail("connected", "the room is connected with itself", "Leave it out of the list",
               ErrorCode::inconsistent);
      continue;
    }
    // An opening has two sides, whichever of them the sheet names.
    for (const auto& [a, b] : {std::pair{self, *other}, std::pair{*other, self}}) {
      auto& connected = parts.rooms[a].connected;
      if (std::find(connected.begin(), connected.end(), b) == connected.end()) {
        connected.push_back(b);
      }
    }
  }
}

/// The rooms of `ids`: one that [[room]] describes, or one of their own for each.
std::vector<std::size_t> rooms_of_unit(const TableReader& row, const std::vector<std::string>& ids,
                                       SystemParts& parts, Notes& notes) {
  const toml::node* node = row.table().get("room");
  if (node != nullptr && node->is_string()) {
    const auto text = row.text("room");
    const auto shared = text ? find_room(row, parts, *node, *text, notes) : std::nullopt;
    return std::vector<std::size_t>(ids.size(), shared.value_or(0));
  }
  Room room;
  if (node != nullptr && node->is_table()) {
    room =
        room_from(TableReader(*node->as_table(), row.place() + ".room", keys::room_of_unit, notes));
  } else if (node != nullptr) {
    row.fail("room", "room must be a table or the id of a [[room]]",
             "Write room = { floor_area = \"24 m2\", height = \"2.7 m\" } or room = \"room.hall\"",
             ErrorCode::parse);
  }
  std::vector<std::size_t> out;
  const std::string name = room.name;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    room.id = "room.of-" + ids[i];
    room.name = name.empty() ? "" : ids.size() > 1 ? name + " " + std::to_string(i + 1) : name;
    out.push_back(parts.rooms.size());
    parts.rooms.push_back(room);
  }
  return out;
}

void read_indoor_figures(const TableReader& row, IndoorUnit& out, Notes& notes) {
  read_capacities(row, "indoor", out.cooling_W, out.heating_W, notes);
  out.type = word_of(row, "type", type_words).value_or(IndoorType::unstated);
  out.airflow_m3_per_s = row.quantity_or("airflow", Dimension::volume_flow, "indoor.airflow",
                                         estimate_per_kW("indoor.airflow_per_kW", out.cooling_W));
  out.coil_volume_m3 = row.quantity_or("coil_volume", Dimension::volume, "indoor.coil_volume",
                                       estimate_per_kW("indoor.coil_volume_per_kW", out.cooling_W));
  const auto control = word_of(row, "controlled_by", control_words);
  out.controlled_by = control.value_or(ControlledBy::return_air);
  if (!row.has("controlled_by")) {
    notes.assume({row.place(), "controlled_by", 0.0, Dimension::state,
                  std::string(name_of(ControlledBy::return_air)), "usual without a wall sensor",
                  "common practice, no source"});
  }
}

/// Fills the sizes of rooms that the sheet leaves open.
void settle_room(Room& room, double cooling_W, Notes& notes) {
  if (room.height_m <= 0.0 && room.floor_area_m2 > 0.0 && room.volume_m3 > 0.0) {
    room.height_m = room.volume_m3 / room.floor_area_m2;
  }
  if (room.height_m <= 0.0) {
    const DefaultFigure& usual = default_figure("indoor.room_height");
    room.height_m = usual.value;
    room.volume_assumed = room.volume_m3 <= 0.0;
    notes.assume(
        {room.id, "height", usual.value, Dimension::length, "", "usual height", usual.source});
  }
  if (room.volume_m3 <= 0.0 && room.floor_area_m2 <= 0.0) {
    const Estimate area = estimate_per_kW("indoor.room_area_per_kW", cooling_W);
    room.floor_area_m2 = area.value;
    room.volume_assumed = true;
    notes.assume(
        {room.id, "floor_area", area.value, Dimension::area, "", area.reason, area.source});
  }
  if (room.volume_m3 <= 0.0) room.volume_m3 = room.floor_area_m2 * room.height_m;
  if (room.floor_area_m2 <= 0.0) room.floor_area_m2 = room.volume_m3 / room.height_m;
}

}  // namespace

void read_branches(const TableReader& sheet, SystemParts& parts, Notes& notes) {
  UnitIds ids("branch");
  for (const toml::table* table : sheet.tables("branch")) {
    TableReader row(*table, "branch", keys::branch, notes);
    if (!has_room_for(parts.branches.size(), 1, most_branches, row, "branch boxes")) return;
    BranchBox out;
    out.id = ids.take(row, 1).front();
    row.rename(out.id);
    out.name = row.text("name").value_or("");
    out.ports = row.count("ports", 1, 64).value_or(0);
    out.volume_m3 = row.quantity("volume", Dimension::volume, "branch.volume").value_or(0.0);
    parts.branches.push_back(std::move(out));
  }
}

void read_rooms(const TableReader& sheet, SystemParts& parts, Notes& notes) {
  UnitIds ids("room");
  std::vector<TableReader> rows;
  for (const toml::table* table : sheet.tables("room")) {
    TableReader row(*table, "room", keys::room, notes);
    if (!has_room_for(parts.rooms.size(), 1, most_rooms, row, "rooms")) return;
    row.rename(ids.take(row, 1).front());
    parts.rooms.push_back(room_from(row));
    rows.push_back(row);
  }
  for (std::size_t i = 0; i < rows.size(); ++i) connect_rooms(rows[i], i, parts, notes);
}

void read_indoor(const TableReader& sheet, SystemParts& parts, Notes& notes) {
  UnitIds ids("indoor");
  for (const toml::table* table : sheet.tables("indoor")) {
    TableReader row(*table, "indoor", keys::indoor, notes);
    const int count = row.count("count", 1, static_cast<int>(most_indoor)).value_or(1);
    if (!has_room_for(parts.indoor.size(), count, most_indoor, row, "indoor units")) return;
    const std::vector<std::string> taken = ids.take(row, count);
    row.rename(taken.front());
    const std::size_t from = notes.assumptions.size();
    IndoorUnit out;
    const auto name = row.text("name");
    read_indoor_figures(row, out, notes);
    repeat_assumptions(from, taken, notes);
    const std::vector<std::size_t> rooms = rooms_of_unit(row, taken, parts, notes);
    for (std::size_t i = 0; i < taken.size(); ++i) {
      out.id = taken[i];
      out.name = numbered(name, count, i);
      out.room = rooms[i];
      parts.indoor.push_back(out);
    }
  }
  if (!sheet.has("indoor")) {
    sheet.fail("indoor", "there is no indoor unit",
               "Add [[indoor]] with cooling = \"5.6 kW\" from the nameplate", ErrorCode::parse);
  }
  for (std::size_t i = 0; i < parts.rooms.size(); ++i) {
    double cooling_W = 0.0;
    for (const IndoorUnit& unit : parts.indoor) cooling_W += unit.room == i ? unit.cooling_W : 0.0;
    if (cooling_W <= 0.0) cooling_W = 1e3;  // a room without a unit, for example a corridor
    settle_room(parts.rooms[i], cooling_W, notes);
  }
}

}  // namespace cw::detail
