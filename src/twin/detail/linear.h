#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "twin/detail/model_data.h"

/// The small dense system of the network.
namespace cw::twin::detail {

/// A linear form over the unknowns; the constant stands behind the last unknown in use.
using UnknownRow = std::array<double, most_unknowns + 1>;

struct LinearSystem {
  std::array<UnknownRow, most_unknowns> rows{};  ///< row x = row[n] with n unknowns

  /// Gauss with row pivoting, rows scaled. @returns false when singular
  bool solve(std::size_t n, std::array<double, most_unknowns>& x) noexcept {
    for (std::size_t i = 0; i < n; ++i) {
      double largest = 0.0;
      for (std::size_t k = 0; k < n; ++k) largest = std::fmax(largest, std::abs(rows[i][k]));
      if (!(largest > 0.0)) return false;
      const double scale = 1.0 / largest;
      for (std::size_t k = 0; k <= n; ++k) rows[i][k] *= scale;
    }
    for (std::size_t c = 0; c < n; ++c) {
      std::size_t best = c;
      for (std::size_t i = c + 1; i < n; ++i) {
        if (std::abs(rows[i][c]) > std::abs(rows[best][c])) best = i;
      }
      if (!(std::abs(rows[best][c]) > 1e-14)) return false;
      if (best != c) std::swap(rows[best], rows[c]);
      const double inverse = 1.0 / rows[c][c];
      for (std::size_t i = c + 1; i < n; ++i) {
        const double f = rows[i][c] * inverse;
        if (f == 0.0) continue;
        for (std::size_t k = c + 1; k <= n; ++k) rows[i][k] -= f * rows[c][k];
      }
    }
    for (std::size_t c = n; c-- > 0;) {
      double sum = rows[c][n];
      for (std::size_t k = c + 1; k < n; ++k) sum -= rows[c][k] * x[k];
      x[c] = sum / rows[c][c];
      if (!std::isfinite(x[c])) return false;
    }
    return true;
  }
};

}  // namespace cw::twin::detail
