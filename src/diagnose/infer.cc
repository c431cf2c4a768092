#include "diagnose/infer.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "diagnose/detail/matrix.h"

namespace cw::diagnose {
namespace {

using detail::Cholesky;
using detail::dot;

constexpr double none = std::numeric_limits<double>::quiet_NaN();
/// Severities below this share of the first knot are no fault worth a call.
constexpr double least_share = 0.4;
/// Points between two knots.
constexpr int between = 5;

double log_sum(const std::vector<double>& logs) {
  const double top = *std::max_element(logs.begin(), logs.end());
  if (!std::isfinite(top)) return top;
  double sum = 0.0;
  for (const double x : logs) sum += std::exp(x - top);
  return top + std::log(sum);
}

/// [n x n], the lower half.
std::vector<double> covariance_of(const Residuals& residuals) {
  const std::size_t n = residuals.value.size();
  std::vector<double> out(n * n, 0.0);
  for (std::size_t i = 0; i < n; ++i) out[i * n + i] = residuals.variance[i];
  for (const std::vector<double>& mode : residuals.modes) {
    for (std::size_t i = 0; i < n; ++i) {
      if (mode[i] == 0.0) continue;
      for (std::size_t j = 0; j <= i; ++j) out[i * n + j] += mode[i] * mode[j];
    }
  }
  return out;
}

/// A change in whitened space, and what it may be off by: one row for each group that it moves,
/// of one sigma.
struct Whitened {
  std::vector<double> change;
  std::vector<std::vector<double>> slack;
};

std::vector<double> mix(const std::vector<double>& a, const std::vector<double>& b, double share) {
  std::vector<double> out(a.size());
  for (std::size_t i = 0; i < a.size(); ++i) out[i] = a[i] + share * (b[i] - a[i]);
  return out;
}

Whitened mix(const Whitened& a, const Whitened& b, double share) {
  Whitened out{mix(a.change, b.change, share), {}};
  for (std::size_t g = 0; g < a.slack.size(); ++g) {
    out.slack.push_back(mix(a.slack[g], b.slack[g], share));
  }
  return out;
}

/// Columns of what one or two causes may be off by.
using Slack = std::vector<const std::vector<double>*>;

void append(const Whitened& w, Slack& slack) {
  // Less than a tenth of a sigma allows nothing.
  constexpr double worth = 0.01;
  for (const auto& column : w.slack) {
    if (dot(column, column) > worth) slack.push_back(&column);
  }
}

/// What is left of a whitened vector where each column of W may take its part: with the variance
/// 1 + W W', of which only the small matrix 1 + W' W is needed (Woodbury's identity).
struct Allowed {
  double squared = 0.0;
  double log_root = 0.0;  ///< half the logarithm of the determinant
};

Allowed allow(const std::vector<double>& rest, const Slack& slack) {
  Allowed out{dot(rest, rest), 0.0};
  const std::size_t g = slack.size();
  if (g == 0) return out;
  std::vector<double> small(g * g, 0.0);
  std::vector<double> along(g);
  for (std::size_t a = 0; a < g; ++a) {
    for (std::size_t b = 0; b <= a; ++b) small[a * g + b] = dot(*slack[a], *slack[b]);
    small[a * g + a] += 1.0;
    along[a] = dot(*slack[a], rest);
  }
  const auto root = Cholesky::of(std::move(small), g);
  if (!root) return out;  // Never: the matrix is at least the unit matrix
  root->whiten(along);
  out.squared = std::max(out.squared - dot(along, along), 0.0);
  for (std::size_t a = 0; a < g; ++a) out.log_root += std::log(root->at(a, a));
  return out;
}

/// The change of a cause along its severity: straight between knots.
struct Curve {
  struct At {
    double severity = 0.0;
    std::size_t from = 0, to = 0;
    double share = 0.0;
  };
  std::vector<Whitened> knots;
  std::vector<At> at;

  Whitened point(std::size_t k) const {
    return mix(knots[at[k].from], knots[at[k].to], at[k].share);
  }
};

/// The points on one side of nothing, from it outwards.
/// @param order  knots of `severities`; nothing is the last knot of the curve
/// @param least  smaller severities are left out
void walk(const std::vector<std::size_t>& order, const std::vector<double>& severities,
          double least, Curve& out) {
  std::size_t last = out.knots.size() - 1;
  for (std::size_t n = 0; n < order.size(); ++n) {
    const double from = n == 0 ? severities[order[0]] : severities[last];
    for (int k = n == 0 ? 0 : 1; k <= between; ++k) {
      double share = static_cast<double>(k) / between;
      if (n == 0) share = least_share + (1.0 - least_share) * share;
      const double severity = n == 0 ? share * from : from + share * (severities[order[n]] - from);
      if (std::abs(severity) < least) continue;
      out.at.push_back({severity, last, order[n], share});
    }
    last = order[n];
  }
}

class Inference {
 public:
  Inference(const Residuals& residuals, const std::vector<Hypothesis>& hypotheses,
            const InferOptions& options, Cholesky root)
      : residuals_(residuals),
        hypotheses_(hypotheses),
        options_(options),
        root_(std::move(root)),
        n_(static_cast<double>(residuals.value.size())) {
    if (options.effect_error <= 0.0) return;
    groups_ = residuals.group;
    std::sort(groups_.begin(), groups_.end());
    groups_.erase(std::unique(groups_.begin(), groups_.end()), groups_.end());
  }

