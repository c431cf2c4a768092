#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"

namespace cw {

/// One row of the closed table in data/quantities.toml.
struct Quantity {
  std::string name;   ///< "discharge_temperature"
  std::string label;  ///< "discharge temperature"
  Dimension dimension = Dimension::ratio;
  double lowest = 0.0;  ///< plausible range, SI; readings outside are set aside
  double highest = 0.0;
  std::vector<std::string> aliases;
  std::string alternative;  ///< the quantity that a unit of another dimension means; may be empty
  std::vector<std::string> words;                             ///< Dimension::state only
  std::vector<std::pair<std::string, std::string>> synonyms;  ///< file's word -> word

  /// The number that stores a word or one of its synonyms, in any letter case.
  std::optional<int> number_of(std::string_view word) const;
};

/// All quantities, in the order of the data file. Read once, then constant: thread-safe.
std::span<const Quantity> all_quantities();

/// By name only. Null when there is none; names in code must exist.
const Quantity* find_quantity(std::string_view name);

/// By name or alias, in any letter case, blanks and hyphens counting as underscores.
const Quantity* quantity_called(std::string_view text);

}  // namespace cw
