#pragma once

#include <cmath>

/// Functions that join formulas without a corner. Bare numbers, noexcept.
namespace cw::twin {

struct Joined {
  double value;
  double slope;
};

/// 0 up to u = 0, 1 from u = 1, 3u^2 - 2u^3 between: continuous with its slope.
inline double smooth_step(double u) noexcept {
  if (!(u > 0.0)) return 0.0;
  return u < 1.0 ? u * u * (3.0 - 2.0 * u) : 1.0;
}
inline double smooth_step_slope(double u) noexcept {
  return u > 0.0 && u < 1.0 ? 6.0 * u * (1.0 - u) : 0.0;
}

/// max(u, 0) approached from below: 0 up to u = 0, u^2/(4 width) up to 2 width, then u - width.
/// Never above max(u, 0).
inline Joined soft_onset(double u, double width) noexcept {
  if (!(u > 0.0)) return {0.0, 0.0};
  if (u < 2.0 * width) return {u * u / (4.0 * width), u / (2.0 * width)};
  return {u - width, 1.0};
}

/// max(u, 0) approached from above, exact beyond +-width: (u + width)^2/(4 width) between.
inline Joined soft_positive(double u, double width) noexcept {
  if (!(u > -width)) return {0.0, 0.0};
  if (u >= width) return {u, 1.0};
  const double v = u + width;
  return {v * v / (4.0 * width), v / (2.0 * width)};
}

/// max(a, b) of positive numbers, rounded over about 10 % of their sum.
inline double soft_max(double a, double b) noexcept {
  const double corner = 0.05 * (a + b);
  const double d = a - b;
  return 0.5 * (a + b + std::sqrt(d * d + corner * corner));
}

}  // namespace cw::twin
