#include <cmath>

#include "fieldwork/charge.h"

namespace cw::field {

ChargeSum sum_charge(const std::vector<ChargeRun>& runs, double density) {
  ChargeSum out;
  for (const ChargeRun& run : runs) {
    const double physics = run.bore_area * density;
    out.run_physics.push_back(physics * run.length);
    out.physics += physics * run.length;
    out.run_ratio.push_back(run.coefficient ? *run.coefficient / physics : std::nan(""));
    if (run.coefficient) {
      out.by_coefficients += *run.coefficient * run.length;
    } else {
      out.missing_length += run.length;
    }
  }
  return out;
}

}  // namespace cw::field
