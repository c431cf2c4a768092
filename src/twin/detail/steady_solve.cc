#include "twin/detail/steady_solve.h"

#include <algorithm>
#include <cmath>

namespace cw::twin::detail {

namespace {

constexpr double longest_step = 1e5;  // s

}  // namespace

void SteadySolve::arrange() noexcept {
  bool turned = state_.reversed != cooling();
  state_.reversed = cooling();
  for (ModuleState& module : state_.modules) {
    turned = turned || module.turned || module.opposed;
    module.turned = false;
    module.opposed = false;
    module.gate = 1.0;
  }
  topology_ = topology_of(model_, state_);
  state_.activity = Activity::running;
  note_weather(model_, weather_.temperature_K, state_);
  for (RoomState& room : state_.rooms) room = {room_K_, room_K_};
  for (std::size_t i = 0; i < state_.units.size(); ++i) {
    UnitState& unit = state_.units[i];
    const UnitOrder& order = orders_.units[i];
    unit.on = order.on;
    unit.set_point = order.set_point_K;
    unit.calling = order.call.value_or(order.on);
    unit.cooling = model_.recovery ? order.cooling : cooling();
    unit.fan = unit.calling ? std::max(unit.fan, 0.15) : 0.0;
    unit.sensor = room_K_;
    unit.melts = false;
  }
  if (state_.speed_share <= 0.0) state_.speed_share = 0.3;
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    state_.modules[j].on = true;
    state_.modules[j].speed = speed_of(model_.modules[j], state_.speed_share);
  }
  fan_ = std::max(state_.modules[0].fan, least_fan);
  if (turned) regroup(model_, topology_, state_);
  refresh(model_, topology_, state_);
}

/// An integrating valve over a step of dt: with long steps it holds its target, unless it stands at
/// an end from which the target calls it further out.
void SteadySolve::choose_unit(std::size_t i) noexcept {
  UnitState& unit = state_.units[i];
  coil_transport(model_.props, unit.coil);
  unit.response = {};
  if (unit.calling) {
    unit.fan += std::max(ease_, 0.5) * (unit_fan(model_.units[i], unit) - unit.fan);
  }
  const bool stuck = i < faults_.units.size() && faults_.units[i].valve_stuck.has_value();
  if (stuck) return;
  if (!unit.calling) {
    unit.valve = unit.cooling ? 0.0 : c_.stopped_opening;
    return;
  }
  unit.valve = std::clamp(unit.valve, least_unit_opening, 1.0);
  const double gain = 3e-4 * dt_;
  const double error = unit_error(model_, state_, faults_, i);
  if ((unit.valve >= 1.0 && error > 0.0) || (unit.valve <= least_unit_opening && error < 0.0))
    return;
  unit.response.now = gain * error;
  (unit.cooling ? unit.response.per_superheat_K : unit.response.per_subcooling_K) = gain;
}

void SteadySolve::choose_module(std::size_t j) noexcept {
  ModuleState& module = state_.modules[j];
  coil_transport(model_.props, module.coil);
  module.response = {};
  if (cooling()) {
    module.valve = 1.0;
    return;
  }
  if (j < faults_.modules.size() && faults_.modules[j].valve_stuck) return;
  if (c_.outdoor_hold_K > 0.0) {
    module.valve = std::clamp(module.valve, least_unit_opening, 1.0);
    const double gain = 3e-4 * dt_;
    const double error = seen_superheat(model_, state_, faults_, j) - c_.outdoor_hold_K;
    if ((module.valve >= 1.0 && error > 0.0) || (module.valve <= least_unit_opening && error < 0.0))
      return;
    module.response.now = gain * error;
    module.response.per_superheat_K = gain;
    return;
  }
  const double base = feed_forward(model_, state_, faults_, j);
  const Trim trim = trim_for(c_, seen_superheat(model_, state_, faults_, j));
  module.trim = trim.value;
  const double wanted = std::min(base * (1.0 + trim.value), 1.0);
  module.valve += ease_ * (wanted - module.valve);
  if (wanted < 1.0) module.response.per_superheat_K = ease_ * base * trim.slope;
}

/// Whoever asks for the lowest speed has the word, as in decide().
void SteadySolve::choose_speed() noexcept {
  double& share = state_.speed_share;
  if (orders_.speed_Hz) {
    hold_ = {};
    share = *orders_.speed_Hz / model_.modules[0].speed_highest;
    for (std::size_t j = 0; j < state_.modules.size(); ++j) {
      state_.modules[j].speed = speed_of(model_.modules[j], share);
    }
    return;
  }
  const double lowest = lowest_share(model_);
  hold_ = speed_hold(model_, state_, faults_, sight_, cooling());
  const double asked = hold_.asks;
  // A speed that ran past its end stops there; it leaves the end when it is called back.
  const bool over = share > 1.0 || (share >= 1.0 && asked > 0.0);
  const bool under = share < lowest || (share <= lowest && asked < 0.0);
  if (over || under) hold_.by = SpeedHold::By::none;
  share = std::clamp(share, lowest, 1.0);
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    state_.modules[j].speed = speed_of(model_.modules[j], share);
  }
}

/// Outside the linear system; the gain falls where the error turns.
void SteadySolve::choose_fan() noexcept {
  const double error = sight_.fan_error(c_, cooling());
  if (error * last_fan_error_ < 0.0) fan_gain_ = std::max(0.5 * fan_gain_, 0.004);
  last_fan_error_ = error;
  fan_ = std::clamp(fan_ * std::exp(std::clamp(fan_gain_ * error, -0.5, 0.5)), least_fan, 1.0);
  for (ModuleState& m : state_.modules) m.fan = fan_;
  state_.outdoor_fan = fan_;
}

