#include <algorithm>
#include <cmath>
#include <string>

#include "base/text.h"
#include "twin/detail/controls.h"
#include "twin/detail/network.h"

/// The dynamic solve: implicit steps of adaptive length between the decisions of the controls.
namespace cw::twin {

namespace detail {

Surroundings surroundings_of(const ModelData& model, const Weather& weather, const Faults& faults,
                             bool cooling) noexcept {
  Surroundings s;
  s.faults = &faults;
  s.air_pressure = model.air_pressure;
  s.outdoor.T = weather.temperature_K;
  s.outdoor.p = model.air_pressure;
  const double vapour =
      std::clamp(weather.relative_humidity, 0.0, 1.0) * water_saturation(weather.temperature_K).p;
  s.outdoor.w = 0.621945 * vapour / (model.air_pressure - vapour);  // [ashrae2017, ch. 1, Eq. 20]
  // Rooms: some 50 % at 24 degC in summer, 40 % at 21 degC in winter. Own estimates.
  s.indoor_humidity_ratio = cooling ? 0.0093 : 0.0062;
  return s;
}

double booked_mass(const ModelData& model, const StateData& state) noexcept {
  double sum = 0.0;
  for (const LumpState& l : state.lumps) sum += l.M;
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    sum += coil_mass(model.modules[j].coil, state.modules[j].coil) + state.modules[j].dissolved;
  }
  for (std::size_t i = 0; i < state.units.size(); ++i) {
    sum += coil_mass(model.units[i].coil, state.units[i].coil);
  }
  return sum;
}

double booked_energy(const ModelData& model, const StateData& state) noexcept {
  double sum = 0.0;
  for (std::size_t l = 0; l < state.lumps.size(); ++l) {
    sum += state.lumps[l].U + model.lumps[l].metal * state.lumps[l].T_wall;
  }
  const auto coil = [&](const CoilShape& shape, const CoilState& c) {
    for (std::size_t i = 0; i < shape.cells; ++i) sum += c.U[i] + shape.cell_metal * c.T_wall[i];
  };
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    coil(model.modules[j].coil, state.modules[j].coil);
    sum += model.modules[j].shell_metal * state.modules[j].T_shell;
  }
  for (std::size_t i = 0; i < state.units.size(); ++i)
    coil(model.units[i].coil, state.units[i].coil);
  return sum;
}

void open_account(const ModelData& model, StateData& state) noexcept {
  state.account = {};
  state.account.mass_start = booked_mass(model, state);
  state.account.energy_start = booked_energy(model, state);
}

namespace {

void frost_and_melt(const CoilShape& shape, CoilState& coil, double dt, Account& account) noexcept {
  constexpr double melting = 273.15;
  constexpr double film = 150.0;  // W/(m2 K) from fin to melting frost, own estimate
  for (std::size_t i = 0; i < shape.cells; ++i) {
    FrostLayer& layer = coil.frost[i];
    const double T = coil.T_wall[i];
    if (T <= melting) {
      if (coil.water[i] > 0.0) {
        layer = grow(layer, coil.water[i] / shape.frost_area, T, dt);
      }
    } else if (layer.mass > 0.0) {
      const double wanted = film * shape.frost_area * (T - melting) * dt;
      const double heat = std::min(wanted, 0.8 * shape.cell_metal * (T - melting));
      const Melt melted = melt(layer, heat / shape.frost_area, melting);
      const double used = melted.heat_used * shape.frost_area;
      coil.T_wall[i] -= used / shape.cell_metal;
      account.energy_in -= used;
      if (layer.mass < 1e-6) layer = {};
    }
  }
}

}  // namespace

