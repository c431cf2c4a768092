#pragma once

#include <optional>
#include <span>
#include <string>

#include "base/instant.h"

namespace cw {

/// What the title lines of a file without a time column say of its rows' times: "Interval: 5 min",
/// "Start 2026-01-14 06:00". Labels in a few languages.
struct TitleClock {
  double interval_s = 0.0;
  std::string interval_title;    ///< the title that says it
  std::optional<Instant> start;  ///< wall clock; only where its date can be read in one way
  std::string start_title;       ///< the title with a start, also where it can be read in two ways
  std::optional<Instant> end;    ///< of the last row, where a title says it
};

/// Empty where no title says the interval with its unit.
std::optional<TitleClock> clock_in_titles(std::span<const std::string> titles);

/// What titles say of the start, also without an interval. Empty where it cannot be read.
std::optional<TitleClock> start_in_titles(std::span<const std::string> titles);

/// The lines of a map's [clock] section that switch it on.
std::string toml_of(const TitleClock& clock);

}  // namespace cw
