#include "fluid/detail/pseudo_pure.h"

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

namespace {

/// Where a pressure curve stops rising: T_r, or below it the maximum that the published bubble
/// curve of R-407C has (n theta^0.54 with positive n).
double end_of_rise(const Ancillary& pressure, double from) noexcept {
  double low = from;
  double high = pressure.temperature * (1.0 - 1e-9);
  if (pressure.log_slope(high) > 0.0) return pressure.temperature;
  while (high - low > 1e-9) {
    const double middle = 0.5 * (low + high);
    (pressure.log_slope(middle) > 0.0 ? low : high) = middle;
  }
  return low;
}

}  // namespace

void prepare_pseudo_pure(Model& model) {
  const double from = 0.9 * model.critical_temperature;
  const double top =
      std::fmin(end_of_rise(model.bubble_pressure, from), end_of_rise(model.dew_pressure, from));
  model.highest_saturation_temperature = top;
  const double highest = std::fmin(model.bubble_pressure.at(top), model.dew_pressure.at(top));
  const auto curve = [&](const Ancillary& pressure) {
    double guess = model.minimum_temperature;
    return Curve(pressure.at(model.minimum_temperature), highest,
                 [&](double p) { return guess = ancillary_temperature(pressure, p, guess, top); });
  };
  model.bubble_temperature = curve(model.bubble_pressure);
  model.dew_temperature = curve(model.dew_pressure);
}

}  // namespace cw::fluid::detail
