#include "fieldwork/detail/least_squares.h"

#include <array>
#include <cmath>
#include <cstddef>

namespace cw::field::detail {
namespace {

using Matrix = std::vector<std::vector<double>>;

/// Inverse by Gauss-Jordan with pivots on the diagonal; false for a singular matrix. The matrix is
/// symmetric with a unit diagonal, so that a small pivot means columns that say the same.
bool invert(Matrix a, Matrix& inverse) {
  const std::size_t n = a.size();
  inverse.assign(n, std::vector<double>(n, 0.0));
  for (std::size_t i = 0; i < n; ++i) inverse[i][i] = 1.0;
  for (std::size_t k = 0; k < n; ++k) {
    const double pivot = a[k][k];
    if (!(pivot > 1e-10)) return false;
    for (std::size_t j = 0; j < n; ++j) {
      a[k][j] /= pivot;
      inverse[k][j] /= pivot;
    }
    for (std::size_t i = 0; i < n; ++i) {
      if (i == k) continue;
      const double factor = a[i][k];
      for (std::size_t j = 0; j < n; ++j) {
        a[i][j] -= factor * a[k][j];
        inverse[i][j] -= factor * inverse[k][j];
      }
    }
  }
  return true;
}

}  // namespace

LinearFit fit_linear(const std::vector<std::vector<double>>& columns,
                     const std::vector<double>& y) {
  LinearFit out;
  const std::size_t n = columns.size();
  std::vector<double> scale(n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (const double x : columns[i]) scale[i] += x * x;
    scale[i] = std::sqrt(scale[i]);
    if (!(scale[i] > 0.0)) return out;
  }
  Matrix normal(n, std::vector<double>(n, 0.0));
  std::vector<double> right(n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t r = 0; r < y.size(); ++r) right[i] += columns[i][r] / scale[i] * y[r];
    for (std::size_t j = 0; j < n; ++j) {
      for (std::size_t r = 0; r < y.size(); ++r) {
        normal[i][j] += columns[i][r] / scale[i] * (columns[j][r] / scale[j]);
      }
    }
  }
  if (!invert(normal, out.covariance)) return out;
  out.coefficients.assign(n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) out.coefficients[i] += out.covariance[i][j] * right[j];
    out.coefficients[i] /= scale[i];
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) out.covariance[i][j] /= scale[i] * scale[j];
  }
  out.residuals = y;
  for (std::size_t r = 0; r < y.size(); ++r) {
    for (std::size_t i = 0; i < n; ++i) out.residuals[r] -= out.coefficients[i] * columns[i][r];
    out.sum_of_squares += out.residuals[r] * out.residuals[r];
  }
  out.solved = true;
  return out;
}

double student_95(double degrees_of_freedom) noexcept {
  // NIST/SEMATECH e-Handbook 1.3.6.7.2 for few degrees of freedom, a series in 1/v for the rest.
  constexpr std::array<double, 7> table = {12.706, 12.706, 4.303, 3.182, 2.776, 2.571, 2.447};
  const double v = degrees_of_freedom;
  if (!(v >= 1.0)) return table[0];
  if (v < 6.0) {
    const auto below = static_cast<std::size_t>(v);
    const double part = v - static_cast<double>(below);
    return table[below] + part * (table[below + 1] - table[below]);
  }
  return 1.95996 + 2.3723 / v + 2.8225 / (v * v) + 2.5558 / (v * v * v);
}

}  // namespace cw::field::detail
