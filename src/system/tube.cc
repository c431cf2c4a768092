#include "system/tube.h"

#include <cmath>
#include <numbers>
#include <optional>

#include "base/contract.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/tubes.h"

namespace cw {
namespace {

constexpr double metres_per_inch = 0.0254;

Tube read_tube(const toml::table& row, std::string_view standard, std::string_view file) {
  Tube out;
  out.name = row["name"].value_or(std::string{});
  out.standard = std::string(standard);
  out.temper = row["temper"].value_or(std::string{});
  out.source = row["source"].value_or(std::string{});
  CW_REQUIRE(!out.name.empty() && !out.source.empty());
  out.outside_diameter_m = toml_quantity(row, "outside_diameter", Dimension::length, file).value();
  out.wall_m = toml_quantity(row, "wall", Dimension::length, file).value();
  out.copper_kg_per_m = toml_quantity(row, "mass", Dimension::linear_density, file).value();
  return out;
}

std::vector<Tube> read_tables() {
  std::vector<Tube> out;
  for (const EmbeddedFile& file : embedded::tubes()) {
    const toml::table table = parse_toml(file.text, file.name).value();
    const std::string standard = table["standard"].value_or(std::string{});
    const toml::array* rows = table["tube"].as_array();
    CW_REQUIRE(!standard.empty() && rows != nullptr);
    for (const toml::node& row : *rows) {
      out.push_back(read_tube(*row.as_table(), standard, file.name));
    }
  }
  return out;
}

void drop(std::string& text, std::string_view part) {
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part)) {
    text.erase(at, part.size());
  }
}

/// Without standard, units and blanks: "EN 9.52 x 0.8" is "9.52x0.8", "1 1/8 in" is "1-1/8".
std::string bare_name(std::string_view raw) {
  std::string text = to_lower(trim(raw));
  for (const std::string_view part : {"astm", "b280", "12735-1", "inch", "in", "mm", "\""}) {
    drop(text, part);
  }
  if (text.starts_with("en")) text.erase(0, 2);
  std::string out;
  const std::string_view rest = trim(text);
  for (std::size_t i = 0; i < rest.size(); ++i) {
    if (rest[i] != ' ') {
      out += rest[i];
      continue;
    }
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    const bool between_digits = i > 0 && i + 1 < rest.size() && is_digit(rest[i - 1]) &&
                                is_digit(rest[i + 1]) && rest.find('/') != std::string_view::npos;
    if (between_digits) out += '-';
  }
  if (out.find('x') != std::string::npos && out.ends_with(".0")) out.resize(out.size() - 2);
  return out;
}

/// "3/8" and "1-3/8" in inches.
std::optional<double> fraction(std::string_view text) {
  double whole = 0.0;
  if (const std::size_t dash = text.find('-'); dash != std::string_view::npos) {
    if (!read_number(text.substr(0, dash), whole)) return std::nullopt;
    text = text.substr(dash + 1);
  }
  const std::size_t slash = text.find('/');
  double above = 0.0;
  double below = 0.0;
  if (slash == std::string_view::npos || !read_number(text.substr(0, slash), above) ||
      !read_number(text.substr(slash + 1), below) || below <= 0.0) {
    return std::nullopt;
  }
  return whole + above / below;
}

/// What a text that names no size may have meant.
struct Guess {
  double outside_diameter_m = 0.0;
  bool inches = false;
};

std::optional<Guess> guess_of(const std::string& bare, bool inches_said) {
  Guess out;
  if (const auto inches = fraction(bare.substr(0, bare.find_first_of("ad")))) {
    out = {*inches * metres_per_inch, true};
  } else {
    double number = 0.0;
    if (!read_number(std::string_view(bare).substr(0, bare.find('x')), number)) return std::nullopt;
    out = {inches_said ? number * metres_per_inch : number * 1e-3, inches_said};
  }
  // Beyond half a metre it is no tube, and no size is near it.
  if (!(out.outside_diameter_m > 0.0 && out.outside_diameter_m < 0.5)) return std::nullopt;
  return out;
}

bool says_inches(std::string_view raw) {
  const std::string text = to_lower(trim(raw));
  return text.ends_with("in") || text.ends_with("inch") || text.ends_with('"');
}

const Tube& nearest(const Guess& guess) {
  const Tube* best = nullptr;
  double least = 1e300;
  for (const Tube& tube : tube_table()) {
    if ((tube.standard == "ASTM B280") != guess.inches) continue;
    const double distance = std::abs(tube.outside_diameter_m - guess.outside_diameter_m);
    if (distance < least - 1e-9) {
      least = distance;
      best = &tube;
    }
  }
  CW_REQUIRE(best != nullptr);
  return *best;
}

}  // namespace

double Tube::bore_area_m2() const { return 0.25 * std::numbers::pi * bore_m() * bore_m(); }

const std::vector<Tube>& tube_table() {
  static const std::vector<Tube> table = read_tables();
  return table;
}

Result<const Tube*> find_tube(std::string_view name) {
  const std::string bare = bare_name(name);
  for (const Tube& tube : tube_table()) {
    if (bare_name(tube.name) == bare) return &tube;
  }
  const std::optional<Guess> guess = guess_of(bare, says_inches(name));
  // A diameter alone: "9.52 mm", "0.375 in". A fraction or a wall that matched nothing is an error.
  constexpr double rounding_m = 0.06e-3;
  double number = 0.0;
  if (guess && read_number(bare, number)) {
    const Tube& tube = nearest(*guess);
    if (std::abs(tube.outside_diameter_m - guess->outside_diameter_m) < rounding_m) return &tube;
  }
  Error error{ErrorCode::not_found, "there is no tube size \"" + std::string(trim(name)) + "\"", "",
              "Write the outside diameter in inches (\"3/8\", ASTM B280) or diameter x wall in mm "
              "(\"9.52x0.8\", EN 12735-1)"};
  if (guess) {
    error.fix = "The nearest size is \"" + nearest(*guess).name + "\"";
  }
  return error;
}

}  // namespace cw
