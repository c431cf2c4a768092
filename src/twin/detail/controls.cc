#include "twin/detail/controls.h"

#include <algorithm>
#include <cmath>

#include "twin/detail/recovery.h"

namespace cw::twin::detail {
namespace {

constexpr double pause_before_turning = 60.0;  // s, own estimate
// When the clean coil is learnt after a defrost, and how long a coil must seem frosted: own
// estimates [s].
constexpr double learnt_from = 360.0, learnt_until = 1200.0, frosted_at_least = 180.0;
constexpr double defrost_at_least = 60.0;  // s, own estimate

class Decision {
 public:
  Decision(const ModelData& model, const Orders& orders, const Weather& weather,
           const Faults& faults, StateData& state) noexcept
      : model_(model),
        orders_(orders),
        weather_(weather),
        faults_(faults),
        state_(state),
        c_(model.parameters.controls),
        sight_(look(model, state, faults)) {}

  void run() noexcept {
    note_weather(model_, weather_.temperature_K, state_);
    thermostats();
    choose_activity();
    if (state_.activity == Activity::off) {
      stand();
      return;
    }
    set_speed();
    set_outdoor_fan();
    set_outdoor_valves();
    set_units();
  }

  /// Like run() for a machine that is watched on its way to rest: units call as ordered, nothing
  /// starts, stops, trips, defrosts or returns oil.
  void run_held() noexcept {
    held_ = true;
    note_weather(model_, weather_.temperature_K, state_);
    state_.activity_for += c_.period_s;
    // A start at fixed speed does not look at the low pressure; that would run into a vacuum where
    // few units call.
    const bool started = state_.activity_for >= c_.start_s || sight_.room_below(c_) < 0.0;
    if (state_.activity == Activity::starting && started) {
      enter(Activity::running);
    }
    for (UnitState& unit : state_.units) unit.calling_for += c_.period_s;
    set_speed();
    set_outdoor_fan();
    set_outdoor_valves();
    set_units();
  }

 private:
  bool cooling() const noexcept { return orders_.plant == Plant::cooling; }
  /// Three lines, the controls free to lead each coil where it is needed.
  bool balances() const noexcept { return model_.recovery && !held_; }
  double called_W() const noexcept;
  void thermostats() noexcept;
  bool too_little_called() const noexcept;
  void start() noexcept;
  void lead_coils() noexcept;
  void choose_activity() noexcept;
  void enter(Activity activity) noexcept;
  bool defrosts_in_turn() const noexcept;
  bool any_turned() const noexcept;
  bool watches_frost(std::size_t j) const noexcept;
  void watch_frost() noexcept;
  bool just_defrosted() const noexcept;
  bool is_due(std::size_t j) const noexcept;
  bool is_warm(std::size_t j) const noexcept;
  bool defrost_is_due() const noexcept;
  bool defrost_is_over() const noexcept;
  void defrost() noexcept;
  void begin_and_end_turns() noexcept;
  void defrosted(ModuleState& module) const noexcept;
  static void stop(ModuleState& module) noexcept;
  void stand() noexcept;
  double start_share() const noexcept;
  Sight ahead() const noexcept;
  void set_speed() noexcept;
  void set_outdoor_fan() noexcept;
  void set_outdoor_valves() noexcept;
  void set_units() noexcept;
  void set_unit(std::size_t i) noexcept;
  double drop(std::size_t j) const noexcept;

