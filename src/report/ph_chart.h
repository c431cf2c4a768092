#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "base/unit_text.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw {

/// Where a label stands on a chart, in millimetres of the page.
struct ChartLabel {
  std::string text;
  double x = 0.0, y = 0.0;  ///< centre
  double width = 0.0, height = 0.0;
  double angle = 0.0;  ///< degrees, clockwise
};

/// A pressure-enthalpy chart for an A4 page in landscape: saturation lines, quality, isotherms,
/// isentropes and lines of constant density over enthalpy and the logarithm of absolute pressure.
/// Line kinds differ in dash as well as in colour.
struct PhChart {
  std::string svg;                 ///< the whole document, viewBox in millimetres
  std::vector<ChartLabel> labels;  ///< inside the frame; no two overlap
  double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;  ///< the frame
};

/// @error as fluid::state_from, for a refrigerant or reference state without saturated states
Result<PhChart> ph_chart(const fluid::Refrigerant& refrigerant, fluid::ReferenceState reference,
                         UnitSystem units);

}  // namespace cw
