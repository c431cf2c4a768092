#pragma once

namespace cw::demo {

inline constexpr double step_s = 30.0;  ///< the recording's interval [s]

/// One step of a first-order lag towards `target` (implicit Euler).
/// @param time_constant_min  [min]
inline double lagged(double now, double target, double time_constant_min) {
  return now + (target - now) * step_s / (60.0 * time_constant_min + step_s);
}

/// 0 before `from`, 1 after `to`, smooth between; a polynomial, so the same on every machine.
inline double smooth_rise(double x, double from, double to) {
  const double s = (x - from) / (to - from);
  if (s <= 0.0) return 0.0;
  if (s >= 1.0) return 1.0;
  return s * s * (3.0 - 2.0 * s);
}

inline double clamped(double x, double low, double high) {
  return x < low ? low : (x > high ? high : x);
}

}  // namespace cw::demo
