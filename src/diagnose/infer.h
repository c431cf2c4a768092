#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

/// Which of several causes explains a set of residuals, and how surely. Nothing here knows of
/// refrigerant: plain numbers in, probabilities out. Equations: docs/design/diagnose.md.
namespace cw::diagnose {

/// What was seen less what was expected, and how far off both may be. All lists are [n_residual].
struct Residuals {
  std::vector<double> value;
  std::vector<double> variance;            ///< of each alone
  std::vector<std::vector<double>> modes;  ///< errors that move several at once, one sigma each
  /// Which change alike: what a cause does to those of one group may be off by one factor. Numbers
  /// from 0; empty where that is not allowed for.
  std::vector<std::size_t> group = {};
};

/// The first `wanted` residuals given the others: their mean is taken off the values, and the
/// variance is what is left (a multivariate t distribution with `freedom`: where the others lie
/// farther out than assumed, what is left is wider, too; where they lie closer, it is not believed
/// narrower).
/// Empty when the variances are no variances. Thread-safe; allocates.
std::optional<Residuals> condition(const Residuals& residuals, std::size_t wanted,
                                   double freedom = 8.0);

/// What a cause does at one severity.
struct Knot {
  double severity = 0.0;
  std::vector<double> change;  ///< [n_residual], against healthy
};

/// A cause with a continuous severity. Between knots, and between nothing at severity 0 and the
/// first knot on each side, the change is interpolated.
struct Hypothesis {
  double prior = 0.0;       ///< share of cases, before anything is seen
  double log_signs = 0.0;   ///< logarithm of the odds that signs beside the residuals add
  std::vector<Knot> knots;  ///< in rising order of severity; none: the cause was not calculated
  /// Less is no fault worth a call, nor is less than 40 % of the first knot on each side.
  double least = 0.0;
};

struct InferOptions {
  double healthy_prior = 0.5;
  double healthy_log_signs = 0.0;
  double unknown_prior = 0.02;  ///< something that no hypothesis describes
  double unknown_spread = 4.0;  ///< its residuals are this many times as wide
  double freedom = 8.0;         ///< degrees of freedom of the t distribution
  double effect_error = 0.0;    ///< one sigma of the factor of a group, as a share
  double temperature = 1.0;     ///< above 1: probabilities drawn together (calibration)
  double pair_prior = 0.3;      ///< factor on the product of two priors
  std::size_t pairs_among = 6;  ///< of the best single causes
};

/// How well one hypothesis does.
struct Fit {
  double log_evidence = 0.0;
  double severity = 0.0;          ///< the most likely one
  double low = 0.0, high = 0.0;   ///< 5 % lie below and above
  double distance = 0.0;          ///< squared, in sigmas, that is left at the best severity
  double probability = 0.0;       ///< of this alone
  std::vector<double> explained;  ///< [n_residual], the change at the best severity
};

struct PairFit {
  std::size_t first = 0, second = 0;  ///< hypotheses
  double first_severity = 0.0, second_severity = 0.0;
  double probability = 0.0;
  double distance = 0.0;  ///< squared, in sigmas, that is left with both
};

struct Posterior {
  std::vector<Fit> fits;  ///< one for each hypothesis; probability 0 where there are no knots
  std::vector<PairFit> pairs;
  double healthy = 0.0;
  double unknown = 0.0;
  double healthy_distance = 0.0;  ///< squared, in sigmas
  std::size_t n = 0;              ///< residuals
  /// [n_hypothesis x n_hypothesis]: how far the change of a, as fitted, is from what b can do at
  /// any severity, in sigmas, where both may be off by their factors. Below about 2 nobody can tell
  /// them apart with these readings. Only filled for hypotheses with a probability above 1 %;
  /// elsewhere nan.
  std::vector<double> apart;
};

/// Empty when the variances are no variances (an error of the caller).
/// Thread-safe; allocates.
std::optional<Posterior> infer(const Residuals& residuals,
                               const std::vector<Hypothesis>& hypotheses,
                               const InferOptions& options);

/// The change of a hypothesis at a severity, by interpolation; clamped to its knots.
std::vector<double> change_at(const Hypothesis& hypothesis, double severity);

}  // namespace cw::diagnose
