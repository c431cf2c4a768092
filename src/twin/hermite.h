#pragma once

#include <array>
#include <cstddef>

/// Cubics between nodes of equal distance, continuous with their slope.
namespace cw::twin {

using Cubic = std::array<double, 4>;  ///< of u = 0..1 inside a cell: c0 + u (c1 + u (c2 + u c3))

inline double cubic_value(const Cubic& c, double u) noexcept {
  return c[0] + u * (c[1] + u * (c[2] + u * c[3]));
}
inline double cubic_slope(const Cubic& c, double u) noexcept {
  return c[1] + u * (2.0 * c[2] + u * 3.0 * c[3]);
}

/// The cubic of cell i between nodes y[i] and y[i+1] with slopes of central differences (one-sided,
/// of second order, at both ends). N >= 3 nodes.
template <std::size_t N>
Cubic hermite_cell(const std::array<double, N>& y, std::size_t i) noexcept {
  static_assert(N >= 3);
  const auto slope = [&](std::size_t at) {
    if (at == 0) return -1.5 * y[0] + 2.0 * y[1] - 0.5 * y[2];
    if (at == N - 1) return 1.5 * y[at] - 2.0 * y[at - 1] + 0.5 * y[at - 2];
    return 0.5 * (y[at + 1] - y[at - 1]);
  };
  const double rise = y[i + 1] - y[i], d0 = slope(i), d1 = slope(i + 1);
  return {y[i], d0, 3.0 * rise - 2.0 * d0 - d1, d0 + d1 - 2.0 * rise};
}

}  // namespace cw::twin