void after_step(const ModelData& model, const Weather& weather, const Orders& orders, double dt,
                StateData& state) noexcept {
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    frost_and_melt(model.modules[j].coil, state.modules[j].coil, dt, state.account);
  }
  for (std::size_t r = 0; r < state.rooms.size(); ++r) {
    const RoomShape& shape = model.rooms[r];
    RoomState& room = state.rooms[r];
    double heat = shape.UA_out * (weather.temperature_K - room.T_air) +
                  shape.UA_mass * (room.T_mass - room.T_air);
    for (std::size_t i = 0; i < state.units.size(); ++i) {
      if (model.units[i].room != r) continue;
      const CoilState& coil = state.units[i].coil;
      for (std::size_t c = 0; c < model.units[i].coil.cells; ++c) heat -= coil.Q_air[c];
      heat += orders.units[i].gains_W;
    }
    room.T_mass += dt * shape.UA_mass * (room.T_air - room.T_mass) / shape.mass;
    room.T_air += dt * heat / shape.air;
  }
  for (std::size_t i = 0; i < state.units.size(); ++i) {
    const double lag = model.units[i].wall_sensor ? 300.0 : 90.0;  // s, own estimates
    UnitState& unit = state.units[i];
    unit.sensor +=
        (state.rooms[model.units[i].room].T_air - unit.sensor) * (1.0 - std::exp(-dt / lag));
  }
  state.time += dt;
}

namespace {

/// Steps of adaptive length up to the next decision.
class March {
 public:
  March(const ModelData& model, const Weather& weather, const Orders& orders, const Faults& faults,
        StateData& state, bool held, Advance& report) noexcept
      : model_(model),
        weather_(weather),
        orders_(orders),
        faults_(faults),
        state_(state),
        held_(held),
        report_(report) {}

  Status run(double seconds) {
    const double end = state_.time + seconds;
    constexpr double close = 1e-9;
    while (state_.time < end - close) {
      if (state_.time >= state_.next_control - close) control();
      double room = std::min(end, state_.next_control) - state_.time;
      if (auto done = one_step(room); !done) return done;
    }
    return Done{};
  }

 private:
  void control() noexcept {
    std::array<bool, most_modules> condensed{};
    for (std::size_t j = 0; j < state_.modules.size(); ++j) condensed[j] = condenses(state_, j);
    std::array<std::size_t, most_units> lumps{};
    for (std::size_t i = 0; i < state_.units.size(); ++i)
      lumps[i] = unit_lump(model_, state_.units[i]);
    const Activity activity = state_.activity;
    (held_ ? decide_held : decide)(model_, orders_, weather_, faults_, state_);
    bool turned = false;
    for (std::size_t j = 0; j < state_.modules.size(); ++j) {
      turned = turned || condensed[j] != condenses(state_, j);
    }
    for (std::size_t i = 0; i < state_.units.size(); ++i) {
      turned = turned || lumps[i] != unit_lump(model_, state_.units[i]);
    }
    if (turned) {
      const Topology topology = topology_of(model_, state_);
      regroup(model_, topology, state_);
      refresh(model_, topology, state_);
    }
    if (turned || activity != state_.activity) state_.dt = std::min(state_.dt, 0.05);
    state_.next_control = state_.time + model_.parameters.controls.period_s;
  }

  /// A high-pressure switch does not wait for the next decision.
  bool switched_off() const noexcept {
    const double trip = model_.parameters.controls.high_pressure_trip_Pa;
    bool over = false;
    for (std::size_t j = 0; j < state_.modules.size(); ++j) {
      over = over || (state_.modules[j].on && state_.lumps[model_.discharge_lump(j)].p > trip);
    }
    return over && look(model_, state_, faults_).p_high > trip;
  }

