#pragma once

#include <string>
#include <vector>

#include "scenario/simulate.h"

/// truth.json: what a recording of a real machine could never tell.
namespace cw::scenario::detail {

class Truth {
 public:
  Truth(const Scenario& scenario, const twin::Model& model);

  double interval_s() const noexcept { return interval_s_; }
  double next_s() const noexcept { return static_cast<double>(next_) * interval_s_; }
  /// Takes inventory and insight at the time that is due.
  void take(const twin::State& state);
  /// Sees what goes on; times in order. Not only at due times: stretches come from it.
  void watch(double time_s, const twin::Readings& readings);
  /// Ends the open stretches.
  void close(double time_s);

  const std::vector<Stretch>& activities() const { return activities_; }
  const std::vector<Stretch>& defrosts() const { return defrosts_; }
  double first_total_kg() const;
  double last_total_kg() const;
  /// Schema coilwright.truth/1, SI; docs/user/simulate.md.
  std::string json(const Simulation& run) const;

 private:
  struct Series {
    std::string name;
    std::vector<float> values;
  };
  void add(std::size_t& column, double value) {
    series_[column++].values.push_back(static_cast<float>(value));
  }
  void make_series();

  const Scenario* scenario_;
  const twin::Model* model_;
  double interval_s_;
  std::size_t next_ = 0;
  std::vector<Series> series_;
  std::vector<Stretch> activities_;
  std::vector<Stretch> defrosts_;
  twin::Activity activity_ = twin::Activity::off;
  double activity_since_s_ = 0.0;
  std::vector<double> defrost_since_s_;  ///< by module; negative: none is going on
  bool watching_ = false;
  twin::Inventory stock_;
  twin::Insight insight_;
};

}  // namespace cw::scenario::detail