  const ModelData& model_;
  const Orders& orders_;
  const Weather& weather_;
  const Faults& faults_;
  StateData& state_;
  const Controls& c_;
  Sight sight_;
  bool held_ = false;
  double still_called_ = 1.0;  ///< of the capacity that called before this decision
};

double Decision::called_W() const noexcept {
  if (balances()) return demand_of(model_, state_).larger_W();
  double sum = 0.0;
  for (std::size_t i = 0; i < state_.units.size(); ++i) {
    sum += state_.units[i].calling ? model_.units[i].heating_W : 0.0;
  }
  return sum;
}

void Decision::thermostats() noexcept {
  const double before = called_W();
  for (std::size_t i = 0; i < state_.units.size(); ++i) {
    UnitState& unit = state_.units[i];
    const UnitOrder& order = orders_.units[i];
    const bool cold = model_.recovery ? order.cooling : cooling();
    const double T =
        unit.sensor + sensor_offset(faults_, "indoor", i + 1, "controlled_temperature");
    const double want = cold ? T - order.set_point_K : order.set_point_K + c_.heating_offset_K - T;
    bool call = unit.calling;
    if (want > c_.thermostat_K) call = true;
    if (want < -c_.thermostat_K) call = false;
    if (order.call) call = *order.call;
    call = call && order.on;
    unit.on = order.on;
    unit.set_point = order.set_point_K;
    if (call && !unit.calling) unit.calling_for = 0.0;
    unit.calling = call;
    if (cold != unit.cooling) unit.valve = 0.1;
    unit.cooling = cold;
    unit.calling_for += c_.period_s;
  }
  if (before > 0.0) still_called_ = std::min(called_W() / before, 1.0);
}

double Decision::drop(std::size_t j) const noexcept {
  const CoilState& coil = state_.modules[j].coil;
  const std::size_t last = model_.modules[j].coil.cells - 1;
  return weather_.temperature_K - coil.T_wall[last] -
         sensor_offset(faults_, "outdoor", j + 1, "coil_temperature");
}

/// Three lines let one module turn while the others heat.
bool Decision::defrosts_in_turn() const noexcept {
  return model_.recovery && c_.defrost_at_once < static_cast<int>(model_.modules.size());
}

bool Decision::any_turned() const noexcept {
  return std::any_of(state_.modules.begin(), state_.modules.end(),
                     [](const ModuleState& m) { return m.turned; });
}

/// A sensor that is off its coil has no say.
bool Decision::watches_frost(std::size_t j) const noexcept {
  return j >= faults_.modules.size() || !faults_.modules[j].defrost_sensor_failed;
}

/// The coil stands under the outdoor air in proportion to the heat that it takes up, and so, at
/// much the same suction pressure, to the compressor's speed. What it was when clean is kept for
/// each share of the highest speed; otherwise a coil that was learnt at full load could frost over
/// at half of it, and never seem frosted. It is the least of some minutes, since the suction
/// pressure is low for a while after a defrost. While another module defrosts, and for some minutes
/// afterwards, the pressure is not what it is otherwise: what was seen before still counts.
void Decision::watch_frost() noexcept {
  if (cooling() && !balances()) {
    // Ice melts while the coil condenses.
    for (ModuleState& m : state_.modules) m.frosted_for = 0.0;
    return;
  }
  if (state_.activity != Activity::running || state_.speed_share <= 0.0) return;
  const bool upset = any_turned() || just_defrosted();
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    ModuleState& module = state_.modules[j];
    if (condenses(state_, j) || module.gate < 1.0) {
      module.frosted_for = 0.0;
      continue;
    }
    if (upset || !watches_frost(j) || module.since_defrost < learnt_from) continue;
    if (module.since_defrost < learnt_until || module.clean_drop < 0.0) {
      const double now = std::max(drop(j) / state_.speed_share, 0.0);
      module.clean_drop = module.clean_drop < 0.0 ? now : std::min(module.clean_drop, now);
      continue;
    }
    const double coil = weather_.temperature_K - drop(j);
    const double clean = module.clean_drop * state_.speed_share;
    const bool frosted = coil < c_.defrost_coil_K && drop(j) > clean + c_.defrost_drop_K;
    // The coil follows a change of speed within a minute or two.
    module.frosted_for = frosted ? module.frosted_for + c_.period_s : 0.0;
  }
}

/// The suction pressure of all is low for some minutes after one of them has defrosted.
bool Decision::just_defrosted() const noexcept {
  return std::any_of(state_.modules.begin(), state_.modules.end(),
                     [](const ModuleState& m) { return m.since_defrost < learnt_from; });
}

bool Decision::is_due(std::size_t j) const noexcept {
  const ModuleState& module = state_.modules[j];
  return !condenses(state_, j) && module.frosted_for >= frosted_at_least &&
         module.since_defrost > c_.defrost_least_interval_s;
}

bool Decision::is_warm(std::size_t j) const noexcept {
  return !watches_frost(j) || weather_.temperature_K - drop(j) >= c_.defrost_end_K;
}

bool Decision::defrost_is_due() const noexcept {
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    if (is_due(j)) return true;
  }
  return false;
}

bool Decision::defrost_is_over() const noexcept {
  if (state_.activity_for > c_.defrost_longest_s) return true;
  if (state_.activity_for < defrost_at_least) return false;
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    if (!is_warm(j)) return false;
  }
  return true;
}

