#pragma once

#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

namespace cw::diagnose::detail {

/// A symmetric positive definite matrix as L L'. Enough for some hundred rows.
class Cholesky {
 public:
  /// @param a  [n x n], row by row; only the lower half is read
  /// Empty when the matrix is not positive definite.
  static std::optional<Cholesky> of(std::vector<double> a, std::size_t n) {
    for (std::size_t j = 0; j < n; ++j) {
      for (std::size_t i = j; i < n; ++i) {
        double sum = a[i * n + j];
        for (std::size_t k = 0; k < j; ++k) sum -= a[i * n + k] * a[j * n + k];
        if (i > j) {
          a[i * n + j] = sum / a[j * n + j];
        } else if (!(sum > 0.0)) {
          return std::nullopt;
        } else {
          a[j * n + j] = std::sqrt(sum);
        }
      }
    }
    Cholesky out;
    out.n_ = n;
    out.l_ = std::move(a);
    return out;
  }

  /// x := L^-1 x, after which its parts are uncorrelated and of variance one.
  void whiten(std::vector<double>& x) const {
    for (std::size_t i = 0; i < n_; ++i) {
      double sum = x[i];
      for (std::size_t k = 0; k < i; ++k) sum -= l_[i * n_ + k] * x[k];
      x[i] = sum / l_[i * n_ + i];
    }
  }

  /// L(i, j) for j <= i.
  double at(std::size_t i, std::size_t j) const { return l_[i * n_ + j]; }

 private:
  std::size_t n_ = 0;
  std::vector<double> l_;
};

inline double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

}  // namespace cw::diagnose::detail
