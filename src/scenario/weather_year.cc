#include <algorithm>
#include <array>
#include <cmath>

#include "base/file.h"
#include "base/text.h"
#include "base/units.h"
#include "scenario/weather.h"

namespace cw::scenario {
namespace {

constexpr std::size_t hours_of_year = 8760;
constexpr std::array days_before = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
constexpr std::array days_in = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

/// Where the two forms keep what is needed. TMY3: Wilcox and Marion, Users Manual for TMY3 Data
/// Sets, NREL/TP-581-43156, 2008, Tables 1-1 to 1-3. EPW: EnergyPlus Auxiliary Programs,
/// "EnergyPlus Weather File (EPW) Data Dictionary". Both checked against files of 8760 rows.
struct Form {
  std::string_view name;
  std::size_t heading_lines;
  std::size_t cells;  ///< that a row must have at least
  std::size_t temperature, humidity;
  std::size_t offset_of_station;  ///< cell of the first line with the hours from UTC
};
constexpr Form tmy3{"TMY3", 2, 38, 31, 37, 3};
constexpr Form epw{"EPW", 8, 9, 6, 8, 8};

/// Month, day and hour 1..24 of a row.
struct RowTime {
  int month = 0, day = 0, hour = 0;
};

std::string_view unquoted(std::string_view cell) {
  cell = trim(cell);
  if (cell.size() >= 2 && cell.front() == '"' && cell.back() == '"') {
    cell = cell.substr(1, cell.size() - 2);
  }
  return trim(cell);
}

bool whole(std::string_view text, int& out) {
  double number = 0.0;
  if (!read_number(trim(text), number) || number != std::floor(number) || std::abs(number) > 1e6) {
    return false;
  }
  out = static_cast<int>(number);
  return true;
}

bool read_time(const Form& form, const std::vector<std::string_view>& cells, RowTime& out) {
  if (form.name == epw.name) {
    return whole(cells[1], out.month) && whole(cells[2], out.day) && whole(cells[3], out.hour);
  }
  const std::vector<std::string_view> date = split(unquoted(cells[0]), '/');
  const std::vector<std::string_view> clock = split(unquoted(cells[1]), ':');
  return date.size() == 3 && clock.size() == 2 && whole(date[0], out.month) &&
         whole(date[1], out.day) && whole(clock[0], out.hour);
}

class YearReader {
 public:
  YearReader(std::string_view text, std::string_view name) : rest_(text), name_(name) {}

  Result<WeatherYear> read() {
    const std::vector<std::string_view> first = split(next_line(), ',');
    const std::string_view head = unquoted(first[0]);
    double number = 0.0;
    form_ = equal_ignoring_case(head, "LOCATION") ? epw : tmy3;
    if (form_.name == tmy3.name && (first.size() < 7 || !read_number(head, number))) {
      return bad("is no hourly weather year",
                 "Give a TMY3 file (the first line begins with the station's number) or an EPW "
                 "file (it begins with LOCATION)",
                 ErrorCode::unreadable);
    }
    out_.name = std::string(unquoted(first.size() > 1 ? first[1] : ""));
    if (first.size() <= form_.offset_of_station ||
        !read_number(trim(first[form_.offset_of_station]), out_.offset_h) ||
        std::abs(out_.offset_h) > 14.0) {
      return bad("the first line lacks the station's hours from UTC",
                 "Take the file as it was published");
    }
    for (std::size_t i = 1; i < form_.heading_lines; ++i) next_line();
    const auto nan = std::numeric_limits<float>::quiet_NaN();
    out_.temperature_K.assign(hours_of_year, nan);
    out_.relative_humidity.assign(hours_of_year, nan);
    while (!rest_.empty()) {
      const std::string_view line = next_line();
      if (trim(line).empty()) continue;
      if (Status s = read_row(line); !s) return s.error();
    }
    return whole_year();
  }

 private:
  std::string_view next_line() {
    const std::size_t end = rest_.find('\n');
    const std::string_view line = rest_.substr(0, end);
    rest_ = end == std::string_view::npos ? std::string_view{} : rest_.substr(end + 1);
    ++line_;
    return line;
  }

  Error bad(std::string message, std::string fix, ErrorCode code = ErrorCode::parse) const {
    return {code, std::move(message), name_ + ":" + std::to_string(line_), std::move(fix)};
  }

  Status read_row(std::string_view line) {
    const std::vector<std::string_view> cells = split(line, ',');
    RowTime time;
    if (cells.size() < form_.cells || !read_time(form_, cells, time)) {
      return bad("is no row of a " + std::string(form_.name) + " year",
                 "Take the file as it was published");
    }
    if (time.month == 2 && time.day == 29) return Done{};
    if (time.month < 1 || time.month > 12 || time.day < 1 ||
        time.day > days_in[static_cast<std::size_t>(time.month - 1)] || time.hour < 1 ||
        time.hour > 24) {
      return bad("has a date or an hour that does not exist", "Hours run from 1 to 24");
    }
    // Hour 24 of a day is hour 0 of the next; that of 31 December begins the year again.
    const int day = days_before[static_cast<std::size_t>(time.month - 1)] + time.day - 1;
    const std::size_t hour = static_cast<std::size_t>(day * 24 + time.hour) % hours_of_year;
    double t_degC = 0.0;
    double humidity = 0.0;
    if (!read_number(trim(cells[form_.temperature]), t_degC) ||
        !read_number(trim(cells[form_.humidity]), humidity)) {
      return bad("temperature or humidity is no number", "Take the file as it was published");
    }
    // Both forms write 99.9, 999 or -9900 where nothing is known.
    if (t_degC < -75.0 || t_degC > 65.0 || humidity < 0.0 || humidity > 110.0) {
      return bad("temperature or humidity is missing", "Fill the hour, or take another year");
    }
    if (!std::isnan(out_.temperature_K[hour])) {
      return bad("this hour of the year is there twice", "A file holds one year");
    }
    out_.temperature_K[hour] = static_cast<float>(t_degC + zero_celsius);
    out_.relative_humidity[hour] = static_cast<float>(std::min(humidity * 0.01, 1.0));
    return Done{};
  }

  Result<WeatherYear> whole_year() {
    const auto missing = std::find_if(out_.temperature_K.begin(), out_.temperature_K.end(),
                                      [](float t) { return std::isnan(t); });
    if (missing != out_.temperature_K.end()) {
      const auto absent =
          std::count_if(missing, out_.temperature_K.end(), [](float t) { return std::isnan(t); });
      return bad(std::to_string(absent) + " of 8760 hours are missing, the first is hour " +
                     std::to_string(missing - out_.temperature_K.begin()) + " of the year",
                 "Give a whole year");
    }
    return std::move(out_);
  }

  std::string_view rest_;
  std::string name_;
  std::size_t line_ = 0;
  Form form_ = tmy3;
  WeatherYear out_;
};

}  // namespace

Result<WeatherYear> parse_weather_year(std::string_view text, std::string_view name) {
  return YearReader(text, name).read();
}

Result<WeatherYear> read_weather_year(const std::filesystem::path& path) {
  const Result<MappedFile> file = MappedFile::open(path);
  if (!file) return file.error();
  return parse_weather_year(file->bytes(), path.string());
}

}  // namespace cw::scenario
