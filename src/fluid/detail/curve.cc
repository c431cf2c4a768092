#include "fluid/detail/curve.h"

#include <cmath>

namespace cw::fluid::detail {

void interpolate(const double* x, const double* y, std::size_t n, double* coefficients) noexcept {
  // Newton's divided differences, then expanded from the innermost bracket outwards.
  double d[8] = {};
  for (std::size_t i = 0; i < n; ++i) d[i] = y[i];
  for (std::size_t k = 1; k < n; ++k) {
    for (std::size_t i = n - 1; i >= k; --i) d[i] = (d[i] - d[i - 1]) / (x[i] - x[i - k]);
  }
  for (std::size_t i = 0; i < n; ++i) coefficients[i] = 0.0;
  coefficients[0] = d[n - 1];
  for (std::size_t k = n - 1; k-- > 0;) {
    for (std::size_t i = n - 1; i >= 1; --i) {
      coefficients[i] = coefficients[i - 1] - x[k] * coefficients[i];
    }
    coefficients[0] = d[k] - x[k] * coefficients[0];
  }
}

namespace {
// Chebyshev points, written out so that no machine's cosine comes in.
constexpr double nodes[Curve::order] = {
    0.97492791218182360702,  0.78183148246802980871,  0.43388373911755812048, 0.0,
    -0.43388373911755812048, -0.78183148246802980871, -0.97492791218182360702};
}  // namespace

Curve::Curve(double lowest, double highest, const std::function<double(double)>& f)
    : lowest_(lowest), highest_(highest), first_(octave_cell(lowest).index) {
  const std::int64_t last = octave_cell(highest).index;
  for (std::int64_t index = first_; index <= last; ++index) {
    const double left = octave_edge(index);
    const double right = octave_edge(index + 1);
    const double from = std::fmax(left, lowest);
    const double to = std::fmin(right, highest);
    std::array<double, order> t{};
    std::array<double, order> y{};
    for (std::size_t i = 0; i < order; ++i) {
      double x = 0.5 * (from + to) + 0.5 * (to - from) * nodes[i];
      x = std::fmin(std::fmax(x, lowest), highest);
      t[i] = 2.0 * (x - left) / (right - left) - 1.0;
      y[i] = f(x);
    }
    std::array<double, order> c{};
    if (to > from) {
      interpolate(t.data(), y.data(), order, c.data());
    } else {
      c[0] = y[0];  // the range ends exactly on a cell edge
    }
    cells_.push_back(c);
  }
}

}  // namespace cw::fluid::detail
