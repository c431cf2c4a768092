#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "system/system.h"
#include "twin/faults.h"
#include "twin/parameters.h"

/// A physical model of one machine: `Model` is what does not change, `State` what does. All work is
/// done by free functions; any number of states of one model can run in parallel.
///
/// Equations, sources and limits: docs/design/twin.md. SI throughout.
namespace cw::twin {

namespace detail {
struct ModelData;
struct StateData;
}  // namespace detail

/// Weather at the outdoor modules.
struct Weather {
  double temperature_K = 280.15;
  double relative_humidity = 0.8;  ///< over water, 0..1
};

/// What a person or a schedule asks of one indoor unit.
struct UnitOrder {
  bool on = false;  ///< switched on; it then calls when its thermostat does
  double set_point_K = 294.15;
  double gains_W = 0.0;      ///< heat set free in its room by people, lights and sun
  std::optional<bool> call;  ///< forces the call; the thermostat has no say
  bool cooling = false;      ///< wants cooling; only heat recovery obeys unit by unit
};

/// What the machine does as a whole. In heat recovery the plant mode is that of the outdoor coils.
enum class Plant { heating, cooling };

struct Orders {
  Plant plant = Plant::heating;
  std::vector<UnitOrder> units;  ///< one for each indoor unit of the sheet
  /// Speed of the first module's compressors while the machine runs, as a laboratory holds it [Hz];
  /// the others at the same share of their highest. Trips still stop it.
  std::optional<double> speed_Hz;
};

/// The immutable part: geometry, tables, control parameters. Copies share their contents.
class Model {
 public:
  const System& system() const;
  const Parameters& parameters() const;
  const detail::ModelData& data() const { return *data_; }
  /// The sheet's assumptions, what had to be estimated of the refrigerant, limits of pressure that
  /// the sheet leaves open and the network's own estimates, for every output.
  const std::vector<Assumption>& assumptions() const;

 private:
  friend Result<Model> make_model(const System&, const Parameters&);
  std::shared_ptr<const detail::ModelData> data_;
};

/// @error unsupported  the refrigerant has no table
/// @error inconsistent, out_of_range, parse  the sheet's [twin] or [control] table
Result<Model> make_model(const System& system, const Parameters& parameters);
/// The parameters of the sheet's tables [twin] and [control], defaults where it has none.
Result<Parameters> parameters_of(const System& system);

/// Everything that changes. Copyable: a copy is an independent twin.
class State {
 public:
  explicit State(std::unique_ptr<detail::StateData> data);
  State(const State&);
  State& operator=(const State&);
  State(State&&) noexcept;
  State& operator=(State&&) noexcept;
  ~State();
  detail::StateData& data() { return *data_; }
  const detail::StateData& data() const { return *data_; }
  double time_s() const;  ///< since the state was made

