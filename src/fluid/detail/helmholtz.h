#pragma once

#include <cstddef>
#include <vector>

#include "base/result.h"
#include "fluid/detail/data_file.h"

namespace cw::fluid::detail {

/// Reduced Helmholtz energy a/(RT) and its derivatives, each scaled by delta and tau:
/// d = delta da/ddelta, t = tau da/dtau, dd = delta^2 d2a/ddelta2 and so on.
struct Derivatives {
  double a = 0.0;
  double d = 0.0;
  double t = 0.0;
  double dd = 0.0;
  double dt = 0.0;
  double tt = 0.0;
};

/// The Helmholtz energy of a fluid in the variables delta = rho/rho_r, tau = T_r/T. The one
/// implementation for all equations of state: residual terms
///   n tau^t delta^d exp(-delta^l) exp(-tau^m)                         [lemmon2005, Eq. 3]
///   n tau^t delta^d exp(-eta (delta-epsilon)^2 - beta (tau-gamma)^2)  [span2000, Eq. 55]
/// and ideal terms
///   ln delta + c1 + c2 tau + c3 ln tau + n tau^t + n ln(1 - exp(-t tau)).
/// Evaluation is thread-safe and allocation-free.
class Helmholtz {
 public:
  struct PowerTerm {
    double n, t, d;
    int l;
    double m;
  };
  struct GaussianTerm {
    double n, t, d, eta, epsilon, beta, gamma;
  };
  struct IdealTerm {
    double n, t;
  };

  Helmholtz() = default;
  Helmholtz(std::vector<PowerTerm> power, std::vector<GaussianTerm> gaussian);

  double lead_constant = 0.0;
  double lead_tau = 0.0;
  double log_tau = 0.0;
  std::vector<IdealTerm> ideal_power;
  std::vector<IdealTerm> einstein;  ///< padded to a multiple of four by set_einstein
  void set_einstein(std::vector<IdealTerm> terms);

  /// Residual part. @param log_tau, log_delta  ln tau and ln delta, passed in because callers have
  /// them. delta > 0, tau > 0.
  Derivatives residual(double tau, double delta, double ln_tau, double ln_delta) const noexcept;
  Derivatives residual(double tau, double delta) const noexcept;
  /// delta^3 d3a/ddelta3 of the residual part, for critical points. Slower.
  double residual_ddd(double tau, double delta) const noexcept;
  /// Ideal-gas part; the derivatives by delta are 1, -1 and 0.
  Derivatives ideal(double tau, double ln_tau, double ln_delta) const noexcept;

  const std::vector<PowerTerm>& power_terms() const { return power_; }
  const std::vector<GaussianTerm>& gaussian_terms() const { return gaussian_; }

 private:
  // Power terms as arrays, those with equal l and m side by side, padded to a multiple of four.
  struct Group {
    int l;
    double m;
    std::size_t begin, end;
  };
  static constexpr std::size_t most_terms = 64;
  std::vector<PowerTerm> power_;
  std::vector<GaussianTerm> gaussian_;
  std::vector<Group> groups_;
  std::vector<double> n_, t_, d_;
  bool tau_exponentials_ = false;
};

/// Reads the sections [ideal] and [residual], or the latter alone.
Result<Helmholtz> read_helmholtz(const DataFile& file);
Result<Helmholtz> read_residual(const DataFile& file);

}  // namespace cw::fluid::detail