  Posterior run() {
    seen_ = residuals_.value;
    root_.whiten(seen_);
    out_.n = residuals_.value.size();
    out_.healthy_distance = dot(seen_, seen_);
    for (const Hypothesis& h : hypotheses_) fit(h);
    choose_pairs();
    share_out();
    measure_apart();
    return std::move(out_);
  }

 private:
  /// Of the t distribution, without what is the same for all. Errors may be larger than assumed,
  /// which its tail allows for; that they are smaller is not believed: below what is expected it
  /// goes on as a normal distribution.
  double log_likelihood(double squared, double spread = 1.0) const {
    const double nu = options_.freedom;
    const double q = squared / (spread * spread);
    const double below = 0.5 * std::max(n_ - q, 0.0);
    return below - 0.5 * (nu + n_) * std::log1p(std::max(q, n_) / nu) - n_ * std::log(spread);
  }

  struct Left {
    double squared = 0.0;
    double log_likelihood = 0.0;
  };
  Left left_with(const std::vector<double>& change, const Slack& slack) const {
    std::vector<double> rest(seen_.size());
    for (std::size_t i = 0; i < rest.size(); ++i) rest[i] = seen_[i] - change[i];
    const Allowed allowed = allow(rest, slack);
    return {allowed.squared, log_likelihood(allowed.squared) - allowed.log_root};
  }
  Curve curve_of(const Hypothesis& hypothesis) const;

  void fit(const Hypothesis& hypothesis);
  void choose_pairs();
  void share_out();
  void measure_apart();
  Whitened best_point(std::size_t h) const;

