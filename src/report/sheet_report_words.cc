#include <charconv>
#include <cmath>
#include <cstdio>

#include "base/text.h"
#include "report/detail/sheet_report_words.h"

namespace cw::detail {
namespace {

std::string plural(std::size_t n, const std::string& one, const std::string& many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

/// "indoor.7" as "indoor." and 7; -1 where the id is no number.
std::pair<std::string, int> split_place(const std::string& place) {
  const std::size_t dot = place.rfind('.');
  if (dot == std::string::npos) return {place, -1};
  int number = -1;
  const char* end = place.data() + place.size();
  const auto [at, status] = std::from_chars(place.data() + dot + 1, end, number);
  if (status != std::errc{} || at != end) return {place, -1};
  return {place.substr(0, dot + 1), number};
}

}  // namespace

std::string shown_number(double si, Dimension dimension, UnitSystem units, int digits) {
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, display_unit(dimension, units).from_si(si));
  std::string out = buffer;
  if (out.front() == '-' && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  return out;
}

std::string shown(double si, Dimension dimension, UnitSystem units, int digits) {
  return shown_number(si, dimension, units, digits) + " " +
         std::string(display_symbol(dimension, units));
}

std::string make_up(const System& system) {
  std::string out = system.heat_recovery() ? "heat recovery, " : "";
  out += plural(system.outdoor().size(), "outdoor module", "outdoor modules") + ", ";
  if (system.heat_recovery()) {
    out += plural(system.branches().size(), "branch box", "branch boxes") + ", ";
  }
  return out + plural(system.indoor().size(), "indoor unit", "indoor units");
}

std::vector<AssumptionGroup> grouped(const std::vector<Assumption>& assumptions) {
  std::vector<AssumptionGroup> out;
  for (const Assumption& each : assumptions) {
    bool found = false;
    for (AssumptionGroup& group : out) {
      const Assumption& a = group.first;
      if (a.key != each.key || a.reason != each.reason || a.source != each.source ||
          a.text != each.text || a.value != each.value) {
        continue;
      }
      // "outdoor.1.coil" and "indoor.1" never stand in one row.
      if (a.place.substr(0, 4) != each.place.substr(0, 4)) continue;
      group.places.push_back(each.place);
      found = true;
      break;
    }
    if (!found) out.push_back({each, {each.place}});
  }
  return out;
}

std::string places_in_short(const std::vector<std::string>& places) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < places.size();) {
    const auto [kind, first] = split_place(places[i]);
    std::size_t j = i + 1;
    int last = first;
    while (j < places.size() && first >= 0) {
      const auto [next_kind, next] = split_place(places[j]);
      if (next_kind != kind || next != last + 1) break;
      last = next;
      ++j;
    }
    if (j - i > 2) {
      parts.push_back(places[i] + " to " + places[j - 1]);
      i = j;
    } else {
      parts.push_back(places[i]);
      ++i;
    }
  }
  constexpr std::size_t most = 6;
  if (parts.size() > most) {
    const std::size_t more = parts.size() - most;
    parts.resize(most);
    parts.push_back(std::to_string(more) + " more");
  }
  return list_of(parts);
}

std::string value_text(const Assumption& assumption, UnitSystem units) {
  if (!assumption.text.empty()) return assumption.text;
  // Litres and cubic feet are no measure for a compressor's displacement.
  if (assumption.key == "displacement") return number_text(assumption.value * 1e6, 4) + " mL";
  const double value = display_unit(assumption.dimension, units).from_si(assumption.value);
  const int digits = std::abs(value) >= 1e4 ? 6 : 4;
  const std::string symbol(display_symbol(assumption.dimension, units));
  return number_text(value, digits) + (symbol.empty() ? "" : " " + symbol);
}

}  // namespace cw::detail
