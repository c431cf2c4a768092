#pragma once

#include <string>

#include "base/unit_text.h"
#include "base/units.h"
#include "system/system.h"

namespace cw {

/// What the outputs of a system sheet are made from.
struct SheetReport {
  const System& system;
  UnitSystem units = UnitSystem::si;
  Kelvin liquid_at = from_celsius(40.0);  ///< temperature at which the liquid lines are weighed
};

/// Plain text: totals, lines, runs, units, assumptions, warnings. Lines are not wrapped.
std::string sheet_text(const SheetReport& report);

/// JSON, schema coilwright.sheet/1, SI throughout.
std::string sheet_json(const SheetReport& report);

/// The pipe tree as one SVG picture, A4 landscape up to some 36 indoor units, longer beyond.
std::string sheet_svg(const SheetReport& report);

}  // namespace cw
