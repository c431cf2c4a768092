#include "scenario/weather.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/contract.h"
#include "base/units.h"

namespace cw::scenario {
namespace {

constexpr double hour_s = 3600.0;
constexpr double day_s = 24.0 * hour_s;

double between(double a, double b, double share) { return a + (b - a) * share; }

twin::Weather at_points(const std::vector<WeatherPoint>& points, double time_s) noexcept {
  const auto after =
      std::upper_bound(points.begin(), points.end(), time_s,
                       [](double t, const WeatherPoint& point) { return t < point.time_s; });
  if (after == points.begin())
    return {points.front().temperature_K, points.front().relative_humidity};
  const WeatherPoint& a = *(after - 1);
  if (after == points.end()) return {a.temperature_K, a.relative_humidity};
  const double share = (time_s - a.time_s) / (after->time_s - a.time_s);
  return {between(a.temperature_K, after->temperature_K, share),
          between(a.relative_humidity, after->relative_humidity, share)};
}

}  // namespace

WeatherCourse::WeatherCourse(std::vector<WeatherPoint> points) : source_(std::move(points)) {
  CW_REQUIRE(!std::get<0>(source_).empty());
}

WeatherCourse::WeatherCourse(WeatherProfile profile, double start_of_day_s)
    : source_(FromProfile{profile, start_of_day_s}) {}

WeatherCourse::WeatherCourse(WeatherYear year, double start_h, double shift_K)
    : source_(FromYear{std::move(year), start_h, shift_K}) {
  CW_REQUIRE(!std::get<FromYear>(source_).year.temperature_K.empty());
}

twin::Weather WeatherCourse::at(double time_s) const noexcept {
  if (const auto* points = std::get_if<std::vector<WeatherPoint>>(&source_)) {
    return points->empty() ? twin::Weather{} : at_points(*points, time_s);
  }
  if (const auto* from = std::get_if<FromProfile>(&source_)) {
    const WeatherProfile& day = from->profile;
    const double angle = (from->start_of_day_s + time_s - day.coldest_s) / day_s;
    return {day.mean_K - 0.5 * day.swing_K * std::cos(2.0 * std::numbers::pi * angle),
            day.relative_humidity};
  }
  const auto& from = std::get<FromYear>(source_);
  const auto hours = static_cast<double>(from.year.temperature_K.size());
  double hour = std::fmod(from.start_h + time_s / hour_s, hours);
  if (hour < 0.0) hour += hours;
  const auto first = std::min(static_cast<std::size_t>(hour), from.year.temperature_K.size() - 1);
  const std::size_t second = (first + 1) % from.year.temperature_K.size();
  const double share = hour - static_cast<double>(first);
  return {between(from.year.temperature_K[first], from.year.temperature_K[second], share) +
              from.shift_K,
          between(from.year.relative_humidity[first], from.year.relative_humidity[second], share)};
}

}  // namespace cw::scenario
