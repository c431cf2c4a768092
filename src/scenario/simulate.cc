#include "scenario/simulate.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <set>

#include "scenario/detail/truth.h"

namespace cw::scenario {
namespace {

/// Weather, faults and what the machine does are looked at at least this often [s].
constexpr double longest_stride_s = 10.0;

/// A run on its way.
class Run {
 public:
  Run(const Scenario& scenario, const SimulateOptions& options, const twin::Model& model,
      twin::State state)
      : scenario_(scenario),
        options_(options),
        model_(model),
        state_(std::move(state)),
        follower_(scenario.schedule),
        truth_(scenario, model),
        time_s_(-scenario.warm_up_s) {
    orders_.plant = scenario.plant.cooling ? twin::Plant::cooling : twin::Plant::heating;
    for (std::size_t i = 0; i < scenario.loggers.size(); ++i) {
      loggers_.emplace_back(scenario.loggers[i], scenario.system, scenario.seed, i, scenario.start,
                            scenario.clock, scenario.duration_s, head());
    }
    channels_ = channels_of(scenario.system);
    offsets_.assign(channels_.size(), 0.0);
    note_edges();
  }

  Result<Simulation> go() {
    set_up_moment();
    if (time_s_ >= 0.0) record();
    while (time_s_ < scenario_.duration_s) {
      if (options_.stop && options_.stop()) {
        return Error{ErrorCode::invalid_argument, "stopped; nothing was written", "", ""};
      }
      const double next = next_time();
      const Result<twin::Advance> done =
          twin::advance(model_, state_, weather_, orders_, faults_, next - time_s_);
      if (!done) return explained(done.error());
      steps_ += done->steps;
      forced_steps_ += done->forced;
      time_s_ = next;
      set_up_moment();
      if (time_s_ >= 0.0) record();
      report();
    }
    truth_.close(scenario_.duration_s);
    return finish();
  }

 private:
  std::vector<std::string> head() const {
    return {"Simulated by Coilwright: " + scenario_.name + ". Nothing here was measured.",
            fmt::format("{}, {} outdoor modules, {} indoor units; seed {}.",
                        scenario_.system.refrigerant().name(), scenario_.system.outdoor().size(),
                        scenario_.system.indoor().size(), scenario_.seed)};
  }

  /// Times at which something begins or ends; a stride never crosses one.
  void note_edges() {
    edges_.insert(0.0);
    for (const FaultEvent& fault : scenario_.faults) {
      for (const double edge : {fault.from_s, fault.until_s}) {
        if (edge > time_s_ && edge < scenario_.duration_s) edges_.insert(edge);
      }
    }
  }

  double next_time() const {
    double next = std::min(time_s_ + longest_stride_s, scenario_.duration_s);
    const auto edge = edges_.upper_bound(time_s_);
    if (edge != edges_.end()) next = std::min(next, *edge);
    if (follower_.next_change_s() > time_s_) next = std::min(next, follower_.next_change_s());
    if (time_s_ < 0.0) return next;
    for (const Logger& logger : loggers_) next = std::min(next, logger.next_s());
    return std::min(next, truth_.next_s());
  }

  /// What holds from now on: weather, orders, faults.
  void set_up_moment() {
    weather_ = scenario_.weather.at(time_s_);
    orders_.units = follower_.at(time_s_);
    if (const auto& change_over = scenario_.plant.change_over_K) {
      const double half = 0.5 * scenario_.plant.band_K;
      if (!decided_ || weather_.temperature_K > *change_over + half) {
        orders_.plant =
            weather_.temperature_K > *change_over ? twin::Plant::cooling : twin::Plant::heating;
      } else if (weather_.temperature_K < *change_over - half) {
        orders_.plant = twin::Plant::heating;
      }
      decided_ = true;
    }
    faults_at(scenario_.faults, scenario_.system, time_s_, faults_);
    for (const FaultEvent& fault : scenario_.faults) {
      // What was wrong from the beginning is in the charge already.
      if (fault.kind->charge_sign == 0.0 || fault.from_s != time_s_ ||
          fault.from_s <= -scenario_.warm_up_s) {
        continue;
      }
      twin::add_charge(model_, state_, fault.kind->charge_sign * fault.severity);
    }
  }