  const Residuals& residuals_;
  const std::vector<Hypothesis>& hypotheses_;
  const InferOptions& options_;
  Cholesky root_;
  double n_;
  std::vector<std::size_t> groups_;  ///< each once; none where effects are taken as exact
  std::vector<double> seen_;
  std::vector<Curve> curves_;
  std::vector<double> pair_logs_;
  Posterior out_;
};

/// The knots, and behind them nothing, from which both sides begin.
Curve Inference::curve_of(const Hypothesis& hypothesis) const {
  Curve out;
  std::vector<double> severities;
  for (const Knot& knot : hypothesis.knots) {
    Whitened w{knot.change, {}};
    root_.whiten(w.change);
    for (const std::size_t group : groups_) {
      std::vector<double> part(knot.change.size(), 0.0);
      for (std::size_t i = 0; i < part.size(); ++i) {
        if (residuals_.group[i] == group) part[i] = options_.effect_error * knot.change[i];
      }
      root_.whiten(part);
      w.slack.push_back(std::move(part));
    }
    out.knots.push_back(std::move(w));
    severities.push_back(knot.severity);
  }
  const std::vector<double> still(residuals_.value.size(), 0.0);
  out.knots.push_back({still, std::vector<std::vector<double>>(groups_.size(), still)});
  std::vector<std::size_t> above;
  std::vector<std::size_t> below;
  for (std::size_t k = 0; k < severities.size(); ++k) {
    (severities[k] > 0.0 ? above : below).push_back(k);
  }
  std::reverse(below.begin(), below.end());
  walk(above, severities, hypothesis.least, out);
  walk(below, severities, hypothesis.least, out);
  return out;
}

void Inference::fit(const Hypothesis& hypothesis) {
  Fit fit;
  fit.log_evidence = -std::numeric_limits<double>::infinity();
  Curve curve = curve_of(hypothesis);
  if (curve.at.empty()) {  // not calculated, or nothing of it is worth a call
    curves_.push_back(std::move(curve));
    out_.fits.push_back(fit);
    return;
  }
  std::vector<double> logs;
  double most = -std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < curve.at.size(); ++k) {
    const Whitened point = curve.point(k);
    Slack slack;
    append(point, slack);
    const Left left = left_with(point.change, slack);
    logs.push_back(left.log_likelihood);
    if (left.log_likelihood <= most) continue;
    most = left.log_likelihood;
    fit.severity = curve.at[k].severity;
    fit.distance = left.squared;
  }
  fit.log_evidence = log_sum(logs) - std::log(static_cast<double>(logs.size()));
  fit.explained = change_at(hypothesis, fit.severity);
  // The interval from the points as weights, in order of severity.
  std::vector<std::size_t> order(logs.size());
  std::iota(order.begin(), order.end(), 0U);
  std::sort(order.begin(), order.end(),
            [&](auto a, auto b) { return curve.at[a].severity < curve.at[b].severity; });
  for (double& log : logs) log /= options_.temperature;
  const double total = log_sum(logs);
  double sum = 0.0;
  fit.low = curve.at[order.front()].severity;
  fit.high = curve.at[order.back()].severity;
  for (const std::size_t k : order) {
    const double before = sum;
    sum += std::exp(logs[k] - total);
    if (before < 0.05 && sum >= 0.05) fit.low = curve.at[k].severity;
    if (before < 0.95 && sum >= 0.95) fit.high = curve.at[k].severity;
  }
  fit.low = std::min(fit.low, fit.severity);
  fit.high = std::max(fit.high, fit.severity);
  curves_.push_back(std::move(curve));
  out_.fits.push_back(std::move(fit));
}

/// Two at once: their changes added, which is exact for small ones.
void Inference::choose_pairs() {
  std::vector<std::size_t> order;
  for (std::size_t h = 0; h < hypotheses_.size(); ++h) {
    if (!curves_[h].at.empty() && hypotheses_[h].prior > 0.0) order.push_back(h);
  }
  const auto score = [&](std::size_t h) {
    return out_.fits[h].log_evidence + std::log(hypotheses_[h].prior) + hypotheses_[h].log_signs;
  };
  std::sort(order.begin(), order.end(), [&](auto a, auto b) { return score(a) > score(b); });
  order.resize(std::min(order.size(), options_.pairs_among));
  std::sort(order.begin(), order.end());
  for (std::size_t i = 0; i < order.size(); ++i) {
    for (std::size_t j = i + 1; j < order.size(); ++j) {
      const Curve& a = curves_[order[i]];
      const Curve& b = curves_[order[j]];
      PairFit pair{order[i], order[j], 0.0, 0.0, 0.0, 0.0};
      std::vector<Whitened> seconds;
      for (std::size_t q = 0; q < b.at.size(); ++q) seconds.push_back(b.point(q));
      std::vector<double> logs;
      double best = -std::numeric_limits<double>::infinity();
      for (std::size_t p = 0; p < a.at.size(); ++p) {
        const Whitened first = a.point(p);
        for (std::size_t q = 0; q < b.at.size(); ++q) {
          std::vector<double> both = first.change;
          for (std::size_t k = 0; k < both.size(); ++k) both[k] += seconds[q].change[k];
          Slack slack;  // Each is off by factors of its own
          append(first, slack);
          append(seconds[q], slack);
          const Left left = left_with(both, slack);
          logs.push_back(left.log_likelihood);
          if (logs.back() <= best) continue;
          best = logs.back();
          pair.distance = left.squared;
          pair.first_severity = a.at[p].severity;
          pair.second_severity = b.at[q].severity;
        }
      }
      pair_logs_.push_back(log_sum(logs) - std::log(static_cast<double>(logs.size())));
      out_.pairs.push_back(pair);
    }
  }
}

void Inference::share_out() {
  const double t = options_.temperature;
  std::vector<double> logs;
  logs.push_back(log_likelihood(out_.healthy_distance) / t + std::log(options_.healthy_prior) +
                 options_.healthy_log_signs);
  logs.push_back(log_likelihood(out_.healthy_distance, options_.unknown_spread) / t +
                 std::log(options_.unknown_prior));
  for (std::size_t h = 0; h < hypotheses_.size(); ++h) {
    logs.push_back(out_.fits[h].log_evidence / t + std::log(hypotheses_[h].prior) +
                   hypotheses_[h].log_signs);
  }
  for (std::size_t p = 0; p < out_.pairs.size(); ++p) {
    const Hypothesis& a = hypotheses_[out_.pairs[p].first];
    const Hypothesis& b = hypotheses_[out_.pairs[p].second];
    logs.push_back(pair_logs_[p] / t + std::log(a.prior * b.prior * options_.pair_prior) +
                   a.log_signs + b.log_signs);
  }
  const double total = log_sum(logs);
  const auto share = [&](std::size_t k) { return std::exp(logs[k] - total); };
  out_.healthy = share(0);
  out_.unknown = share(1);
  for (std::size_t h = 0; h < hypotheses_.size(); ++h) out_.fits[h].probability = share(2 + h);
  for (std::size_t p = 0; p < out_.pairs.size(); ++p) {
    out_.pairs[p].probability = share(2 + hypotheses_.size() + p);
  }
}

void Inference::measure_apart() {
  constexpr double worth = 0.01;
  const std::size_t m = hypotheses_.size();
  out_.apart.assign(m * m, none);
  for (std::size_t a = 0; a < m; ++a) {
    if (out_.fits[a].probability < worth) continue;
    const Whitened fitted = best_point(a);
    for (std::size_t b = 0; b < m; ++b) {
      if (b == a || out_.fits[b].probability < worth) continue;
      double least = std::numeric_limits<double>::infinity();
      for (std::size_t p = 0; p < curves_[b].at.size(); ++p) {
        const Whitened other = curves_[b].point(p);
        std::vector<double> between_them = other.change;
        for (std::size_t k = 0; k < between_them.size(); ++k) between_them[k] -= fitted.change[k];
        Slack slack;
        append(fitted, slack);
        append(other, slack);
        least = std::min(least, allow(between_them, slack).squared);
      }
      out_.apart[a * m + b] = std::sqrt(least);
    }
  }
}

/// The point of a cause at its fitted severity.
Whitened Inference::best_point(std::size_t h) const {
  const Curve& curve = curves_[h];
  std::size_t best = 0;
  for (std::size_t k = 1; k < curve.at.size(); ++k) {
    const auto off = [&](std::size_t n) {
      return std::abs(curve.at[n].severity - out_.fits[h].severity);
    };
    if (off(k) < off(best)) best = k;
  }
  return curve.point(best);
}

}  // namespace