void SteadySolve::choose_holds() noexcept {
  sight_ = look(model_, state_, faults_);
  for (std::size_t i = 0; i < state_.units.size(); ++i) choose_unit(i);
  for (std::size_t j = 0; j < state_.modules.size(); ++j) choose_module(j);
  impose_stuck_valves(faults_, state_);
  choose_speed();
  choose_fan();
}

double SteadySolve::change_since_last(double defect) noexcept {
  double worst = defect;
  jump_ = worst;
  for (std::size_t l = 0; l < state_.lumps.size(); ++l) {
    const LumpState& lump = state_.lumps[l];
    worst = std::max(worst, std::abs(lump.p - last_p_[l]) / lump.p);
    worst = std::max(worst, std::abs(lump.M - last_M_[l]) / (std::abs(lump.M) + 1.0));
    jump_ =
        std::max(jump_, std::abs(lump.p - last_p_[l]) / (lump.p + (l == liquid_lump ? 3e6 : 0.0)));
    last_p_[l] = lump.p;
    last_M_[l] = lump.M;
  }
  for (std::size_t i = 0; i < state_.units.size(); ++i) {
    const double flow = state_.units[i].coil.flow[0];
    worst = std::max(worst, std::abs(flow - last_flow_[i]) / model_.units[i].coil.rated_flow);
    last_flow_[i] = flow;
  }
  worst = std::max(worst, std::abs(state_.speed_share - last_share_));
  worst = std::max(worst, 0.1 * std::abs(fan_ - last_fan_));
  last_share_ = state_.speed_share;
  last_fan_ = fan_;
  return worst;
}

StepKind SteadySolve::kind_of(double dt) const noexcept {
  StepKind kind;
  kind.rate = 1.0 / dt;
  kind.steady = true;
  kind.soften = 1.0 - 0.6 * ease_;
  kind.approach = 1.0 - std::exp(-dt / 20.0);
  kind.hold = hold_;
  return kind;
}

/// Begun with 300 s and with films that follow nearly at once, it is Newton's method within four
/// steps. A part may well overshoot in the first of them, where one of its cells boils dry or
/// fills: what its state and its booked content disagree about is made good in the next.
bool SteadySolve::leap(double tolerance, Steady& report) noexcept {
  arrange();
  const Surroundings around = surroundings_of(model_, weather_, faults_, cooling());
  constexpr int most = 25;
  constexpr int most_worse = 8;    // steps that did not bring it nearer
  constexpr double wildest = 3.0;  // jump
  constexpr double soften = 0.1;
  dt_ = 300.0;
  (void)change_since_last(0.0);
  double before = 1.0;
  int worse = 0;
  for (int k = 0; k < most; ++k) {
    ++report.iterations;
    choose_holds();
    StepKind kind = kind_of(dt_);
    kind.soften = soften;
    const StepResult result = step(model_, topology_, around, kind, state_);
    if (!result.good) return false;
    const double change = change_since_last(result.defect);
    if (!std::isfinite(change) || jump_ > wildest) return false;
    report.residual = change;
    if (change < tolerance && dt_ >= longest_step) return true;
    if (change > 0.8 * before && ++worse > most_worse) return false;
    before = change;
    const double growth = jump_ < 0.02 ? 8.0 : jump_ < 0.1 ? 4.0 : jump_ < 0.35 ? 2.0 : 1.0;
    dt_ = std::min(dt_ * growth, longest_step);
  }
  return false;
}

bool SteadySolve::run(double first_dt, double tolerance, Steady& report) noexcept {
  arrange();
  const Surroundings around = surroundings_of(model_, weather_, faults_, cooling());
  StateData& s = state_;
  double dt = first_dt;
  // With steps of hours this is Newton's method; where that goes round in circles shorter ones
  // follow the way that the machine itself would take.
  double longest = longest_step;
  constexpr double shortest_longest = 20.0;
  constexpr double shortest = 0.02;
  constexpr int most = 400;
  (void)change_since_last(0.0);
  int stuck = 0;
  int since_best = 0;
  double before = 1.0;
  double best = 1e9;
  for (int k = 0; k < most; ++k) {
    ++report.iterations;
    dt_ = dt;
    choose_holds();
    keep_copy(s);
    const StepResult result = step(model_, topology_, around, kind_of(dt), s);
    const double change = result.good ? change_since_last(result.defect) : 1e9;
    if (!std::isfinite(change) || jump_ > 0.35) {
      go_back(s);
      (void)change_since_last(0.0);
      if (dt <= shortest && ++stuck > 3) return false;
      dt = std::max(0.25 * dt, shortest);
      continue;
    }
    report.residual = change;
    if (change < tolerance && (dt >= longest || tolerance > 1e-4)) return true;
    // Longer steps while the change shrinks, shorter ones when it grows.
    const double growth = jump_ < 0.02 ? 4.0 : jump_ < 0.1 ? 2.0 : jump_ < 0.2 ? 1.2 : 0.7;
    const bool worse = change > 1.1 * before && dt > 50.0;
    ease_ = worse ? std::max(0.7 * ease_, 0.25) : std::min(1.1 * ease_, 1.0);
    dt = std::min(dt * (worse ? 0.4 : growth), longest);
    before = change;
    if (change < 0.7 * best) {
      best = change;
      since_best = 0;
    } else if (++since_best > 40) {
      longest = std::max(longest / 15.0, shortest_longest);
      best = 1e9;
      since_best = 0;
    }
  }
  return false;
}

}  // namespace cw::twin::detail
