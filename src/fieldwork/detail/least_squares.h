#pragma once

#include <vector>

namespace cw::field::detail {

/// A linear fit y = sum c_k x_k by normal equations with columns scaled to length one.
struct LinearFit {
  bool solved = false;                          ///< false when the columns do not tell c apart
  std::vector<double> coefficients;             ///< [n_column]
  std::vector<std::vector<double>> covariance;  ///< (X'X)^-1; times the variance of one y
  std::vector<double> residuals;                ///< y - fit [n_row]
  double sum_of_squares = 0.0;
};

/// @param columns  [n_column x n_row]
LinearFit fit_linear(const std::vector<std::vector<double>>& columns, const std::vector<double>& y);

/// Two-sided 95 % quantile of Student's t, within 0.5 % from 2 degrees of freedom on.
double student_95(double degrees_of_freedom) noexcept;

}  // namespace cw::field::detail
