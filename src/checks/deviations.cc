#include "checks/deviations.h"

#include <algorithm>
#include <cmath>

#include "checks/held_judge.h"

namespace cw {

std::size_t comparison_stride(const Recording& recording) {
  constexpr std::size_t enough = 4000;
  return std::max<std::size_t>(1, recording.size() / enough);
}

void Deviations::add(Instant now, double by) {
  if (values_.empty()) first_ = now;
  last_ = now;
  values_.push_back(by);
}

double Deviations::median() const {
  std::vector<double> copy = values_;
  return percentile_of(copy, 0.5);
}

double Deviations::seconds(const Recording& recording) const {
  return static_cast<double>(values_.size()) * static_cast<double>(comparison_stride(recording)) *
         channel_->interval;
}

Finding Deviations::finding(const CheckContext& context, std::string check, double guard,
                            double limit) const {
  Finding out;
  out.check = std::move(check);
  out.place = place_;
  out.verdict = Verdict::ok;
  out.channel = channel_->name();
  const Dimension own = channel_->quantity->dimension;
  out.dimension = own == Dimension::temperature ? Dimension::temperature_difference
                  : own == Dimension::pressure  ? Dimension::pressure_difference
                                                : own;
  Measure m;
  m.name = channel_->quantity->name + "_against_peers";
  m.dimension = out.dimension;
  m.uncertainty = guard;
  std::vector<double> values = values_;
  m.value = percentile_of(values, 0.5);
  m.low = percentile_of(values, 0.05);
  m.high = percentile_of(values, 0.95);
  m.expected_low = -limit;
  m.expected_high = limit;
  m.seconds = out.observed = seconds(context.recording);
  out.measures.push_back(std::move(m));
  return out;
}

void Deviations::to_watch(Finding& finding, double limit) const {
  const double by = finding.measures.front().value;
  finding.verdict = Verdict::watch;
  finding.evidence.push_back(
      {Verdict::watch, {first_, last_, by, std::copysign(limit, by), finding.observed}, {}});
}

double Moment::middle() const {
  std::vector<double> copy = what;
  return percentile_of(copy, 0.5);
}

double Moment::others(std::size_t n) const {
  double sum = 0.0;
  for (const double v : what) sum += v;
  return (sum - what[n]) / static_cast<double>(what.size() - 1);
}

}  // namespace cw
