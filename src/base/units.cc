#include "base/units.h"

#include <algorithm>
#include <cmath>

namespace cw {

Pascal standard_pressure_at(Metre altitude) {
  const double z = std::clamp(altitude.value, -5000.0, 11000.0);
  return {standard_atmosphere * std::pow(1.0 - 2.25577e-5 * z, 5.2559)};
}

}  // namespace cw