void Decision::defrosted(ModuleState& module) const noexcept {
  module.since_defrost = 0.0;
  module.frosted_for = 0.0;
  module.clean_drop = -1.0;
  module.turned = false;
}

/// Modules that defrost by turns: so many at once as the sheet allows, the one that has seemed
/// frosted for longest first. The others go on heating.
void Decision::begin_and_end_turns() noexcept {
  int turned = 0;
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    ModuleState& module = state_.modules[j];
    if (!module.turned) continue;
    module.turned_for += c_.period_s;
    const bool warm = module.turned_for >= defrost_at_least && is_warm(j);
    if (warm || module.turned_for > c_.defrost_longest_s) defrosted(module);
    turned += module.turned ? 1 : 0;
  }
  // The next one waits until the suction has come back.
  while (turned < c_.defrost_at_once && !just_defrosted()) {
    ModuleState* next = nullptr;
    for (std::size_t j = 0; j < state_.modules.size(); ++j) {
      ModuleState& module = state_.modules[j];
      if (module.turned || !is_due(j)) continue;
      if (next == nullptr || module.frosted_for > next->frosted_for) next = &module;
    }
    if (next == nullptr) return;
    next->turned = true;
    next->turned_for = 0.0;
    ++turned;
  }
}

void Decision::enter(Activity activity) noexcept {
  state_.activity = activity;
  state_.activity_for = 0.0;
}

/// At the lowest speed the few units that call cannot take the heat: the machine pauses before the
/// pressure reaches its trip, as if nobody called.
bool Decision::too_little_called() const noexcept {
  const bool slowest = state_.speed_share <= lowest_share(model_);
  return state_.activity == Activity::running && !orders_.speed_Hz && slowest &&
         sight_.p_high > 0.5 * (c_.high_pressure_limit_Pa + c_.high_pressure_trip_Pa);
}

void Decision::start() noexcept {
  enter(Activity::starting);
  state_.resting = 0.0;  // of a defrost that a trip broke off
  state_.speed_share = start_share();
  state_.outdoor_fan = 1.0;
  lead_coils();
  for (ModuleState& m : state_.modules) m.trim = 0.3;
}

/// Where the outdoor coils stand in a start.
void Decision::lead_coils() noexcept {
  state_.reversed = cooling();
  if (!balances()) return;
  const Demand demand = demand_of(model_, state_);
  state_.reversed = starts_condensing(demand, cooling());
  start_coils(demand, state_);
}

void Decision::choose_activity() noexcept {
  state_.activity_for += c_.period_s;
  const bool wanted = std::any_of(state_.units.begin(), state_.units.end(),
                                  [](const UnitState& u) { return u.calling; });
  if (state_.activity == Activity::off) {
    state_.off_for += c_.period_s;
    // A machine without refrigerant stands below its low-pressure switch, which does not let it
    // start.
    const bool charged = sight_.p_low >= c_.low_pressure_trip_Pa;
    if (wanted && charged && state_.off_for >= c_.least_off_s) start();
    return;
  }
  state_.since_oil_return += c_.period_s;
  for (ModuleState& m : state_.modules) {
    const bool defrosts = m.turned || state_.activity == Activity::defrosting;
    m.since_defrost += defrosts ? 0.0 : c_.period_s;
  }
  watch_frost();
  if (balances()) balance_coils(model_, sight_, demand_of(model_, state_), state_);
  const bool drawing =
      state_.activity == Activity::starting || state_.activity == Activity::running;
  const bool tripped = sight_.hottest > c_.discharge_trip_K ||
                       sight_.p_high > c_.high_pressure_trip_Pa ||
                       (drawing && sight_.p_low < c_.low_pressure_trip_Pa);
  const bool melts = state_.activity == Activity::defrosting || any_turned();
  if (tripped || too_little_called() || (!wanted && !melts)) {
    enter(Activity::off);
    state_.off_for = tripped ? -120.0 : 0.0;
    // What is left of the ice has to wait.
    for (ModuleState& m : state_.modules) m.turned = false;
    return;
  }
  switch (state_.activity) {
    case Activity::starting:
      if (state_.activity_for >= c_.start_s) enter(Activity::running);
      break;
    case Activity::running:
      if (defrosts_in_turn()) {
        begin_and_end_turns();
      } else if (defrost_is_due()) {
        enter(Activity::defrosting);
        for (ModuleState& m : state_.modules) m.opposed = false;
        state_.resting = pause_before_turning;
        break;
      }
      if (state_.since_oil_return > c_.oil_return_interval_s && !any_turned()) {
        enter(Activity::oil_return);
      }
      break;
    case Activity::defrosting:
      defrost();
      break;
    case Activity::oil_return:
      if (state_.activity_for >= c_.oil_return_s) {
        enter(Activity::running);
        state_.since_oil_return = 0.0;
      }
      break;
    case Activity::off:
      break;
  }
}

