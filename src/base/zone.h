#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/instant.h"

namespace cw {

/// Local minus UTC in an IANA zone at an instant [min]; the zone's rules come from the operating
/// system's time-zone data.
/// @error not_found  no such zone, or the system has no time-zone data
/// Thread-safe.
Result<int> zone_offset_minutes(std::string_view zone, Instant instant);

/// How a wall-clock time maps to UTC in a zone.
struct ZoneTimes {
  std::vector<Instant> instants;  ///< one; two in the repeated autumn hour; none in the spring gap
};

/// @param wall  wall-clock time, as instant_of() gives it
/// @error not_found as above
Result<ZoneTimes> instants_in_zone(std::string_view zone, Instant wall);

}  // namespace cw
