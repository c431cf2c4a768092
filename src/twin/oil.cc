#include "twin/oil.h"

#include <algorithm>
#include <cmath>

#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double interaction = 0.2;
constexpr double largest_fraction = 0.5;

/// ln of the relative pressure over a mixture with the fraction f.
double log_activity(double f) noexcept {
  const double oil = 1.0 - f;
  return std::log(f) + oil + interaction * oil * oil;
}

/// ln of the dew pressure at T: Newton in 1/T, in which ln p is nearly straight.
double log_saturation(double T, const TransportTable& table) noexcept {
  double p = 0.25 * table.critical_pressure();
  double log_p = std::log(p);
  for (int i = 0; i < 4; ++i) {
    SaturationTransport s;
    p = std::clamp(std::exp(log_p), table.lowest_pressure(), table.highest_pressure());
    table.at(p, s);
    log_p = std::log(p) + (1.0 / s.T_dew - 1.0 / T) * s.T_dew * s.T_dew / (p * s.dT_dew);
  }
  return log_p;
}

}  // namespace

double dissolved_fraction(double p, double T_oil, const TransportTable& table) noexcept {
  const double T = std::clamp(T_oil, 150.0, 600.0);
  const double highest = std::exp(log_activity(largest_fraction));
  const double relative =
      std::exp(std::fmin(std::log(std::fmax(p, 1e-3)) - log_saturation(T, table), 5.0));
  const double a = highest - soft_positive(highest - relative, 0.03).value;
  if (!(a > 1e-12)) return 0.0;
  // In ln f the equation is concave and rises: from the dilute limit Newton climbs without
  // overshoot.
  const double log_a = std::log(a);
  double log_f = log_a - 1.0 - interaction;
  for (int i = 0; i < 8; ++i) {
    const double f = std::exp(log_f);
    const double slope = (1.0 - f) * (1.0 - 2.0 * interaction * f);
    log_f += (log_a - log_activity(f)) / std::fmax(slope, 0.1);
  }
  return std::clamp(std::exp(log_f), 0.0, largest_fraction);
}

}  // namespace cw::twin
