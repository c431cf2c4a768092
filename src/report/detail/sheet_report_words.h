#pragma once

#include <string>
#include <vector>

#include "report/sheet_report.h"

/// What the three outputs of a system sheet say in the same way.
namespace cw::detail {

/// Value and unit with digits of our own: "12.0 m", "39 ft".
std::string shown(double si, Dimension dimension, UnitSystem units, int digits);
/// The number alone.
std::string shown_number(double si, Dimension dimension, UnitSystem units, int digits);

/// "Heat pump" or "Heat recovery", modules and units: "2 outdoor modules, 12 indoor units".
std::string make_up(const System& system);

/// Assumptions that are alike, with all their places.
struct AssumptionGroup {
  Assumption first;
  std::vector<std::string> places;
};
std::vector<AssumptionGroup> grouped(const std::vector<Assumption>& assumptions);
/// "indoor.1 to indoor.5, indoor.9".
std::string places_in_short(const std::vector<std::string>& places);
/// "1.01 L", "annealed (soft) tube".
std::string value_text(const Assumption& assumption, UnitSystem units);

}  // namespace cw::detail
