#include "system/system.h"

#include <algorithm>

namespace cw {

std::string_view name_of(IndoorType type) noexcept {
  switch (type) {
    case IndoorType::cassette:
      return "cassette";
    case IndoorType::ducted:
      return "ducted";
    case IndoorType::wall:
      return "wall";
    case IndoorType::ceiling:
      return "ceiling";
    case IndoorType::floor:
      return "floor";
    case IndoorType::fresh_air:
      return "fresh air";
    case IndoorType::other:
      return "other";
    case IndoorType::unstated:
      break;
  }
  return "unstated";
}

std::string_view name_of(ControlledBy by) noexcept {
  return by == ControlledBy::return_air ? "return air" : "wall sensor";
}

std::string_view name_of(Line line) noexcept {
  return line == Line::liquid ? "liquid" : line == Line::gas ? "gas" : "third";
}

double Charge::added_kg() const {
  double out = 0.0;
  for (const ChargeMovement& movement : movements) out += movement.mass_kg;
  return out;
}

bool System::is_assumed(std::string_view place, std::string_view key) const {
  return std::any_of(assumptions().begin(), assumptions().end(),
                     [&](const Assumption& a) { return a.place == place && a.key == key; });
}

std::optional<std::size_t> System::node_of(std::string_view place) const {
  const auto found = std::find_if(nodes().begin(), nodes().end(),
                                  [&](const Node& node) { return node.id == place; });
  if (found == nodes().end()) return std::nullopt;
  return static_cast<std::size_t>(found - nodes().begin());
}

}  // namespace cw
