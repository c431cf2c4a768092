#pragma once

#include <optional>
#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// Whether an indoor unit asks for heat, and since when.
struct CallTrack {
  enum class State : std::uint8_t { unknown, no, yes };
  std::vector<State> state;  ///< [n_time]
  std::vector<Instant>
      since;                ///< [n_time] start of the present call; the recording's start if before
  std::vector<bool> began;  ///< [n_time] the start of the present call is in the log
  std::string source;       ///< "call flag", "set point", "the only unit"; empty when unknown
};

/// Follows the calls of one indoor unit: its call flag; else its controlled temperature against its
/// set point with a band; else, for the only unit of a system, the compressor. A unit that is
/// switched off does not call.
CallTrack track_calls(const CheckContext& context, const Place& unit);

/// Does the log show the calls of at least one unit?
bool calls_are_logged(const CheckContext& context);

/// Is any unit calling? Unknown units count as calling while a compressor runs: it runs for
/// somebody. [n_time]
std::vector<bool> anyone_calls(const CheckContext& context);

}  // namespace cw
