#include <algorithm>
#include <cmath>
#include <string>

#include "base/text.h"
#include "twin/detail/controls.h"
#include "twin/detail/network.h"

/// The steady solve: the implicit step with ever longer time steps, valves and speed holding their
/// targets or standing at their limits (pseudo-transient continuation [kelley1998]).
namespace cw::twin {

namespace detail {

class SteadySolve {
 public:
  SteadySolve(const ModelData& model, const Weather& weather, const Orders& orders,
              const Faults& faults, double room_K, StateData& state) noexcept
      : model_(model),
        weather_(weather),
        orders_(orders),
        faults_(faults),
        room_K_(room_K),
        state_(state),
        c_(model.parameters.controls),
        topology_(topology_of(model, orders.plant == Plant::cooling)) {}

  Result<Steady> run(double first_dt, double tolerance);

 private:
  bool cooling() const noexcept { return orders_.plant == Plant::cooling; }
  void arrange() noexcept;
  void choose_holds() noexcept;
  void choose_unit(std::size_t i) noexcept;
  void choose_module(std::size_t j) noexcept;
  void choose_speed() noexcept;
  void choose_fan() noexcept;
  double change_since_last() noexcept;

  const ModelData& model_;
  const Weather& weather_;
  const Orders& orders_;
  const Faults& faults_;
  double room_K_;
  StateData& state_;
  const Controls& c_;
  Topology topology_;
  Sight sight_;
  bool speed_free_ = true;
  bool limited_ = false;
  double fan_ = 1.0;
  std::array<double, most_lumps> last_p_{}, last_M_{};
  std::array<double, most_units> last_flow_{};
  double last_speed_ = 0.0;
  double dt_ = 1.0;
  double jump_ = 0.0;  ///< what a step may not exceed
};

/// Everything stands as in steady running.
void SteadySolve::arrange() noexcept {
  const bool turned = state_.reversed != cooling();
  state_.reversed = cooling();
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
    unit.fan = unit.calling ? 1.0 : 0.0;
    unit.sensor = room_K_;
  }
  for (ModuleState& m : state_.modules) {
    m.on = true;
    if (m.speed <= 0.0) m.speed = 0.5 * model_.modules[0].speed_highest;
  }
  fan_ = std::max(state_.modules[0].fan, 0.3);
  if (turned) regroup(model_, topology_, state_);
  refresh(model_, topology_, state_);
}

/// An integrating valve over a step of dt: with long steps it holds its target, unless it stands at
/// an end from which the target calls it further out.
void SteadySolve::choose_unit(std::size_t i) noexcept {
  UnitState& unit = state_.units[i];
  unit.response = {};
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
  module.response = {};
  if (cooling()) {
    module.valve = 1.0;
    return;
  }
  if (j < faults_.modules.size() && faults_.modules[j].valve_stuck) return;
  const double base = feed_forward(model_, state_, j);
  const Trim trim = trim_for(c_, seen_superheat(model_, state_, faults_, j));
  module.trim = trim.value;
  module.valve = base * (1.0 + trim.value);
  module.response.per_superheat_K = base * trim.slope;
  if (module.valve >= 1.0) {
    module.valve = 1.0;
    module.response = {};
  }
}

void SteadySolve::choose_speed() noexcept {
  const ModuleShape& shape = model_.modules[0];
  const double error = sight_.speed_error(c_, cooling());
  const double ease = std::min(sight_.room_above(c_), sight_.room_below(c_));
  double speed = state_.modules[0].speed;
  if (ease < 0.0) limited_ = true;
  if (limited_) {
    if (error < 0.0) {
      limited_ = false;
    } else {
      speed = std::clamp(speed + 0.6 * std::clamp(ease, -0.05, 0.05) * shape.speed_highest,
                         shape.speed_lowest, shape.speed_highest);
      if (speed >= shape.speed_highest) limited_ = false;
    }
    speed_free_ = false;
  }
  if (!limited_) {
    speed_free_ = true;
    // A speed that ran past its end stops there; it leaves the end when the target is overdone.
    const bool over = speed > shape.speed_highest;
    const bool under = speed < shape.speed_lowest;
    if (over || (speed >= shape.speed_highest && error > 0.0)) speed_free_ = false;
    if (under || (speed <= shape.speed_lowest && error < 0.0)) speed_free_ = false;
    speed = std::clamp(speed, shape.speed_lowest, shape.speed_highest);
  }
  for (ModuleState& m : state_.modules) m.speed = speed;
  state_.speed_share = speed / shape.speed_highest;
}

void SteadySolve::choose_fan() noexcept {
  const double change = 0.06 * sight_.fan_error(c_, cooling());
  fan_ = std::clamp(fan_ * std::exp(std::clamp(change, -0.5, 0.5)), least_fan, 1.0);
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

double SteadySolve::change_since_last() noexcept {
  double worst = worst_defect(model_, state_);
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
  const double speed = state_.modules[0].speed;
  worst = std::max(worst, std::abs(speed - last_speed_) / model_.modules[0].speed_highest);
  last_speed_ = speed;
  return worst;
}

Result<Steady> SteadySolve::run(double first_dt, double tolerance) {
  arrange();
  const Surroundings around = surroundings_of(model_, weather_, faults_, cooling());
  Steady report;
  double dt = first_dt;
  constexpr double longest = 1e5;
  constexpr int most = 600;
  StateData& s = state_;
  (void)change_since_last();
  int quiet = 0;
  double before = 1.0;
  for (report.iterations = 1; report.iterations <= most; ++report.iterations) {
    dt_ = dt;
    choose_holds();
    keep_copy(s);
    StepKind kind;
    kind.rate = 1.0 / dt;
    kind.steady = true;
    kind.soften = 0.4;
    kind.approach = 1.0 - std::exp(-dt / 20.0);
    kind.speed_free = speed_free_;
    kind.hold_condensing = !cooling();
    kind.hold_K = cooling() ? c_.evaporating_target_K : c_.condensing_target_K;
    kind.hold_offset_Pa = cooling() ? sight_.p_low - s.lumps[model_.accumulator_lump(0)].p
                                    : sight_.p_high - s.lumps[model_.discharge_lump(0)].p;
    const bool finite = step(model_, topology_, around, kind, s).good;
    const double change = finite ? change_since_last() : 1e9;
    if (!std::isfinite(change) || jump_ > 0.35) {
      go_back(s);
      dt = std::max(0.25 * dt, 0.02);
      (void)change_since_last();
      if (dt <= 0.02 && ++quiet > 40) break;
      continue;
    }
    report.residual = change;
    // Longer steps while the change shrinks, shorter ones when it grows.
    const double growth = jump_ < 0.02 ? 4.0 : jump_ < 0.1 ? 2.0 : jump_ < 0.2 ? 1.2 : 0.7;
    dt = std::min(dt * (change > 1.1 * before && dt > 50.0 ? 0.4 : growth), longest);
    before = change;
    if (change < tolerance && (dt >= longest || tolerance > 1e-4)) return report;
  }
  return Error{ErrorCode::no_convergence,
               "no steady state after " + std::to_string(report.iterations) +
                   " iterations; the largest relative change left is " +
                   number_text(report.residual),
               {},
               "check charge, calls and faults of this case; a machine that hunts has none"};
}

}  // namespace detail

namespace {

/// Charge goes into the accumulators as liquid; it comes out of them as long as they hold some, and
/// then out of the liquid line, of which some stays. Returns what went in [kg].
double put_in(const detail::ModelData& m, detail::StateData& s, double mass_kg) noexcept {
  const auto share = 1.0 / static_cast<double>(m.modules.size());
  double left = mass_kg;
  for (std::size_t j = 0; j < m.modules.size(); ++j) {
    detail::LumpState& vessel = s.lumps[m.accumulator_lump(j)];
    double part = mass_kg * share;
    const double spare =
        std::max(vessel.M - 1.2 * m.lumps[m.accumulator_lump(j)].volume / vessel.sat.vg, 0.0);
    part = std::max(part, -spare);
    const double h = vessel.state.x < 1.0 ? vessel.sat.hl : vessel.h;
    vessel.M += part;
    vessel.U += part * h;
    left -= part;
  }
  detail::LumpState& line = s.lumps[detail::liquid_lump];
  const double rest = std::max(left, -0.6 * line.M);
  line.M += rest;
  line.U += rest * line.h;
  return mass_kg - left + rest;
}

}  // namespace

Result<Steady> solve_steady(const Model& model, State& state, const Weather& weather,
                            const Orders& orders, const Faults& faults, double room_K,
                            double charge_kg) {
  const detail::ModelData& m = model.data();
  if (auto wrong = detail::wrong_orders(m, orders)) return *std::move(wrong);
  const bool any = std::any_of(orders.units.begin(), orders.units.end(),
                               [](const UnitOrder& u) { return u.call.value_or(u.on); });
  if (!any) {
    return Error{ErrorCode::inconsistent,
                 "no indoor unit calls: nothing runs",
                 {},
                 "let at least one unit call, or ask for the machine at rest"};
  }
  detail::StateData& s = state.data();
  const bool warm = s.modules[0].flow > 0.05 * m.modules[0].rated_flow &&
                    s.reversed == (orders.plant == Plant::cooling);
  if (!warm) {
    auto fresh = state_at_rest(model, weather, room_K, charge_kg);
    if (!fresh) return fresh.error();
    state = std::move(*fresh);
    Orders forced = orders;
    for (UnitOrder& u : forced.units) u.call = u.call.value_or(u.on);
    state.data().off_for = 1e9;
    auto started = advance(model, state, weather, forced, faults, 400.0);
    if (!started) return started.error();
  }
  const auto solve = [&](double first_dt, double tolerance) {
    return detail::SteadySolve(m, weather, orders, faults, room_K, state.data())
        .run(first_dt, tolerance);
  };
  const auto missing = [&] { return charge_kg - detail::booked_mass(m, state.data()); };
  // Large differences in charge go in portions, each settled a little before the next.
  constexpr double portion = 1.5;  // kg
  constexpr double settled = 3e-3;
  constexpr double solved = 2e-6;
  constexpr double weighed = 1e-9;  // kg
  double first_dt = warm ? 20.0 : 5.0;
  auto done = Result<Steady>(Steady{});
  for (bool last = false; !last && done;) {
    const double before = missing();
    put_in(m, state.data(), std::clamp(before, -portion, portion));
    last = std::abs(missing()) <= weighed || std::abs(missing() - before) <= weighed;
    done = solve(first_dt, last ? solved : settled);
    first_dt = 20.0;
  }
  if (!done && std::abs(missing()) <= weighed) {
    // Let it run for a while and try again: some states are only reached on the way.
    Orders forced = orders;
    for (UnitOrder& u : forced.units) u.call = u.call.value_or(u.on);
    if (auto ran = advance(model, state, weather, forced, faults, 900.0); !ran) return done.error();
    put_in(m, state.data(), missing());
    done = solve(5.0, solved);
  }
  if (done && std::abs(missing()) > 1e-6 * charge_kg) {
    return Error{ErrorCode::no_convergence,
                 "a steady state was found with " + number_text(charge_kg - missing()) +
                     " kg, not with the " + number_text(charge_kg) +
                     " kg asked for: there is no liquid left that could be taken out",
                 {},
                 "check the charge, or start from a machine at rest with it"};
  }
  if (done) detail::open_account(m, state.data());
  return done;
}

}  // namespace cw::twin
