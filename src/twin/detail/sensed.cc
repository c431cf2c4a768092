#include <algorithm>
#include <charconv>
#include <cmath>

#include "twin/detail/controls.h"

/// What the controls derive from their sensors and from the sheet.
namespace cw::twin::detail {

Sight look(const ModelData& model, const StateData& state, const Faults& faults) noexcept {
  Sight s;
  Saturated sat;
  s.p_low = 1e9;
  const double foreign = foreign_pressure(model, state, faults);
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    const double high = state.lumps[model.discharge_lump(j)].p + foreign +
                        sensor_offset(faults, "outdoor", j + 1, "discharge_pressure");
    const double low = state.lumps[model.accumulator_lump(j)].p +
                       sensor_offset(faults, "outdoor", j + 1, "suction_pressure");
    if (high > s.p_high) s.high_at = j;
    if (low < s.p_low) s.low_at = j;
    s.p_high = std::max(s.p_high, high);
    s.p_low = std::min(s.p_low, low);
    const double T = state.lumps[model.discharge_lump(j)].T_wall +
                     sensor_offset(faults, "outdoor", j + 1, "discharge_temperature");
    if (T > s.hottest) s.hottest_at = j;
    s.hottest = std::max(s.hottest, T);
  }
  model.props.saturated(s.p_high, sat);
  s.condensing = sat.Td;
  model.props.saturated(s.p_low, sat);
  s.evaporating = sat.Td;
  return s;
}

double lowest_share(const ModelData& model) noexcept {
  double share = 1.0;
  for (const ModuleShape& m : model.modules) {
    share = std::min(share, m.speed_lowest / m.speed_highest);
  }
  return share;
}

SpeedHold speed_hold(const ModelData& model, const StateData& state, const Faults& faults,
                     const Sight& sight, bool cooling) noexcept {
  using By = SpeedHold::By;
  const Controls& c = model.parameters.controls;
  const std::size_t high = model.discharge_lump(sight.high_at);
  const std::size_t low = model.accumulator_lump(sight.low_at);
  const double over_high = sight.p_high - state.lumps[high].p;
  const double over_low = sight.p_low - state.lumps[low].p;
  const double target = speed_gain * sight.speed_error(c, cooling);
  SpeedHold hold = cooling
                       ? SpeedHold{By::evaporating, target, low, c.evaporating_target_K, over_low}
                       : SpeedHold{By::condensing, target, high, c.condensing_target_K, over_high};
  const auto consider = [&](const SpeedHold& other) {
    if (other.asks < hold.asks) hold = other;
  };
  const std::size_t hot = model.discharge_lump(sight.hottest_at);
  const double over_T =
      sensor_offset(faults, "outdoor", sight.hottest_at + 1, "discharge_temperature");
  consider({By::discharge, sight.room_by_discharge(c), hot, c.discharge_limit_K, over_T});
  consider(
      {By::high_pressure, sight.room_by_pressure(c), high, c.high_pressure_limit_Pa, over_high});
  consider({By::low_pressure, sight.room_below(c), low, c.low_pressure_limit_Pa, over_low});
  return hold;
}

double unit_error(const ModelData& model, const StateData& state, const Faults& faults,
                  std::size_t i) noexcept {
  const Controls& c = model.parameters.controls;
  const UnitState& unit = state.units[i];
  if (unit.cooling) {
    return superheat_of(model.props, unit.coil) - c.superheat_K +
           sensor_offset(faults, "indoor", i + 1, "gas_pipe_temperature");
  }
  // Subcooling is reckoned from the pressure sensor, which feels other gas as well.
  const double apparent = unit.coil.sat.dTb * foreign_pressure(model, state, faults);
  return subcooling_of(model.props, model.units[i].coil, unit.coil) + apparent - c.subcooling_K -
         sensor_offset(faults, "indoor", i + 1, "liquid_pipe_temperature");
}

double seen_superheat(const ModelData& model, const StateData& state, const Faults& faults,
                      std::size_t j) noexcept {
  return superheat_of(model.props, state.modules[j].coil) +
         sensor_offset(faults, "outdoor", j + 1, "suction_temperature");
}

double unit_fan(const UnitShape& shape, const UnitState& unit) noexcept {
  if (unit.cooling) return 1.0;
  const double coil = unit.coil.T_wall[shape.coil.cells / 2];
  return std::clamp((coil - 299.15) / 6.0, 0.15, 1.0);
}

std::optional<Error> wrong_orders(const ModelData& model, const Orders& orders) {
  if (orders.units.size() == model.units.size()) return std::nullopt;
  return Error{ErrorCode::invalid_argument,
               "orders for " + std::to_string(orders.units.size()) + " units; the sheet has " +
                   std::to_string(model.units.size()),
               {},
               "give one order for each indoor unit"};
}

double superheat_of(const Props& props, const CoilState& coil) noexcept {
  return (coil.state[0].hf - coil.sat.hg) / transport_of(props, coil).cp_g;
}

double subcooling_of(const Props& props, const CoilShape& shape, const CoilState& coil) noexcept {
  return (coil.sat.hl - coil.h[shape.cells - 1]) / transport_of(props, coil).cp_l;
}