/// The reversing valve turns at rest, when the pressures have met, both times.
void Decision::defrost() noexcept {
  const bool rested = state_.resting > 0.0 && state_.resting <= c_.period_s;
  state_.resting = std::max(state_.resting - c_.period_s, 0.0);
  if (rested && !state_.reversed) {
    state_.reversed = true;
    state_.activity_for = 0.0;
    state_.speed_share = 0.3;
  } else if (rested) {
    lead_coils();
    state_.speed_share = 0.3;
    for (ModuleState& m : state_.modules) defrosted(m);
    enter(Activity::starting);
  } else if (state_.resting <= 0.0 && defrost_is_over()) {
    state_.resting = pause_before_turning;
  }
}

void Decision::stop(ModuleState& module) noexcept {
  module.on = false;
  module.speed = 0.0;
  module.flow = 0.0;
  module.power = 0.0;
}

void Decision::stand() noexcept {
  for (ModuleState& m : state_.modules) {
    stop(m);
    m.fan = 0.0;
    m.valve = 0.05;
  }
  for (UnitState& u : state_.units) {
    u.melts = false;
    u.valve = 0.05;
    u.fan = u.calling ? 0.3 : 0.0;
  }
}

/// The speed of a start, by what the calling units can take.
double Decision::start_share() const noexcept {
  double all = 0.0;
  for (const UnitShape& unit : model_.units) all += unit.heating_W;
  return std::max(c_.start_speed * called_W() / all, lowest_share(model_));
}

/// What the sensors will say if the discharge goes on rising as it does. Its pipe and sensor lag,
/// so that a control which waited for the limit would meet the trip.
Sight Decision::ahead() const noexcept {
  constexpr double lead = 60.0;  // s, own choice
  Sight s = sight_;
  const bool known = state_.last_hottest > 0.0;
  const double rise = known ? std::max(s.hottest - state_.last_hottest, 0.0) : 0.0;
  s.hottest += rise * lead / c_.period_s;
  return s;
}

void Decision::set_speed() noexcept {
  const double lowest = lowest_share(model_);
  double change = 0.0;
  switch (state_.activity) {
    case Activity::starting:
      change = start_share() - state_.speed_share;
      break;
    case Activity::oil_return:
      change = 0.6 - state_.speed_share;
      break;
    case Activity::defrosting:
      change = 0.65 - state_.speed_share;
      break;
    default: {
      SpeedError error{sight_.speed_error(c_, cooling()), !cooling()};
      if (balances()) error = speed_error_of(c_, sight_, demand_of(model_, state_), state_);
      change = speed_gain * error.value;
      // In cooling the suction pressure follows at once and needs none.
      const bool damped = error.by_heat && state_.last_speed_error;
      if (damped) change += speed_damping * (error.value - *state_.last_speed_error);
      state_.last_speed_error.reset();
      if (error.by_heat) state_.last_speed_error = error.value;
    }
  }
  if (state_.activity != Activity::running) state_.last_speed_error.reset();
  // Whoever asks for less has the word.
  const bool running = state_.activity == Activity::running;
  if (running && orders_.speed_Hz) {
    change = *orders_.speed_Hz / model_.modules[0].speed_highest - state_.speed_share;
  } else {
    change = std::min(change, ahead().room_above(c_));
  }
  state_.last_hottest = sight_.hottest;
  if (!running) change = std::min(change, sight_.room_above_vacuum(c_));
  if (running && !orders_.speed_Hz) change = std::min(change, sight_.room_below(c_));
  const double ramp = c_.ramp_Hz_per_s * c_.period_s / model_.modules[0].speed_highest *
                      (state_.activity == Activity::defrosting ? 4.0 : 1.0);
  // Where units stop calling the speed goes down with them at once: their share of the flow would
  // be too much for the others.
  if (running && !orders_.speed_Hz) state_.speed_share *= still_called_;
  // Away from a limit a machine slows down faster than it speeds up.
  constexpr double faster_down = 3.0;
  state_.speed_share =
      std::clamp(state_.speed_share + std::clamp(change, -faster_down * ramp, ramp), lowest, 1.0);
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    ModuleState& m = state_.modules[j];
    if (state_.resting > 0.0) {
      stop(m);
    } else {
      m.on = true;
      m.speed = speed_of(model_.modules[j], state_.speed_share);
    }
  }
}