  Status one_step(double room) {
    const double factor = model_.parameters.step_factor;
    const double longest = model_.parameters.longest_step_s * factor;
    const double tolerance = 0.015 * factor;  // of a pressure, in one step
    const Topology topology = topology_of(model_, state_);
    const Surroundings around =
        surroundings_of(model_, weather_, faults_, orders_.plant == Plant::cooling);
    double dt = std::min({state_.dt, longest, room});
    // A sliver before the next decision joins the step.
    if (room - dt < 0.3 * dt) dt = room <= longest ? room : dt;
    keep_copy(state_);
    constexpr int careful = 9;      // attempts before steps become patient, ...
    constexpr double least = 2e-4;  // s; ... and below this need not converge
    constexpr double calm = 2.0;    // s; steps as long as this need no patience any more
    const double first = dt;
    const double longest_forced = std::min(0.03, room);
    bool patient = state_.patient;
    bool forced = false;
    for (int attempt = 0;; ++attempt) {
      StepKind kind;
      kind.rate = 1.0 / dt;
      kind.soften = std::exp(-dt / 2.0);
      kind.forgiving = forced;
      kind.patient = patient;
      const StepResult result = step(model_, topology, around, kind, state_);
      const double jump = result.good ? largest_jump(kind.forgiving) : 1.0;
      if (result.good && jump < (kind.forgiving ? 0.3 : 4.0 * tolerance)) {
        if (held_) {
          state_.time += dt;
        } else {
          after_step(model_, weather_, orders_, dt, state_);
          if (switched_off()) state_.next_control = state_.time;
        }
        ++report_.steps;
        report_.forced += forced ? 1 : 0;
        report_.patient += !forced && patient && dt < patience_s ? 1 : 0;
        report_.shortest_s = report_.shortest_s > 0.0 ? std::min(report_.shortest_s, dt) : dt;
        const double by_jump = tolerance / std::max(jump, 1e-9);
        const double by_work = result.iterations <= 3 ? 1.6
                               : result.defect < 1e-3 ? 1.25
                               : dt < patience_s      ? 1.0
                                                      : 0.6;
        state_.dt = dt * std::clamp(std::min(by_jump, by_work), 0.3, 1.6);
        if (patient) state_.dt = std::max(state_.dt, least);
        state_.patient = patient && dt < calm;
        return Done{};
      }
      ++report_.rejected;
      go_back(state_);
      // Where vapour meets cold liquid no step may be short enough. A plain linear one, booked like
      // all others, leads out of it; its defect is made good in the next.
      if (forced && dt < 1e-3 * longest_forced) return lost(result.defect);
      dt *= 0.35;
      if (!patient && attempt + 1 >= careful) {
        patient = true;
        dt = first;
      } else if (patient && !forced && dt < least) {
        forced = true;
        dt = longest_forced;
      }
    }
  }

  /// Largest change of a pressure in the step, as its share. `forgiving`: a liquid line that has
  /// just become full makes good a thousandth of its mass by a jump that no shorter step makes
  /// smaller.
  double largest_jump(bool forgiving) const noexcept {
    double worst = 0.0;
    for (std::size_t l = 0; l < state_.lumps.size(); ++l) {
      const double before = state_.backup->lumps[l].p;
      // The liquid line is stiff: its pressure follows the valves at once and stores next to
      // nothing.
      const double scale = l != liquid_lump ? 1.0 : forgiving ? 50.0 : 5.0;
      worst = std::max(worst, std::abs(state_.lumps[l].p - before) / (scale * before));
    }
    return worst;
  }

  Error lost(double defect) const {
    return {ErrorCode::no_convergence,
            "the calculation could not go on " + number_text(state_.time) +
                " s after the start: no step down to milliseconds balances the refrigerant (" +
                number_text(100.0 * defect) + " % of a part's mass is left over)",
            {},
            "check charge, volumes and faults of this case; the state before is intact"};
  }

  const ModelData& model_;
  const Weather& weather_;
  const Orders& orders_;
  const Faults& faults_;
  StateData& state_;
  bool held_;
  Advance& report_;
};

}  // namespace

Result<Advance> march(const ModelData& model, StateData& state, const Weather& weather,
                      const Orders& orders, const Faults& faults, double seconds, bool held) {
  Advance report;
  March march(model, weather, orders, faults, state, held, report);
  if (auto done = march.run(seconds); !done) return done.error();
  return report;
}

}  // namespace detail

Result<Advance> advance(const Model& model, State& state, const Weather& weather,
                        const Orders& orders, const Faults& faults, double seconds) {
  if (auto wrong = detail::wrong_orders(model.data(), orders)) return *std::move(wrong);
  return detail::march(model.data(), state.data(), weather, orders, faults, seconds, false);
}

}  // namespace cw::twin