void note_weather(const ModelData& model, double outdoor_T, StateData& state) noexcept {
  if (state.outdoor_T == outdoor_T && state.least_suction_density > 0.0) return;
  state.outdoor_T = outdoor_T;
  Saturated s;
  model.props.saturated(model.props.dew_pressure(outdoor_T - 14.0), s);
  state.least_suction_density = 1.0 / s.vg;
}

Trim trim_for(const Controls& c, double superheat) noexcept {
  const double share = (superheat - c.outdoor_superheat_K) / c.outdoor_band_K;
  if (share <= 0.0) return {0.0, 0.0};
  if (share >= 1.0) return {most_trim, 0.0};
  return {most_trim * share, most_trim / c.outdoor_band_K};
}

namespace {

/// What the compressors of a module draw, by displacement and speed [kg/s].
double drawn(const ModelData& model, const StateData& state, const Faults& faults,
             std::size_t j) noexcept {
  const LumpState& low = state.lumps[model.accumulator_lump(j)];
  constexpr double efficiency = 0.9;
  // Never less than what a coil 14 K under the outdoor air would give: a valve that followed a
  // falling suction pressure down would pull it down further.
  const double density = std::max(1.0 / low.sat.vg, state.least_suction_density);
  const double size = 1.0 - module_fault(faults, j, &ModuleFaults::undersized);
  return size * efficiency * static_cast<double>(model.modules[j].compressors) *
         model.system.outdoor()[j].displacement_m3 * state.modules[j].speed * density;
}

/// What the outdoor coils must give of all that the compressors draw from their common suction,
/// over what the compressors of the evaporating modules alone draw. A module that condenses
/// draws, too, and units that cool give their part.
double share_of_suction(const ModelData& model, const StateData& state, const Faults& faults,
                        const ValveSide& liquid) noexcept {
  double all = 0.0;
  double evaporating = 0.0;
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    // The draught of one that defrosts is left to the superheat of the others.
    if (state.modules[j].turned) continue;
    const double mine = drawn(model, state, faults, j);
    all += mine;
    evaporating += condenses(state, j) ? 0.0 : mine;
  }
  const LumpState& suction = state.lumps[gas_lump];
  double given = 0.0;
  for (std::size_t i = 0; i < state.units.size(); ++i) {
    const UnitState& unit = state.units[i];
    if (!unit.calling || !unit.cooling) continue;
    given += valve_flow(model.units[i].valve, unit.valve, liquid,
                        {suction.p, 1.0 / suction.sat.vg, 0.0}, model.props.T_critical())
                 .m_dot;
  }
  constexpr double least = 0.1;  // of what is drawn: the superheat has the rest to say
  return evaporating > 0.0 ? std::max(all - given, least * all) / evaporating : 1.0;
}

}  // namespace

double feed_forward(const ModelData& model, const StateData& state, const Faults& faults,
                    std::size_t j) noexcept {
  const ModuleShape& shape = model.modules[j];
  const LumpState& high = state.lumps[model.discharge_lump(j)];
  const LumpState& low = state.lumps[model.accumulator_lump(j)];
  const ValveSide a{std::max(high.p - 4e5, low.p + 3e5), 1.0 / high.sat.vl, 4.0};
  double m = drawn(model, state, faults, j);
  if (model.recovery) m *= share_of_suction(model, state, faults, a);
  return opening_for(shape.valve, m, a, {low.p, 1.0 / low.sat.vg, 0.0}, model.props.T_critical());
}

void impose_stuck_valves(const Faults& faults, StateData& state) noexcept {
  for (std::size_t j = 0; j < std::min(faults.modules.size(), state.modules.size()); ++j) {
    if (faults.modules[j].valve_stuck && !condenses(state, j)) {
      state.modules[j].valve = *faults.modules[j].valve_stuck;
    }
  }
  for (std::size_t i = 0; i < std::min(faults.units.size(), state.units.size()); ++i) {
    const UnitFaults& f = faults.units[i];
    if (f.valve_stuck) state.units[i].valve = *f.valve_stuck;
    state.units[i].valve = std::max(state.units[i].valve, f.valve_leak);
  }
}

double sensor_offset(const Faults& faults, std::string_view place, std::size_t number,
                     std::string_view quantity) noexcept {
  double sum = 0.0;
  for (const SensorFault& fault : faults.sensors) {
    std::string_view name = fault.channel;
    if (!name.starts_with(place)) continue;
    name.remove_prefix(place.size());
    if (number > 0) {
      if (!name.starts_with('.')) continue;
      name.remove_prefix(1);
      std::size_t given = 0;
      const auto end = std::from_chars(name.data(), name.data() + name.size(), given);
      if (end.ec != std::errc() || given != number) continue;
      name.remove_prefix(static_cast<std::size_t>(end.ptr - name.data()));
    }
    if (name.starts_with('.') && name.substr(1) == quantity) sum += fault.offset;
  }
  return sum;
}

}  // namespace cw::twin::detail
