#include "fluid/detail/ancillary.h"

#include <cmath>

#include "fluid/detail/math.h"

namespace cw::fluid::detail {

double ancillary_temperature(const Ancillary& curve, double p, double guess, double top) noexcept {
  // Newton in ln p over 1/T, in which the curve is nearly straight; the step is kept below T_r.
  if (p >= curve.at(top)) return top;
  double T = guess;
  double low = 0.0;
  double high = top;
  for (int i = 0; i < 60; ++i) {
    const double difference = log_of(curve.at(T) / p);
    (difference > 0.0 ? high : low) = T;
    const double slope = curve.log_slope(T);
    double next = T / (1.0 + difference / (slope * T));
    if (!(next > low && next < high)) next = 0.5 * (low + high);
    if (std::fabs(next - T) <= 1e-13 * T) return next;
    T = next;
  }
  return T;
}

}  // namespace cw::fluid::detail
