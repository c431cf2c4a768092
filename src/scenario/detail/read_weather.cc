#include <algorithm>

#include "base/units.h"
#include "scenario/detail/sections.h"

namespace cw::scenario::detail {
namespace {

constexpr double hour_s = 3600.0;
const double coldest_K = from_celsius(-45.0).value;  // what the twin is made for
const double hottest_K = from_celsius(55.0).value;

/// Hour of a year of 365 days.
double hour_of_year(int month, int day, double hour) {
  const auto first = instant_of({2023, 1, 1, 0, 0, 0, 0});
  if (month == 2 && day == 29) day = 28;
  const auto then = instant_of({2023, month, day, 0, 0, 0, 0});
  return static_cast<double>(then->ms - first->ms) / 3.6e6 + hour;
}

double hours(const CivilTime& t) { return t.hour + t.minute / 60.0 + t.second / 3600.0; }

WeatherCourse from_year(const Table& table, const std::string& file, const Context& context) {
  Result<WeatherYear> year = read_weather_year(context.directory / file);
  if (!year) {
    table.mistakes().add_foreign(table.at("file"), year.error());
    return {};
  }
  // The file's clock is standard time; without other word its day of the year is that of the start.
  double start =
      hour_of_year(context.start_wall.month, context.start_wall.day, hours(context.start_wall));
  if (const toml::node* node = table.toml().get("begins")) {
    const auto date = node->value_exact<toml::date_time>();
    if (!date || date->offset) {
      table.fail("begins", "begins must be a date and time of the file's year",
                 "Write begins = 2001-01-20T18:00:00; the year counts for nothing",
                 ErrorCode::parse);
      return {};
    }
    start =
        hour_of_year(date->date.month, date->date.day, date->time.hour + date->time.minute / 60.0);
  }
  const double shift =
      table.quantity_or("shift", Dimension::temperature_difference, -40.0, 40.0, 0.0);
  return WeatherCourse(std::move(*year), start, shift);
}

WeatherCourse from_points(const Table& table, const Context& context) {
  std::vector<WeatherPoint> points;
  for (const toml::table* row : table.tables("point")) {
    const Table point(*row, "point", {"at", "temperature", "humidity"}, table.mistakes());
    for (const std::string_view key : {"at", "temperature"}) {
      if (!point.has(key)) {
        point.fail(key, std::string(key) + " is missing",
                   "Write { at = \"3 h\", temperature = \"-8 degC\", humidity = \"85 %\" }",
                   ErrorCode::parse);
      }
    }
    const double at = point.moment("at", context.base).value_or(0.0);
    if (!points.empty() && at <= points.back().time_s) {
      point.fail("at", "points must follow each other in time", "Put them in order",
                 ErrorCode::inconsistent);
    }
    points.push_back(
        {at, point.quantity_or("temperature", Dimension::temperature, coldest_K, hottest_K, 273.15),
         point.quantity_or("humidity", Dimension::ratio, 0.02, 1.0, 0.8)});
  }
  if (points.empty()) {
    table.fail("point", "there is no point", "Add [[weather.point]] with at and temperature",
               ErrorCode::parse);
    return {};
  }
  return WeatherCourse(std::move(points));
}

WeatherCourse from_profile(const Table& table, const Context& context) {
  WeatherProfile profile;
  if (!table.has("mean")) {
    table.fail("mean", "nothing says how warm it is",
               "Give mean = \"-9 degC\" (with swing, coldest, humidity), or file, or "
               "[[weather.point]]",
               ErrorCode::parse);
  }
  profile.mean_K = table.quantity_or("mean", Dimension::temperature, coldest_K, hottest_K, 280.15);
  profile.swing_K = table.quantity_or("swing", Dimension::temperature_difference, 0.0, 40.0, 0.0);
  profile.relative_humidity = table.quantity_or("humidity", Dimension::ratio, 0.02, 1.0, 0.8);
  if (const toml::node* node = table.toml().get("coldest")) {
    if (const auto time = node->value_exact<toml::time>()) {
      profile.coldest_s = time->hour * hour_s + time->minute * 60.0 + time->second;
    } else {
      table.fail("coldest", "coldest must be a time of day", "Write coldest = 06:00:00",
                 ErrorCode::parse);
    }
  }
  return WeatherCourse(profile, hours(context.start_wall) * hour_s);
}

}  // namespace

WeatherCourse read_weather(const Table& top, const Context& context) {
  const toml::table* inside = top.inside("weather");
  if (inside == nullptr) {
    if (!top.has("weather")) {
      top.fail("weather", "there is no weather", "Add [weather] with mean = \"-9 degC\"",
               ErrorCode::parse);
    }
    return {};
  }
  const Table table(*inside, "weather",
                    {"file", "begins", "shift", "mean", "swing", "coldest", "humidity", "point"},
                    top.mistakes());
  const int ways = static_cast<int>(table.has("file")) + static_cast<int>(table.has("mean")) +
                   static_cast<int>(table.has("point"));
  if (ways > 1) {
    table.fail("file", "weather comes from one of file, mean and point, not from several",
               "Leave the others out", ErrorCode::inconsistent);
    return {};
  }
  const auto alone = [&](std::initializer_list<std::string_view> foreign, std::string_view with) {
    for (const std::string_view key : foreign) {
      if (table.has(key)) {
        table.fail(key, std::string(key) + " has no meaning with " + std::string(with),
                   "Leave it out", ErrorCode::inconsistent);
      }
    }
  };
  if (const auto file = table.text("file")) {
    alone({"swing", "coldest", "humidity"}, "file");
    return from_year(table, *file, context);
  }
  alone({"begins", "shift"}, table.has("point") ? "point" : "mean");
  if (!table.has("point")) return from_profile(table, context);
  alone({"swing", "coldest", "humidity"}, "point");
  return from_points(table, context);
}

PlantRule read_plant(const Table& top) {
  PlantRule rule;
  const toml::table* inside = top.inside("plant");
  if (inside == nullptr) return rule;
  const Table table(*inside, "plant", {"mode", "change_over", "band"}, top.mistakes());
  if (const auto mode = table.word("mode", {"heating", "cooling"})) rule.cooling = *mode == 1;
  rule.change_over_K = table.quantity("change_over", Dimension::temperature,
                                      from_celsius(-10.0).value, from_celsius(35.0).value);
  rule.band_K = table.quantity_or("band", Dimension::temperature_difference, 0.0, 20.0, 2.0);
  if (rule.change_over_K && table.has("mode")) {
    table.fail("change_over", "mode and change_over contradict each other", "Leave one out",
               ErrorCode::inconsistent);
  }
  if (!rule.change_over_K && table.has("band")) {
    table.fail("band", "band has no meaning without change_over", "Leave it out",
               ErrorCode::inconsistent);
  }
  return rule;
}

}  // namespace cw::scenario::detail