 private:
  std::unique_ptr<detail::StateData> data_;
};

/// A machine at one pressure, that of saturation at the coldest of outdoor air and rooms; the
/// liquid lies in accumulators, outdoor coils and the liquid line. Rooms at `room_K`.
/// @error out_of_range  a charge that does not fit into the machine, or air outside -45..55 degC
Result<State> state_at_rest(const Model& model, const Weather& weather, double room_K,
                            double charge_kg);

/// How a stretch of time was calculated.
struct Advance {
  int steps = 0;
  int rejected = 0;
  double shortest_s = 0.0;
  /// Of the steps: so short that only their share of what state and booked content disagree about
  /// was made good, since no step that made good all of it balanced.
  int patient = 0;
  /// Of the steps: balanced at no length and so taken as they were, with mass and energy kept; what
  /// happens in their seconds is indicative only. Mostly 0. docs/design/twin.md, "One step".
  int forced = 0;
};

/// Goes `seconds` on. The first call for a state allocates a copy of it to go back to; others only
/// to report an error.
/// @error no_convergence  with the time; `state` is then that of the last good step
Result<Advance> advance(const Model& model, State& state, const Weather& weather,
                        const Orders& orders, const Faults& faults, double seconds);

/// Puts refrigerant into the liquid line or takes it out, at once; out come at most nine tenths of
/// what is in the line.
void add_charge(const Model& model, State& state, double mass_kg);

/// The state in which nothing changes any more, rooms held at `room_K`: the same equations as
/// `advance` with infinite time. `state` is the first guess and the answer (a warm start is much
/// faster); after an error it is neither. A unit calls as its order says, or else where it is on.
/// Frost does not grow, nothing defrosts.
struct Steady {
  int iterations = 0;
  double residual = 0.0;  ///< largest relative change that is left
};
/// @error inconsistent    no unit calls, or this machine has no steady state: it trips or does not
///                        come to rest. The words say at what, and which controls are at their
///                        stops
/// @error no_convergence  the calculation failed before that could be said
/// @error out_of_range    a charge that does not fit into the machine, or air outside -45..55 degC
Result<Steady> solve_steady(const Model& model, State& state, const Weather& weather,
                            const Orders& orders, const Faults& faults, double room_K,
                            double charge_kg);

/// What the machine's own sensors say, sensor faults included. SI.
struct ModuleReadings {
  double discharge_pressure, suction_pressure;        ///< absolute [Pa]
  double discharge_temperature, suction_temperature;  ///< [K]
  double shell_temperature, coil_temperature;         ///< [K]
  double compressor_frequency;                        ///< [Hz] of one compressor
  double valve_opening, fan_speed;                    ///< [0..1]
  double power;                                       ///< compressor and fan [W]
  bool defrosting;
};
struct UnitReadings {
  double gas_pipe_temperature, liquid_pipe_temperature;   ///< [K]
  double controlled_temperature, supply_air_temperature;  ///< [K]
  double set_point;                                       ///< [K]
  double valve_opening, fan_speed;                        ///< [0..1]
  bool on, calling, cooling;
};
enum class Activity { off, starting, running, defrosting, oil_return };
constexpr std::string_view name_of(Activity activity) noexcept {
  constexpr std::array<std::string_view, 5> names = {"off", "starting", "running", "defrosting",
                                                     "oil return"};
  return names[static_cast<std::size_t>(activity)];
}
struct Readings {
  Activity activity = Activity::off;
  double outdoor_temperature;  ///< [K]
  std::vector<ModuleReadings> modules;
  std::vector<UnitReadings> units;
};
/// Fills `out` (which keeps its memory).
void read(const Model& model, const State& state, const Faults& faults, Readings& out);

/// Kilograms of refrigerant by part.
struct Inventory {
  double total = 0.0;
  double gas_line = 0.0, liquid_line = 0.0, third_line = 0.0;
  struct Module {
    double coil = 0.0, accumulator = 0.0, discharge = 0.0, dissolved = 0.0;
    double accumulator_level = 0.0;  ///< liquid over the usable volume; above 1 it overflows
  };
  struct Unit {
    double coil = 0.0;
    bool parked = false;  ///< holds liquid although it does not call
  };
  std::vector<Module> modules;
  std::vector<Unit> units;
};
void take_stock(const Model& model, const State& state, Inventory& out);

/// What no sensor of the machine sees: capacities, flows, regime.
struct Insight {
  double heat_to_rooms_W = 0.0;  ///< negative in cooling
  double heat_from_outdoors_W = 0.0;
  double power_W = 0.0;        ///< compressors and fans
  double compressors_W = 0.0;  ///< of that, the compressors
  double condensing_K = 0.0, evaporating_K = 0.0;
  struct Module {
    double m_dot = 0.0, suction_quality = 1.0, suction_superheat_K = 0.0;
    double subcooling_K = 0.0, coil_superheat_K = 0.0, frost_kg = 0.0, airflow_share = 1.0;
    double accumulator_level = 0.0;
  };
  struct Unit {
    double m_dot = 0.0, heat_W = 0.0, subcooling_K = 0.0, superheat_K = 0.0, room_K = 0.0;
  };
  std::vector<Module> modules;
  std::vector<Unit> units;
};
void look_inside(const Model& model, const State& state, Insight& out);

/// How well what must not change has not changed since the state was made.
struct Conservation {
  double mass_relative = 0.0;    ///< (mass now - mass then - added + leaked) / charge
  double energy_relative = 0.0;  ///< imbalance of the first law over the heat moved
};
Conservation conservation_of(const Model& model, const State& state);

}  // namespace cw::twin
