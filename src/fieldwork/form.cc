#include "fieldwork/form.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_file.h"

namespace cw::field {
namespace {

std::string plain(double si, Dimension dimension) {
  const Unit unit = display_unit(dimension, UnitSystem::si);
  const std::string symbol(display_symbol(dimension, UnitSystem::si));
  return number_text(unit.from_si(si), 5) + (symbol.empty() ? "" : " " + symbol);
}

Error outside(std::string_view text, double value, Dimension dimension, const Range& range,
              std::string_view where) {
  const bool low = value < range.lowest;
  std::string message = "\"" + std::string(trim(text)) + "\" is ";
  if (dimension == Dimension::temperature && value < 0.0) {
    message += "below absolute zero (-273.15 °C), which nothing can be";
  } else {
    message +=
        low ? "below the least that makes sense here, " : "above the most that makes sense here, ";
    message += plain(low ? range.lowest : range.highest, dimension);
    if (!range.why.empty()) message += ": " + std::string(range.why);
  }
  return {ErrorCode::out_of_range, message, std::string(where), std::string(range.fix)};
}

std::string_view key_of(std::string_view flag) {
  return flag.starts_with("--") ? flag.substr(2) : flag;
}

}  // namespace

Result<double> read_quantity(std::string_view text, Dimension dimension, const Range& range,
                             std::string_view where) {
  Result<double> value = parse_quantity(text, dimension);
  if (!value) {
    value.error().where = std::string(where);
    if (!range.fix.empty()) value.error().fix = std::string(range.fix);
    return value;
  }
  if (!(*value >= range.lowest && *value <= range.highest)) {
    return outside(text, *value, dimension, range, where);
  }
  return value;
}

Result<double> read_pressure(std::string_view text, double barometer, const Range& range,
                             std::string_view where) {
  std::string_view rest = trim(text);
  rest.remove_prefix(std::min(rest.size(), rest.find_first_not_of("+-.0123456789eE ")));
  const Result<Unit> unit = parse_unit(rest);
  Result<double> value = parse_quantity(text, Dimension::pressure, barometer);
  if (!value) {
    value.error().where = std::string(where);
    return value;
  }
  // Microns, torr and inches of mercury on a vacuum gauge count from absolute zero.
  const bool vacuum_unit = unit && (unit->symbol == "micron" || unit->symbol == "mmHg" ||
                                    unit->symbol == "Pa" || unit->symbol == "mbar");
  if (unit && unit->reference == PressureReference::unstated && !vacuum_unit) {
    return Error{ErrorCode::unit,
                 "\"" + std::string(trim(text)) + "\" says neither gauge nor absolute",
                 std::string(where),
                 "Write for example 4.15MPa(g), 600psig or 43bar(a): a whole atmosphere lies "
                 "between the two"};
  }
  if (*value < 0.0) {
    return Error{ErrorCode::out_of_range,
                 "\"" + std::string(trim(text)) + "\" is below a perfect vacuum (" +
                     number_text(barometer / 1e3, 5) + " kPa of air at the site)",
                 std::string(where), "Check the sign and the unit of the reading"};
  }
  if (!(*value >= range.lowest && *value <= range.highest)) {
    return outside(text, *value, Dimension::pressure, range, where);
  }
  return value;
}

Result<Instant> read_date(std::string_view text, std::string_view where) {
  const std::string owned(trim(text));
  CivilTime civil;
  int used = 0;
  const char* begin = owned.c_str();
  bool good =
      std::sscanf(begin, "%4d-%2d-%2d%n", &civil.year, &civil.month, &civil.day, &used) == 3;
  if (good && begin[used] != '\0') {
    good = begin[used] == ' ' || begin[used] == 'T';
    const char* clock = begin + used + 1;
    int clock_used = 0;
    good = good && std::sscanf(clock, "%2d:%2d%n", &civil.hour, &civil.minute, &clock_used) == 2;
    if (good && clock[clock_used] == ':') {
      const char* second = clock + clock_used + 1;
      int second_used = 0;
      good = std::sscanf(second, "%2d%n", &civil.second, &second_used) == 1 &&
             second[second_used] == '\0';
    } else if (good) {
      good = clock[clock_used] == '\0';
    }
  }
  const std::optional<Instant> instant = good ? instant_of(civil) : std::nullopt;
  if (!instant) {
    return Error{ErrorCode::parse, "\"" + owned + "\" is no date of the calendar",
                 std::string(where), "Write for example 2026-01-14 or 2026-01-14 06:30"};
  }
  if (civil.year < 1980 || civil.year > 2200) {
    return Error{ErrorCode::out_of_range, "the year " + std::to_string(civil.year),
                 std::string(where), "Check the year"};
  }
  return *instant;
}

void Form::add(std::string_view flag, std::string text) {
  answers_[std::string(flag)].push_back(std::move(text));
}

void Form::replace(std::string_view flag, std::string text) {
  answers_[std::string(flag)] = {std::move(text)};
}

std::optional<std::string> Form::text(std::string_view flag) const {
  const auto found = answers_.find(flag);
  if (found == answers_.end() || found->second.empty()) return std::nullopt;
  return found->second.back();
}

std::string Form::text_or(std::string_view flag, std::string_view fallback) const {
  return text(flag).value_or(std::string(fallback));
}

std::vector<std::string> Form::all(std::string_view flag) const {
  const auto found = answers_.find(flag);
  return found == answers_.end() ? std::vector<std::string>{} : found->second;
}

Result<double> Form::need(std::string_view flag, Dimension dimension, const Range& range) const {
  const auto answer = text(flag);
  if (!answer) {
    return Error{ErrorCode::not_found, "this value is missing", std::string(flag),
                 std::string(range.fix)};
  }
  return read_quantity(*answer, dimension, range, flag);
}

Result<std::optional<double>> Form::quantity(std::string_view flag, Dimension dimension,
                                             const Range& range) const {
  const auto answer = text(flag);
  if (!answer) return std::optional<double>{};
  const Result<double> value = read_quantity(*answer, dimension, range, flag);
  if (!value) return value.error();
  return std::optional<double>{*value};
}

Result<double> Form::quantity_or(std::string_view flag, Dimension dimension, double fallback,
                                 const Range& range) const {
  const Result<std::optional<double>> value = quantity(flag, dimension, range);
  if (!value) return value.error();
  return value->value_or(fallback);
}

Result<std::vector<double>> Form::list(std::string_view flag, Dimension dimension,
                                       const Range& range) const {
  std::vector<double> out;
  for (const std::string& answer : all(flag)) {
    for (const std::string_view part : split(answer, ',')) {
      const Result<double> value = read_quantity(part, dimension, range, flag);
      if (!value) return value.error();
      out.push_back(*value);
    }
  }
  return out;
}

Result<double> Form::need_pressure(std::string_view flag, const Site& site,
                                   const Range& range) const {
  const auto answer = text(flag);
  if (!answer) {
    return Error{ErrorCode::not_found, "this pressure is missing", std::string(flag),
                 std::string(range.fix)};
  }
  return read_pressure(*answer, site.barometer, range, flag);
}

Result<std::optional<double>> Form::duration(std::string_view flag, const Range& range,
                                             std::string_view bare_unit) const {
  auto answer = text(flag);
  if (!answer) return std::optional<double>{};
  double number = 0.0;
  if (read_number(trim(*answer), number)) *answer += std::string(bare_unit);
  const Result<double> value = read_quantity(*answer, Dimension::time, range, flag);
  if (!value) return value.error();
  return std::optional<double>{*value};
}

Result<std::string> Form::word(std::string_view flag, std::span<const std::string_view> words,
                               std::string_view fallback) const {
  const auto answer = text(flag);
  if (!answer) return std::string(fallback);
  for (const std::string_view known : words) {
    if (equal_ignoring_case(trim(*answer), known)) return std::string(known);
  }
  std::vector<std::string> names(words.begin(), words.end());
  return Error{ErrorCode::invalid_argument, "\"" + *answer + "\" is not known here",
               std::string(flag), "Use one of: " + list_of(names)};
}

Result<std::optional<Instant>> Form::date(std::string_view flag) const {
  const auto answer = text(flag);
  if (!answer) return std::optional<Instant>{};
  const Result<Instant> instant = read_date(*answer, flag);
  if (!instant) return instant.error();
  return std::optional<Instant>{*instant};
}

namespace {

Status add_answer(Form& form, const Question& question, const toml::node& node,
                  std::string_view name) {
  if (const auto text = node.value_exact<std::string>()) {
    form.add(question.flag, *text);
  } else if (const auto flag = node.value_exact<bool>()) {
    if (*flag) form.add(question.flag, "");
  } else if (const auto date = node.value_exact<toml::date>()) {
    char buffer[16];
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d", static_cast<int>(date->year),
                  static_cast<int>(date->month), static_cast<int>(date->day));
    form.add(question.flag, buffer);
  } else if (const auto number = node.value<double>()) {
    form.add(question.flag, number_text(*number, 15));
  } else {
    return Error{ErrorCode::parse, "this value is neither a text nor a number",
                 place_of(node, name), "Write for example volume = \"60 L\""};
  }
  return Done{};
}

}  // namespace

