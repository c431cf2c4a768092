#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/result.h"
#include "twin/twin.h"

/// Outdoor air over time.
namespace cw::scenario {

/// One moment of weather.
struct WeatherPoint {
  double time_s = 0.0;
  double temperature_K = 0.0;
  double relative_humidity = 0.0;  ///< over water, 0..1
};

/// A year of hourly weather from a file: 8760 hours from 1 January 00:00 local standard time.
struct WeatherYear {
  std::string name;  ///< the station, as the file calls it
  std::vector<float> temperature_K;
  std::vector<float> relative_humidity;
  double offset_h = 0.0;  ///< local standard time minus UTC
};

/// Reads an hourly year: TMY3 (two heading lines, dates month/day/year, hours 01:00..24:00) or EPW
/// (eight heading lines, hours 1..24). Which one it is shows in the first line. A reading stamped
/// 24:00 is that of the next day's 00:00. 29 February is passed over.
/// @error not_found, unreadable
/// @error parse  with file:line: no heading, a cell that is no number, an hour twice or missing
Result<WeatherYear> read_weather_year(const std::filesystem::path& path);
Result<WeatherYear> parse_weather_year(std::string_view text, std::string_view name);

/// A day that repeats: lowest at `coldest_s`, a cosine from there.
struct WeatherProfile {
  double mean_K = 0.0;
  double swing_K = 0.0;             ///< highest minus lowest
  double coldest_s = 6.0 * 3600.0;  ///< after midnight of the wall clock
  double relative_humidity = 0.8;
};

/// Weather along a scenario. Immutable after reading; at() is thread-safe and does not allocate.
class WeatherCourse {
 public:
  WeatherCourse() = default;
  /// Points in order of time; the first and last hold beyond the ends.
  explicit WeatherCourse(std::vector<WeatherPoint> points);
  /// @param start_of_day_s  wall clock at the scenario's start, seconds after midnight
  WeatherCourse(WeatherProfile profile, double start_of_day_s);
  /// @param start_h  hour of the year at the scenario's start; the year repeats
  /// @param shift_K  added to every temperature; relative humidity stays
  WeatherCourse(WeatherYear year, double start_h, double shift_K);

  twin::Weather at(double time_s) const noexcept;

 private:
  struct FromYear {
    WeatherYear year;
    double start_h = 0.0;
    double shift_K = 0.0;
  };
  struct FromProfile {
    WeatherProfile profile;
    double start_of_day_s = 0.0;
  };
  std::variant<std::vector<WeatherPoint>, FromProfile, FromYear> source_;
};

}  // namespace cw::scenario
