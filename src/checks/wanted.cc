#include "checks/wanted.h"

#include <algorithm>
#include <map>

#include "base/contract.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/check_texts.h"

namespace cw {
namespace {

/// One channel that would do: "discharge_pressure" of the finding's place,
/// "site.outdoor_temperature", "indoor.call" of any indoor unit.
struct Option {
  std::string scope;
  std::string quantity;
};

Option option_of(std::string_view text) {
  const std::size_t dot = text.find('.');
  if (dot == std::string_view::npos) return {"", std::string(text)};
  return {std::string(text.substr(0, dot)), std::string(text.substr(dot + 1))};
}

bool anywhere(const Recording& recording, std::string_view quantity, std::string_view scope = "") {
  return std::any_of(recording.channels.begin(), recording.channels.end(), [&](const Channel& c) {
    const bool in_scope =
        scope.empty() || c.place.text.starts_with(scope) || c.place.kind == PlaceKind::system;
    return c.quantity->name == quantity && in_scope;
  });
}

bool has(const Recording& recording, const Place& place, const Option& option) {
  // The air is the same wherever it is measured (outdoor_temperature_of).
  if (option.scope == "site") return anywhere(recording, option.quantity);
  if (!option.scope.empty()) return anywhere(recording, option.quantity, option.scope + ".");
  if (place.kind == PlaceKind::system || place.kind == PlaceKind::site) {
    return anywhere(recording, option.quantity);
  }
  if (recording.find_upward(place, option.quantity) != nullptr) return true;
  if (recording.find("site", option.quantity) != nullptr) return true;
  // A module stands for its compressors.
  return place.kind == PlaceKind::outdoor &&
         anywhere(recording, option.quantity, place.text + ".compressor.");
}

std::string name_of(const Place& place, const Option& option) {
  if (option.scope == "site") return "site." + option.quantity;
  if (!option.scope.empty() || place.kind == PlaceKind::system) return option.quantity;
  return place.text + "." + option.quantity;
}

/// "calls" written out, as track_calls decides: the first is what is named.
constexpr std::string_view calls =
    "call | cooling_call | set_point + controlled_temperature | set_point + return_air_temperature "
    "| set_point + room_temperature";

/// What of "a + b | c" would have to be added; empty where one of the alternatives is there, else
/// what the first one lacks.
std::vector<std::string> lacking(const Recording& recording, const Place& place,
                                 std::string_view line) {
  if (line == "calls") {
    // The only unit of a system calls when the compressor runs.
    if (recording.places(PlaceKind::indoor).size() == 1) return {};
    line = calls;
  }
  std::vector<std::string> first;
  for (const std::string_view alternative : split(line, '|')) {
    std::vector<std::string> absent;
    for (const std::string_view text : split(alternative, '+')) {
      const Option option = option_of(trim(text));
      if (!has(recording, place, option)) absent.push_back(name_of(place, option));
    }
    if (absent.empty()) return {};
    if (first.empty()) first = std::move(absent);
  }
  return first;
}

/// The `records` of every check by its id, read once.
const std::map<std::string, std::vector<std::string>, std::less<>>& all_records() {
  static const auto all = [] {
    std::map<std::string, std::vector<std::string>, std::less<>> out;
    for (const Check& check : check_catalogue()) {
      const std::string name = "checks/" + check.id + ".toml";
      for (const EmbeddedFile& file : embedded::check_texts()) {
        if (file.name != name) continue;
        const Result<toml::table> table = parse_toml(file.text, file.name);
        CW_REQUIRE(table.has_value());
        const toml::array* lines = (*table)["records"].as_array();
        CW_REQUIRE(lines != nullptr && !lines->empty());
        for (const toml::node& line : *lines) {
          out[check.id].push_back(line.value_or(std::string{}));
        }
      }
    }
    return out;
  }();
  return all;
}

bool holds_at(std::string_view kind, const Place& place) {
  return place.module().starts_with(std::string(kind) + ".");
}

}  // namespace

const std::vector<std::string>& records_of(std::string_view check) {
  static const std::vector<std::string> none;
  const auto found = all_records().find(check);
  return found == all_records().end() ? none : found->second;
}

std::vector<std::string> missing_channels(const Finding& finding, const Recording& recording) {
  std::vector<std::string> out;
  if (finding.verdict != Verdict::unproven) return out;
  for (const std::string& line : records_of(finding.check)) {
    std::string_view rest = line;
    if (const std::size_t colon = rest.find(": "); colon != std::string_view::npos) {
      if (!holds_at(rest.substr(0, colon), finding.place)) continue;
      rest.remove_prefix(colon + 2);
    }
    for (std::string& name : lacking(recording, finding.place, rest)) {
      if (std::find(out.begin(), out.end(), name) == out.end()) out.push_back(std::move(name));
    }
  }
  return out;
}

}  // namespace cw