void Form::attach(std::string_view flag, File file) {
  replace(flag, file.name);
  files_.insert_or_assign(std::string(flag), std::move(file));
}

Result<Form::File> Form::file(std::string_view flag) const {
  const auto attached = files_.find(flag);
  if (attached != files_.end()) return attached->second;
  const auto path = text(flag);
  if (!path) {
    return Error{ErrorCode::not_found, "no file is given", std::string(flag), "Name the file"};
  }
  Result<std::string> read = read_file(*path);
  if (!read) return read.error();
  return File{*path, std::move(*read)};
}

Result<Form> read_form(std::string_view toml_text, std::string_view name,
                       std::span<const Question> questions) {
  const Result<toml::table> table = parse_toml(toml_text, name);
  if (!table) return table.error();
  Form form;
  for (const auto& [key, node] : *table) {
    std::string wanted(key.str());
    std::replace(wanted.begin(), wanted.end(), '_', '-');
    const auto question = std::find_if(questions.begin(), questions.end(),
                                       [&](const Question& q) { return key_of(q.flag) == wanted; });
    if (question == questions.end()) {
      std::vector<std::string> known;
      for (const Question& q : questions) known.emplace_back(key_of(q.flag));
      return Error{ErrorCode::not_found, "\"" + std::string(key.str()) + "\" is no question here",
                   place_of(node, name), "Known: " + list_of(known)};
    }
    if (const toml::array* array = node.as_array()) {
      for (const toml::node& item : *array) {
        if (Status s = add_answer(form, *question, item, name); !s) return s.error();
      }
    } else if (Status s = add_answer(form, *question, node, name); !s) {
      return s.error();
    }
  }
  return form;
}