void Decision::set_outdoor_fan() noexcept {
  if (state_.activity == Activity::defrosting) {
    for (ModuleState& m : state_.modules) m.fan = 0.0;
    return;
  }
  if (balances()) {
    pace_coils(c_, sight_, demand_of(model_, state_), state_);
    for (ModuleState& m : state_.modules) m.fan = m.turned ? 0.0 : m.pace;
    return;
  }
  const double change = 0.01 * sight_.fan_error(c_, cooling());
  state_.outdoor_fan = std::clamp(state_.outdoor_fan + change, least_fan, 1.0);
  for (ModuleState& m : state_.modules) m.fan = m.turned ? 0.0 : state_.outdoor_fan;
}

void Decision::set_outdoor_valves() noexcept {
  for (std::size_t j = 0; j < state_.modules.size(); ++j) {
    ModuleState& m = state_.modules[j];
    if (condenses(state_, j)) {
      m.valve = m.turned ? 1.0 : m.gate;
      continue;
    }
    if (state_.resting > 0.0) {
      m.valve = 0.5;
      continue;
    }
    if (c_.outdoor_hold_K > 0.0 && state_.activity == Activity::running) {
      const double error = seen_superheat(model_, state_, faults_, j) - c_.outdoor_hold_K;
      m.valve =
          std::clamp(m.valve + 0.0015 * std::clamp(error, -6.0, 12.0), least_unit_opening, 1.0);
      continue;
    }
    if (state_.activity == Activity::running) {
      const double superheat = seen_superheat(model_, state_, faults_, j);
      const double change = 0.25 * (trim_for(c_, superheat).value - m.trim);
      m.trim = std::clamp(m.trim + std::clamp(change, -0.06, 0.06), 0.0, most_trim);
    }
    m.valve = std::min(feed_forward(model_, state_, faults_, j) * (1.0 + m.trim), 1.0) * m.gate;
  }
}

void Decision::set_unit(std::size_t i) noexcept {
  UnitState& unit = state_.units[i];
  const auto move = [&](double change) {
    const double most = c_.valve_per_period;
    unit.valve = std::clamp(unit.valve + std::clamp(change, -most, most), least_unit_opening, 1.0);
  };
  if (unit.cooling) {
    if (!unit.calling) {
      unit.valve = 0.0;
    } else if (unit.calling_for < 60.0 || state_.activity == Activity::starting) {
      unit.valve = 0.15;
    } else {
      move(0.0015 * std::clamp(unit_error(model_, state_, faults_, i), -6.0, 12.0));
    }
  } else if (!unit.calling) {
    unit.valve = c_.stopped_opening;
  } else if (unit.calling_for < 60.0 || state_.activity == Activity::starting) {
    unit.valve = 0.4;
  } else {
    move(0.004 * std::clamp(unit_error(model_, state_, faults_, i), -10.0, 10.0));
  }
}

void Decision::set_units() noexcept {
  for (std::size_t i = 0; i < state_.units.size(); ++i) {
    UnitState& unit = state_.units[i];
    const UnitShape& shape = model_.units[i];
    unit.melts = state_.activity == Activity::defrosting && state_.reversed;
    if (state_.activity == Activity::defrosting) {
      unit.valve = 0.9;  // what melts the ice has to come back
      unit.fan = 0.0;
      continue;
    }
    if (state_.activity == Activity::oil_return) {
      unit.valve = unit.cooling ? 0.2 : 0.4;
      unit.fan = unit.calling ? 1.0 : 0.0;
      continue;
    }
    set_unit(i);
    unit.fan = unit.calling ? unit_fan(shape, unit) : 0.0;
  }
}

}  // namespace

void decide(const ModelData& model, const Orders& orders, const Weather& weather,
            const Faults& faults, StateData& state) noexcept {
  Decision(model, orders, weather, faults, state).run();
  impose_stuck_valves(faults, state);
}

void decide_held(const ModelData& model, const Orders& orders, const Weather& weather,
                 const Faults& faults, StateData& state) noexcept {
  Decision(model, orders, weather, faults, state).run_held();
  impose_stuck_valves(faults, state);
}

}  // namespace cw::twin::detail
