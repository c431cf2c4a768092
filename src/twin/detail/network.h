#pragma once

#include "twin/detail/state_data.h"

/// One implicit step of the whole circuit (docs/design/twin.md, "The network").
///
/// Lumps and coils fall into groups that share one pressure but for slow offsets (friction,
/// height). Unknown are the pressure change of each group and the enthalpy change of each lump; the
/// cells of the coils are eliminated. Mass and energy are booked as flows between parts, so that
/// both are conserved to rounding whatever the linearisation is worth; what (p, h) and the booked
/// mass and energy disagree about is the source of the next step.
namespace cw::twin::detail {

/// Who shares a pressure with whom, as the reversing valves and branch boxes stand. With two lines
/// the gas line leads either to all discharges or to all suctions, so that all modules turn
/// together; with three each coil may be led to either.
struct Topology {
  std::size_t groups = 0;
  std::array<std::size_t, most_lumps> group{};  ///< of each lump
  std::array<std::size_t, most_lumps> hub{};    ///< the lump that a lump's link leads to, or itself
  std::array<std::size_t, most_groups> hub_of_group{};
  std::array<std::size_t, most_modules> coil_lump{};  ///< at the gas port of each outdoor coil
};
Topology topology_of(const ModelData& model, const StateData& state) noexcept;
/// The lump at the gas port of a unit's coil.
std::size_t unit_lump(const ModelData& model, const UnitState& unit) noexcept;
/// Makes the offsets fit the pressures after the topology has changed.
void regroup(const ModelData& model, const Topology& topology, StateData& state) noexcept;

/// What acts from outside in one step.
struct Surroundings {
  CoilAir outdoor;
  const Faults* faults = nullptr;
  double air_pressure = 101325.0;
  double indoor_humidity_ratio = 0.0065;
};

/// What the speed of the compressors holds in one step of a steady solve.
struct SpeedHold {
  enum class By { none, condensing, evaporating, high_pressure, low_pressure, discharge };
  By by = By::none;      ///< none: the speed stands
  double asks = 0.0;     ///< change of the share that it asks for, positive: faster
  std::size_t lump = 0;  ///< where
  double target = 0.0;   ///< [K] or [Pa]
  double offset = 0.0;   ///< what the sensor there shows over the pressure [Pa], temperature [K]
};

/// Within this time a patient step makes good what state and booked content disagree about [s]: own
/// choice, short against all that is looked at.
inline constexpr double patience_s = 0.06;

struct StepKind {
  double rate = 1.0;    ///< 1/dt
  bool steady = false;  ///< valves hold their targets, offsets follow at once, films soften
  double soften = 0.0;
  int iterations = 5;      ///< Newton; 1 for the steady solve, which iterates by itself
  bool forgiving = false;  ///< one linear step, taken if it is finite: out of a dead end
  /// A short step makes good only part of what state and booked content disagree about, and a flow
  /// is looked at from both sides before it is called impossible.
  bool patient = false;
  double approach = 1.0;  ///< steady: share of the way to the targets in this step
  SpeedHold hold;         ///< steady: what the compressor speed is found by
};

/// Properties at the present pressures and enthalpies.
void refresh(const ModelData& model, const Topology& topology, StateData& state) noexcept;

/// How a step ended.
struct StepResult {
  bool good = false;  ///< solved, finite and, but for the steady solve, converged
  int iterations = 0;
  double defect = 0.0;  ///< worst_defect that is left
};

/// The step. Expects refresh() and leaves the state refreshed; a state after a step that is not
/// good is spoilt.
StepResult step(const ModelData& model, const Topology& topology, const Surroundings& around,
                const StepKind& kind, StateData& state) noexcept;

/// Largest disagreement between booked and thermodynamic mass, as a share of the part's mass.
double worst_defect(const ModelData& model, const StateData& state) noexcept;

/// Refrigerant in all parts and in the oil [kg]; energy of refrigerant and metal [J].
double booked_mass(const ModelData& model, const StateData& state) noexcept;
double booked_energy(const ModelData& model, const StateData& state) noexcept;
void open_account(const ModelData& model, StateData& state) noexcept;

/// Frost, melt, rooms and sensors after a step of `dt` seconds.
void after_step(const ModelData& model, const Weather& weather, const Orders& orders, double dt,
                StateData& state) noexcept;

/// Goes `seconds` on as advance() does. `held` keeps rooms, frost and calls as they are and lets
/// nothing start, stop or trip: the way to rest of a steady input.
Result<Advance> march(const ModelData& model, StateData& state, const Weather& weather,
                      const Orders& orders, const Faults& faults, double seconds, bool held);

/// Air at the outdoor coils and in the rooms for the coming step.
Surroundings surroundings_of(const ModelData& model, const Weather& weather, const Faults& faults,
                             bool cooling) noexcept;

double module_fault(const Faults& faults, std::size_t j, double ModuleFaults::*what) noexcept;
double unit_fault(const Faults& faults, std::size_t i, double UnitFaults::*what) noexcept;

/// Partial pressure of non-condensables on the high side [Pa].
double foreign_pressure(const ModelData& model, const StateData& state,
                        const Faults& faults) noexcept;

}  // namespace cw::twin::detail
