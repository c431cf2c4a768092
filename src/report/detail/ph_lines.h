#pragma once

#include <optional>
#include <vector>

#include "base/result.h"
#include "base/unit_text.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

/// The curves of a pressure-enthalpy chart, in SI.
namespace cw::detail {

struct PhPoint {
  double h = 0.0;  ///< [J/kg]
  double p = 0.0;  ///< [Pa]
};

/// `limit` is the isotherm at which the equation of state ends.
enum class PhKind { bubble, dew, quality, isotherm, isentrope, isochore, limit };

struct PhCurve {
  PhKind kind = PhKind::bubble;
  double value = 0.0;  ///< SI: temperature, entropy, density or quality
  bool two_phase = false;
  std::vector<PhPoint> points;
};

/// What the chart shows, chosen from the refrigerant: round numbers in the display units.
struct PhRange {
  double h_low = 0.0, h_high = 0.0;        ///< [J/kg]
  double p_low = 0.0, p_high = 0.0;        ///< [Pa]
  PhPoint critical;                        ///< where the saturation lines meet
  std::vector<double> T, s, rho, quality;  ///< values of the curves, SI
};

Result<PhRange> ph_range(const fluid::Refrigerant& refrigerant, fluid::ReferenceState reference,
                         UnitSystem units);

/// All curves; saturation lines first.
std::vector<PhCurve> ph_curves(const fluid::Refrigerant& refrigerant,
                               fluid::ReferenceState reference, const PhRange& range);

}  // namespace cw::detail
