#include "report/saturation_curves.h"

#include <string>

#include "fluid/saturation.h"

namespace cw {

std::vector<SaturationCurve> saturation_of(const fluid::Refrigerant& refrigerant) {
  const fluid::Refrigerant* const fluid = &refrigerant;
  return {{std::string(fluid->name()), [fluid](double p) {
             return std::pair{fluid::bubble_temperature_or_nan(*fluid, p),
                              fluid::dew_temperature_or_nan(*fluid, p)};
           }}};
}

std::vector<SaturationCurve> saturation_of_all() {
  constexpr double room = 293.15;  // [K]
  std::vector<SaturationCurve> out;
  for (const std::string_view name : fluid::refrigerant_names()) {
    const auto refrigerant = fluid::find_refrigerant(name);
    if (!refrigerant || (*refrigerant)->critical_temperature().value < room) continue;
    for (SaturationCurve& curve : saturation_of(**refrigerant)) out.push_back(std::move(curve));
  }
  return out;
}

}  // namespace cw