std::vector<double> change_at(const Hypothesis& hypothesis, double severity) {
  if (hypothesis.knots.empty()) return {};
  const std::size_t n = hypothesis.knots.front().change.size();
  const Knot nothing{0.0, std::vector<double>(n, 0.0)};
  const Knot* below = nullptr;
  const Knot* above = nullptr;
  const auto offer = [&](const Knot& k) {
    if (k.severity <= severity && (below == nullptr || k.severity > below->severity)) below = &k;
    if (k.severity >= severity && (above == nullptr || k.severity < above->severity)) above = &k;
  };
  offer(nothing);
  for (const Knot& k : hypothesis.knots) offer(k);
  if (below == nullptr) return above->change;
  if (above == nullptr) return below->change;
  if (above->severity <= below->severity) return below->change;
  return mix(below->change, above->change,
             (severity - below->severity) / (above->severity - below->severity));
}

std::optional<Residuals> condition(const Residuals& residuals, std::size_t wanted, double freedom) {
  // With the others first, S = L L' has the covariance of the wanted ones given the others in its
  // last block, and the whitened values of the others give the mean.
  const std::size_t n = residuals.value.size();
  const std::size_t others = n - wanted;
  const auto at = [&](std::size_t i) { return i < others ? wanted + i : i - others; };
  Residuals turned;
  for (std::size_t i = 0; i < n; ++i) {
    turned.value.push_back(residuals.value[at(i)]);
    turned.variance.push_back(residuals.variance[at(i)]);
  }
  for (const std::vector<double>& mode : residuals.modes) {
    std::vector<double>& to = turned.modes.emplace_back();
    for (std::size_t i = 0; i < n; ++i) to.push_back(mode[at(i)]);
  }
  const auto root = Cholesky::of(covariance_of(turned), n);
  if (!root) return std::nullopt;
  std::vector<double> known = turned.value;
  root->whiten(known);
  known.resize(others);
  const double squared = dot(known, known);
  const double expected = static_cast<double>(others);
  const double wider = std::sqrt((freedom + std::max(squared, expected)) / (freedom + expected));
  Residuals out;
  out.group = residuals.group;
  out.group.resize(std::min(out.group.size(), wanted));
  out.variance.assign(wanted, 0.0);
  out.modes.assign(wanted, std::vector<double>(wanted, 0.0));
  for (std::size_t i = 0; i < wanted; ++i) {
    double mean = 0.0;
    for (std::size_t k = 0; k < others; ++k) mean += root->at(others + i, k) * known[k];
    out.value.push_back(residuals.value[i] - mean);
    for (std::size_t k = 0; k <= i; ++k) out.modes[k][i] = wider * root->at(others + i, others + k);
  }
  return out;
}

std::optional<Posterior> infer(const Residuals& residuals,
                               const std::vector<Hypothesis>& hypotheses,
                               const InferOptions& options) {
  const std::size_t n = residuals.value.size();
  auto root = Cholesky::of(covariance_of(residuals), n);
  if (!root) return std::nullopt;
  return Inference(residuals, hypotheses, options, std::move(*root)).run();
}

}  // namespace cw::diagnose
