#pragma once

#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// What one indoor unit of a heat recovery system does by its own word.
struct OwnMode {
  enum class Side : std::uint8_t { unknown, none, heats, cools };
  std::vector<Side> side;          ///< [n_time]
  std::vector<double> since;       ///< [n_time] seconds on this side so far
  std::string source;              ///< "mode", "call and cooling_call"; empty when nothing tells
  std::vector<std::size_t> turns;  ///< indices at which the unit changed from one side to the other
};

/// A unit's mode channel, else its flags `call` (for heat) and `cooling_call`. A unit whose log has
/// neither stays unknown: its pipes cannot be judged by what they are taken for.
OwnMode own_mode(const Recording& recording, const Place& unit);

}  // namespace cw
