#include "twin/detail/recovery.h"

#include <algorithm>
#include <cmath>

namespace cw::twin::detail {
namespace {

constexpr double nearly_even = 1.1;  // ratio of demands up to which the order has the word
/// Heat that a unit which cools gives to those that heat, over its share of rated heating: what it
/// takes up is 1/1.12 of it, and the compressor adds its work.
constexpr double heat_of_cooling = 1.15;
constexpr double least_gate = 0.02, least_hot_gate = 0.1;
/// Fans of condensing coils may all but stand: cold air would leave nothing to the rooms.
constexpr double least_hot_fan = 0.02;
constexpr double first_pace =
    0.3;  // of a coil that begins to condense: cold air would take too much
constexpr double frost_guard_K = 8.0;  // furthest under its target that heat may drive the suction

bool takes_least(const ModuleState& hot) noexcept {
  return hot.pace <= least_hot_fan && hot.gate <= 1.5 * least_hot_gate;
}

/// The condensing temperature that a condensing coil leaves to the rooms.
double held_condensing(const Controls& c, const Demand& demand) noexcept {
  constexpr double under = 1.0;  // K, so that coil and compressor do not hold the same one
  if (!demand.heats()) return c.cooling_condensing_K;
  return std::max(c.cooling_condensing_K, c.condensing_target_K - under);
}

void turn(StateData& state, std::size_t j) noexcept {
  ModuleState& module = state.modules[j];
  module.opposed = !module.opposed;
  module.pace = 1.0;
  module.gate = 1.0;
  module.trim = 0.0;
  module.frosted_for = 0.0;
  // A coil that has condensed is clean and warm: what it is like when clean is learnt anew.
  module.since_defrost = 0.0;
  module.clean_drop = -1.0;
  state.balance_for = 0.0;
  if (!condenses(state, j)) return;
  // Coils that condense side by side share their fans' work evenly: between one with and one
  // without air all of the liquid would come from the first.
  module.pace = 0.0;
  double fans = 0.0;
  double hot = 0.0;
  for (std::size_t k = 0; k < state.modules.size(); ++k) {
    if (!condenses(state, k)) continue;
    fans += state.modules[k].pace;
    hot += 1.0;
  }
  for (std::size_t k = 0; k < state.modules.size(); ++k) {
    if (!condenses(state, k)) continue;
    state.modules[k].pace = std::max(fans / hot, first_pace);
    state.modules[k].gate = 1.0;
  }
}

}  // namespace

Demand demand_of(const ModelData& model, const StateData& state) noexcept {
  Demand demand;
  for (std::size_t i = 0; i < state.units.size(); ++i) {
    const UnitState& unit = state.units[i];
    if (!unit.calling) continue;
    (unit.cooling ? demand.cold_W : demand.heat_W) += model.units[i].heating_W;
  }
  return demand;
}

bool starts_condensing(const Demand& demand, bool ordered) noexcept {
  const double cold = heat_of_cooling * demand.cold_W;
  if (cold > nearly_even * demand.heat_W) return true;
  if (demand.heat_W > nearly_even * cold) return false;
  return ordered;
}

std::size_t condensing_coils(const StateData& state) noexcept {
  std::size_t count = 0;
  for (std::size_t j = 0; j < state.modules.size(); ++j) count += condenses(state, j) ? 1U : 0U;
  return count;
}

SpeedError speed_error_of(const Controls& c, const Sight& sight, const Demand& demand,
                          const StateData& state) noexcept {
  const double heat = c.condensing_target_K - sight.condensing;
  if (!demand.cools()) return {heat, true};
  // With all outdoor coils evaporating they take up what the rooms do not give; the suction is then
  // as cold as the air outside wants it, and need not be colder for the rooms' sake.
  const bool rooms_only = condensing_coils(state) == 0;
  const double target = rooms_only ? c.heating_evaporating_K : c.evaporating_target_K;
  const double cold = sight.evaporating - target;
  if (!demand.heats()) return {cold, false};
  // Where the coils condense, rooms that cool must not freeze for those that heat.
  const double wished = rooms_only ? heat : std::min(heat, cold + frost_guard_K);
  return wished > cold ? SpeedError{wished, true} : SpeedError{cold, false};
}

void pace_coils(const Controls& c, const Sight& sight, const Demand& demand,
                StateData& state) noexcept {
  // Beside a coil that condenses, one that evaporates only carries heat in a circle, unless the
  // rooms leave the suction colder than they need it.
  constexpr double under = 3.0;  // K
  const bool circle = condensing_coils(state) > 0 && demand.cools();
  const double coldest = circle ? c.evaporating_target_K - under : c.heating_evaporating_K;
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    ModuleState& module = state.modules[j];
    if (module.turned) continue;
    const bool hot = condenses(state, j);
    const double error =
        hot ? sight.condensing - held_condensing(c, demand) : coldest - sight.evaporating;
    // Only where the other rooms can do the coil's work may it be shut off.
    const bool gated = hot ? demand.heats() : demand.cools();
    const double slowest = hot ? least_hot_fan : least_fan;
    const bool by_gate = gated && (error < 0.0 ? module.pace <= slowest : module.gate < 1.0);
    // Far over its target a condensing coil opens both: the high pressure does not wait.
    const bool hurry = hot && error > c.turn_over_K;
    if (by_gate) {
      const double share = std::exp(std::clamp(0.03 * error, -0.15, 0.15));
      module.gate = std::clamp(module.gate * share, hot ? least_hot_gate : least_gate, 1.0);
    }
    if (!by_gate || hurry) {
      // Slow air takes most of the heat already: small steps there.
      const double ease = hot && !hurry ? std::clamp(module.pace / 0.3, 0.1, 1.0) : 1.0;
      module.pace = std::clamp(module.pace + 0.01 * ease * error, slowest, 1.0);
    }
    if (!gated) module.gate = 1.0;
  }
}

