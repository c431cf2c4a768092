#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <functional>
#include <limits>
#include <vector>

namespace cw::fluid::detail {

/// Which cell of a logarithmic grid a positive number falls into, and where in the cell: the grid
/// has 16 cells an octave, taken from the exponent and the leading four bits of the mantissa, so
/// that no logarithm is needed and the answer is the same on every machine.
struct OctaveCell {
  std::int64_t index;
  double t;  ///< -1 at the lower edge, +1 at the upper
};
inline OctaveCell octave_cell(double x) noexcept {
  constexpr std::uint64_t low = (std::uint64_t{1} << 48) - 1;
  const auto bits = std::bit_cast<std::uint64_t>(x);
  // 1 <= one < 1 + 1/16: the position in the cell as the low mantissa bits
  const double one = std::bit_cast<double>((bits & low) | (std::uint64_t{0x3ff} << 52));
  return {static_cast<std::int64_t>(bits >> 48), (one - 1.0) * 32.0 - 1.0};
}
/// Lower edge of a cell, the inverse of octave_cell.
inline double octave_edge(std::int64_t index) noexcept {
  return std::bit_cast<double>(static_cast<std::uint64_t>(index) << 48);
}

/// A smooth function of a positive number as polynomials of degree 6 on an OctaveCell grid.
/// Copyable; evaluation is noexcept, allocation-free and thread-safe.
class Curve {
 public:
  static constexpr std::size_t order = 7;
  Curve() = default;
  /// Samples `f` at seven Chebyshev points a cell between `lowest` and `highest`.
  Curve(double lowest, double highest, const std::function<double(double)>& f);

  double operator()(double x) const noexcept {
    if (!(x >= lowest_ && x <= highest_)) return std::numeric_limits<double>::quiet_NaN();
    return inside(x);
  }
  /// Without the range check: the caller knows that lowest <= x <= highest.
  double inside(double x) const noexcept {
    const OctaveCell cell = octave_cell(x);
    const auto& c = cells_[static_cast<std::size_t>(cell.index - first_)];
    const double t = cell.t;
    const double t2 = t * t;
    return (c[0] + c[1] * t) + t2 * ((c[2] + c[3] * t) + t2 * ((c[4] + c[5] * t) + t2 * c[6]));
  }
  /// df/dx; lowest <= x <= highest.
  double slope(double x) const noexcept {
    const OctaveCell cell = octave_cell(x);
    const auto& c = cells_[static_cast<std::size_t>(cell.index - first_)];
    const double t = cell.t;
    const double by_t =
        c[1] +
        t * (2.0 * c[2] + t * (3.0 * c[3] + t * (4.0 * c[4] + t * (5.0 * c[5] + t * 6.0 * c[6]))));
    return by_t * 2.0 / (octave_edge(cell.index + 1) - octave_edge(cell.index));
  }
  double lowest() const noexcept { return lowest_; }
  double highest() const noexcept { return highest_; }

 private:
  double lowest_ = 1.0;
  double highest_ = 0.0;
  std::int64_t first_ = 0;
  std::vector<std::array<double, order>> cells_;
};

/// Coefficients of the polynomial through (x[i], y[i]), lowest power first; n <= 8.
/// The points must be distinct. Does not allocate.
void interpolate(const double* x, const double* y, std::size_t n, double* coefficients) noexcept;

}  // namespace cw::fluid::detail