Result<Site> read_site(const Form& form) {
  const Range heights{-500.0, 6000.0, "nobody installs there",
                      "Give the site's height above the sea, for example 1600m or 5280ft"};
  const Range pressures{45e3, 112e3, "the air at no site has that pressure",
                        "Give the air's absolute pressure as a barometer at the site shows it, for "
                        "example 98.2kPa; weather reports give it reduced to sea level"};
  const auto altitude = form.quantity("--altitude", Dimension::length, heights);
  if (!altitude) return altitude.error();
  const auto barometer = form.quantity("--barometer", Dimension::pressure, pressures);
  if (!barometer) return barometer.error();
  if (*altitude && *barometer) {
    return Error{ErrorCode::inconsistent, "barometer and altitude are both given", "--altitude",
                 "Give the barometer if it was read at the site, else the altitude"};
  }
  if (*barometer) return Site{**barometer, "barometer as entered", false};
  if (*altitude) {
    return Site{standard_pressure_at(Metre{**altitude}).value,
                "standard atmosphere at " + number_text(**altitude, 5) +
                    " m (ASHRAE Fundamentals ch. 1 Eq. 3)",
                false};
  }
  return Site{standard_atmosphere,
              "assumed: standard atmosphere, neither barometer nor altitude given", true};
}

}  // namespace cw::field