void balance_coils(const ModelData& model, const Sight& sight, const Demand& demand,
                   StateData& state) noexcept {
  const Controls& c = model.parameters.controls;
  state.since_turn += c.period_s;
  const bool turning = std::any_of(state.modules.begin(), state.modules.end(),
                                   [](const ModuleState& m) { return m.turned; });
  const bool draws = state.activity == Activity::starting || state.activity == Activity::running;
  if (turning || !draws) {
    state.balance_for = 0.0;
    return;
  }
  const std::size_t hot = condensing_coils(state);
  const double over = sight.condensing - c.condensing_target_K;
  // Nobody takes the heat, or nobody gives it: no need to wait for a pressure.
  const bool no_sink = demand.cools() && !demand.heats() && hot == 0;
  const bool no_source = demand.heats() && !demand.cools() && hot == state.modules.size();
  const bool excess = hot < state.modules.size() && demand.cools() && over > c.turn_over_K;
  bool idle = hot > 0;
  bool hard = true;
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    if (!condenses(state, j)) continue;
    idle = idle && takes_least(state.modules[j]);
    hard = hard && state.modules[j].pace >= 0.9;
  }
  const bool lack = idle && demand.heats() && over < -c.turn_under_K;
  const bool urgent = excess && sight.p_high > c.high_pressure_limit_Pa;
  state.balance_for = (excess && hard) || lack ? state.balance_for + c.period_s : 0.0;
  constexpr double settled = 30.0;  // s, in which a coil that has turned takes hold
  const bool waited = state.balance_for >= c.turn_after_s && state.since_turn >= c.turn_after_s;
  const bool at_once = (no_sink || urgent) && state.since_turn >= settled;
  if (!waited && !at_once && !no_sink && !no_source) return;
  const bool to_hot = no_sink || excess;
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    if (condenses(state, j) == to_hot) continue;
    turn(state, j);
    state.since_turn = 0.0;
    return;
  }
}

void start_coils(const Demand& demand, StateData& state) noexcept {
  state.balance_for = 0.0;
  state.since_turn = 0.0;
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    ModuleState& module = state.modules[j];
    module.opposed = false;
    module.gate = 1.0;
    module.pace = condenses(state, j) && demand.heats() ? first_pace : 1.0;
  }
}

}  // namespace cw::twin::detail
