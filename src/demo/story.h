#pragma once

#include <array>

/// What happens when. Times are minutes after the first row, 05:00.
namespace cw::demo {

inline constexpr int outdoor_modules = 2;
inline constexpr int indoor_units = 12;
inline constexpr int row_count = 2881;  ///< 05:00 to 05:00 the next day, 30 s

/// Minutes after the first row of a time of day; times before 05:00 are the next day's.
constexpr double at(int hour, int minute, int second = 0) {
  return (hour < 5 ? hour + 19 : hour - 5) * 60.0 + minute + second / 60.0;
}

inline constexpr double switched_on = at(5, 30);  ///< all indoor units
inline constexpr double evening_set_back = at(18, 0);
inline constexpr double valve_sticks = at(9, 0);  ///< the planted fault of indoor unit 7
inline constexpr int stuck_unit = 7;
inline constexpr int carry_over_module = 2;  ///< the planted fault of outdoor module 2

inline constexpr double condensing_target_degC = 49.0;

struct Defrost {
  int module;         ///< 1 or 2
  double start;       ///< [min]
  double length_min;  ///< the flag is set for start <= time < start + length
};
inline constexpr int defrost_count = 20;
/// Alternately; oftener in the mild and moist afternoon than in the cold, dry night.
extern const std::array<Defrost, defrost_count> defrosts;

/// The defrost that runs at a time [min]; null when none.
const Defrost* defrost_at(double minute);

/// Without the small wander that the recording adds [degC].
double outdoor_temperature(double minute);

/// Share of the carry-over in what the compressor of `carry_over_module` takes in, 0..1.
double carry_over(double minute);

/// Offices are used between 08:00 and 18:00: 0..1.
double occupied(double minute);

}  // namespace cw::demo