  void record() {
    twin::read(model_, state_, faults_, readings_);
    truth_.watch(time_s_, readings_);
    if (time_s_ >= truth_.next_s()) truth_.take(state_);
    const Moment now{&readings_, weather_, orders_.plant};
    bool due = false;
    for (const Logger& logger : loggers_) due = due || time_s_ >= logger.next_s();
    if (!due) return;
    for (std::size_t c = 0; c < channels_.size(); ++c) offsets_[c] = 0.0;
    for (const FaultEvent& fault : scenario_.faults) {
      if (fault.target.place != FaultPlace::channel) continue;
      // The twin itself bends what its controls use.
      if (channels_[fault.target.index].controls_use_it) continue;
      offsets_[fault.target.index] += fault.at(time_s_);
    }
    for (Logger& logger : loggers_) {
      if (time_s_ >= logger.next_s()) logger.take(now, offsets_);
    }
  }

  double factor() const {
    const double elapsed =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - began_).count();
    return elapsed > 0.0 ? (time_s_ + scenario_.warm_up_s) / elapsed : 0.0;
  }

  void report() const {
    if (!options_.progress) return;
    options_.progress(
        {time_s_ + scenario_.warm_up_s, scenario_.duration_s + scenario_.warm_up_s, factor()});
  }

  Error explained(Error error) const {
    const Instant now{scenario_.start.ms + std::llround(time_s_ * 1e3)};
    error.where = scenario_.file + ", " + format_instant(now, scenario_.clock) +
                  (error.where.empty() ? "" : ", " + error.where);
    if (error.fix.empty()) error.fix = "Look at what the scenario asks of the machine at this time";
    return error;
  }

  Result<Simulation> finish() {
    Simulation out;
    out.activities = truth_.activities();
    out.defrosts = truth_.defrosts();
    out.conservation = twin::conservation_of(model_, state_);
    out.charge_at_start_kg = truth_.first_total_kg();
    out.charge_at_end_kg = truth_.last_total_kg();
    out.real_time_factor = factor();
    out.steps = steps_;
    out.forced_steps = forced_steps_;
    out.assumptions = model_.assumptions();
    for (const Logger& logger : loggers_) {
      out.files.push_back({logger.sheet().file, logger.text(), logger.rows(), logger.columns()});
      if (std::string map = logger.map_text(); !map.empty()) {
        const std::string& file = logger.sheet().file;
        out.files.push_back({file.substr(0, file.size() - 4) + ".map.toml", std::move(map), 0, 0});
      }
    }
    out.files.push_back({"system.toml", scenario_.system.text(), 0, 0});
    out.files.push_back({"truth.json", truth_.json(out), 0, 0});
    return out;
  }

  const Scenario& scenario_;
  const SimulateOptions& options_;
  const twin::Model& model_;
  twin::State state_;
  ScheduleFollower follower_;
  detail::Truth truth_;
  std::vector<Logger> loggers_;
  std::vector<ChannelSource> channels_;
  std::vector<double> offsets_;
  std::set<double> edges_;
  double time_s_;
  twin::Weather weather_;
  twin::Orders orders_;
  twin::Faults faults_;
  twin::Readings readings_;
  bool decided_ = false;
  int steps_ = 0;
  int forced_steps_ = 0;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
};

double charge_at_rest(const Scenario& scenario) {
  double kg = scenario.charge_kg;
  for (const FaultEvent& fault : scenario.faults) {
    if (fault.from_s <= -scenario.warm_up_s) kg += fault.kind->charge_sign * fault.severity;
  }
  return kg;
}

}  // namespace

Result<Simulation> simulate(const Scenario& scenario, const SimulateOptions& options) {
  const Result<twin::Parameters> parameters = twin::parameters_of(scenario.system);
  if (!parameters) return parameters.error();
  const Result<twin::Model> model = twin::make_model(scenario.system, *parameters);
  if (!model) return model.error();
  Result<twin::State> state = twin::state_at_rest(*model, scenario.weather.at(-scenario.warm_up_s),
                                                  scenario.rooms_K, charge_at_rest(scenario));
  if (!state) {
    Error error = state.error();
    if (error.where.empty()) error.where = scenario.file;
    return error;
  }
  return Run(scenario, options, *model, std::move(*state)).go();
}

}  // namespace cw::scenario
