#pragma once

#include "base/units.h"
#include "twin/twin.h"

/// The coldest and the hottest day that a machine must get through, the same wherever a look ahead
/// is taken: the charge worksheet and the causes.
namespace cw::twin {

/// Outdoor air where nobody said any: own choice of a cold and a hot day, common practice, no
/// source.
struct DesignDays {
  double coldest_K = zero_celsius - 15.0;
  double hottest_K = zero_celsius + 35.0;
};

/// What a site can have; beyond that it is a slip of the pen. Own choice.
inline constexpr double coldest_from_K = zero_celsius - 45.0, coldest_to_K = zero_celsius + 10.0;
inline constexpr double hottest_from_K = zero_celsius + 15.0, hottest_to_K = zero_celsius + 55.0;

/// Rooms and humidity of such a day: rooms at the rating conditions of heating and of cooling
/// (ISO 15042, from memory).
inline constexpr double heated_room_K = zero_celsius + 20.0;
inline constexpr double cooled_room_K = zero_celsius + 27.0;
inline constexpr double cold_humidity = 0.8, hot_humidity = 0.4;

inline Weather coldest_weather(const DesignDays& days) { return {days.coldest_K, cold_humidity}; }
inline Weather hottest_weather(const DesignDays& days) { return {days.hottest_K, hot_humidity}; }

}  // namespace cw::twin
