#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace cw {

/// Kinds of place, in the order in which reports list them.
enum class PlaceKind { site, system, outdoor, compressor, branch, indoor };

/// Where a channel is measured: "site", "outdoor.2", "outdoor.2.compressor.1", "indoor.lobby".
struct Place {
  PlaceKind kind = PlaceKind::site;
  std::string text;  ///< canonical

  friend bool operator==(const Place& a, const Place& b) { return a.text == b.text; }

  /// The outdoor module that a compressor belongs to ("outdoor.2"); otherwise the place itself.
  std::string module() const;
  /// For people: "indoor unit 3", "outdoor module 2, compressor 1", "site".
  std::string label() const;
};

/// Reads a place; "outdoor_1", "Outdoor 1" and "outdoor1" are read as "outdoor.1". Empty when the
/// text names no place.
std::optional<Place> parse_place(std::string_view text);

/// Orders places by kind, then by number where both ids are numbers (2 before 10), then by text.
bool place_before(const Place& a, const Place& b);

}  // namespace cw
