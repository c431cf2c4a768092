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

/// Points of a curve of changes in whitened space.
struct Curve {
  std::vector<double> severity;
  std::vector<std::vector<double>> point;
};

std::vector<double> mix(const std::vector<double>& a, const std::vector<double>& b, double share) {
  std::vector<double> out(a.size());
  for (std::size_t i = 0; i < a.size(); ++i) out[i] = a[i] + share * (b[i] - a[i]);
  return out;
}

void walk(const Knot& from, const Knot& to, bool from_nothing, Curve& out) {
  for (int k = from_nothing ? 0 : 1; k <= between; ++k) {
    double share = static_cast<double>(k) / between;
    if (from_nothing) share = least_share + (1.0 - least_share) * share;
    out.severity.push_back(from.severity + share * (to.severity - from.severity));
    out.point.push_back(mix(from.change, to.change, share));
  }
}

Curve curve_of(const std::vector<Knot>& knots) {
  Curve out;
  const Knot nothing{0.0, std::vector<double>(knots.front().change.size(), 0.0)};
  const auto positive =
      std::find_if(knots.begin(), knots.end(), [](const Knot& k) { return k.severity > 0.0; });
  const Knot* last = &nothing;
  for (auto k = positive; k != knots.end(); last = &*k, ++k) walk(*last, *k, last == &nothing, out);
  last = &nothing;
  for (auto k = positive; k != knots.begin();) {
    --k;
    walk(*last, *k, last == &nothing, out);
    last = &*k;
  }
  return out;
}

class Inference {
 public:
  Inference(const Residuals& residuals, const std::vector<Hypothesis>& hypotheses,
            const InferOptions& options, Cholesky root)
      : residuals_(residuals),
        hypotheses_(hypotheses),
        options_(options),
        root_(std::move(root)),
        n_(static_cast<double>(residuals.value.size())) {}

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
  double distance(const std::vector<double>& point) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < point.size(); ++i) {
      const double d = seen_[i] - point[i];
      sum += d * d;
    }
    return sum;
  }

  void fit(const Hypothesis& hypothesis);
  void choose_pairs();
  void share_out();
  void measure_apart();

  const Residuals& residuals_;
  const std::vector<Hypothesis>& hypotheses_;
  const InferOptions& options_;
  Cholesky root_;
  double n_;
  std::vector<double> seen_;
  std::vector<Curve> curves_;
  std::vector<double> pair_logs_;
  Posterior out_;
};

void Inference::fit(const Hypothesis& hypothesis) {
  Fit fit;
  fit.log_evidence = -std::numeric_limits<double>::infinity();
  if (hypothesis.knots.empty()) {
    curves_.emplace_back();
    out_.fits.push_back(fit);
    return;
  }
  std::vector<Knot> knots = hypothesis.knots;
  for (Knot& k : knots) root_.whiten(k.change);
  Curve curve = curve_of(knots);
  std::vector<double> logs;
  for (const auto& point : curve.point) logs.push_back(log_likelihood(distance(point)));
  fit.log_evidence = log_sum(logs) - std::log(static_cast<double>(logs.size()));
  const auto best =
      static_cast<std::size_t>(std::max_element(logs.begin(), logs.end()) - logs.begin());
  fit.severity = curve.severity[best];
  fit.distance = distance(curve.point[best]);
  fit.explained = change_at(hypothesis, fit.severity);
  // The interval from the points as weights, in order of severity.
  std::vector<std::size_t> order(logs.size());
  std::iota(order.begin(), order.end(), 0U);
  std::sort(order.begin(), order.end(),
            [&](auto a, auto b) { return curve.severity[a] < curve.severity[b]; });
  for (double& log : logs) log /= options_.temperature;
  const double total = log_sum(logs);
  double sum = 0.0;
  fit.low = curve.severity[order.front()];
  fit.high = curve.severity[order.back()];
  for (const std::size_t k : order) {
    const double before = sum;
    sum += std::exp(logs[k] - total);
    if (before < 0.05 && sum >= 0.05) fit.low = curve.severity[k];
    if (before < 0.95 && sum >= 0.95) fit.high = curve.severity[k];
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
    if (!hypotheses_[h].knots.empty() && hypotheses_[h].prior > 0.0) order.push_back(h);
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
      std::vector<double> logs;
      double best = -std::numeric_limits<double>::infinity();
      for (std::size_t p = 0; p < a.point.size(); ++p) {
        std::vector<double> rest(seen_.size());
        for (std::size_t k = 0; k < rest.size(); ++k) rest[k] = seen_[k] - a.point[p][k];
        for (std::size_t q = 0; q < b.point.size(); ++q) {
          double squared = 0.0;
          for (std::size_t k = 0; k < rest.size(); ++k) {
            const double d = rest[k] - b.point[q][k];
            squared += d * d;
          }
          logs.push_back(log_likelihood(squared));
          if (logs.back() <= best) continue;
          best = logs.back();
          pair.distance = squared;
          pair.first_severity = a.severity[p];
          pair.second_severity = b.severity[q];
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
    std::vector<double> point = out_.fits[a].explained;
    root_.whiten(point);
    for (std::size_t b = 0; b < m; ++b) {
      if (b == a || out_.fits[b].probability < worth) continue;
      double least = std::numeric_limits<double>::infinity();
      for (const auto& other : curves_[b].point) {
        double squared = 0.0;
        for (std::size_t k = 0; k < other.size(); ++k) {
          squared += (other[k] - point[k]) * (other[k] - point[k]);
        }
        least = std::min(least, squared);
      }
      out_.apart[a * m + b] = std::sqrt(least);
    }
  }
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

std::optional<Posterior> infer(const Residuals& residuals,
                               const std::vector<Hypothesis>& hypotheses,
                               const InferOptions& options) {
  const std::size_t n = residuals.value.size();
  std::vector<double> covariance(n * n, 0.0);
  for (std::size_t i = 0; i < n; ++i) covariance[i * n + i] = residuals.variance[i];
  for (const std::vector<double>& mode : residuals.modes) {
    for (std::size_t i = 0; i < n; ++i) {
      if (mode[i] == 0.0) continue;
      for (std::size_t j = 0; j <= i; ++j) covariance[i * n + j] += mode[i] * mode[j];
    }
  }
  auto root = Cholesky::of(std::move(covariance), n);
  if (!root) return std::nullopt;
  return Inference(residuals, hypotheses, options, std::move(*root)).run();
}

}  // namespace cw::diagnose
