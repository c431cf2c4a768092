#include "twin/pressure_limits.h"

#include <algorithm>
#include <array>
#include <string>

#include "base/text.h"
#include "fluid/saturation.h"

namespace cw::twin {
namespace {

/// One limit: what it is for R-410A, the refrigerant that the figures are known for.
struct Limit {
  std::string_view key;
  double Controls::*member;
  double known_Pa;
  double least_Pa;  ///< whatever the refrigerant
  bool follows;     ///< the refrigerant's saturation; else it is about the air outside
};
// Own estimates of what machines of this kind do.
constexpr std::array<Limit, 4> limits = {{
    {"high_pressure_limit", &Controls::high_pressure_limit_Pa, 3.7e6, 0.0, true},
    {"high_pressure_trip", &Controls::high_pressure_trip_Pa, 4.2e6, 0.0, true},
    {"low_pressure_limit", &Controls::low_pressure_limit_Pa, 0.22e6, 0.13e6, true},
    {"low_pressure_trip", &Controls::low_pressure_trip_Pa, 0.11e6, 0.0, false},
}};
constexpr std::string_view known_refrigerant = "R-410A";

/// Dew point of R-410A at a limit; every one of them lies within its range.
Kelvin dew_point(const Limit& limit) {
  return fluid::dew_temperature(**fluid::find_refrigerant(known_refrigerant), {limit.known_Pa})
      .value();
}

double pressure_of(const fluid::Refrigerant& refrigerant, const Limit& limit) {
  if (!limit.follows || refrigerant.name() == known_refrigerant) return limit.known_Pa;
  const auto p = fluid::dew_pressure(refrigerant, dew_point(limit));
  // A critical temperature below the limit's: no machine of ours condenses there.
  constexpr double highest = 0.95;
  if (!p) return highest * refrigerant.critical_pressure().value;
  return std::max(p->value, limit.least_Pa);
}

}  // namespace

void settle_pressure_limits(const fluid::Refrigerant& refrigerant, Controls& controls) {
  for (std::size_t k = 0; k < limits.size(); ++k) {
    double& p = controls.*limits[k].member;
    if (p > 0.0) continue;
    p = pressure_of(refrigerant, limits[k]);
    controls.limits_assumed |= 1U << k;
  }
}

std::vector<Assumption> assumed_pressure_limits(const Controls& controls) {
  std::vector<Assumption> out;
  for (std::size_t k = 0; k < limits.size(); ++k) {
    if ((controls.limits_assumed >> k & 1U) == 0) continue;
    const Limit& limit = limits[k];
    std::string reason = "above the air's pressure, so that no leak lets air in";
    if (limit.follows) {
      reason = "a dew point of " + number_text(dew_point(limit).value - zero_celsius, 3) +
               " degC, as " + number_text(1e-6 * limit.known_Pa) + " MPa of R-410A";
    }
    out.push_back({"control", std::string(limit.key), controls.*limit.member, Dimension::pressure,
                   "", reason, "own estimate"});
  }
  return out;
}

}  // namespace cw::twin
