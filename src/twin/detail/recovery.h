#pragma once

#include <cstddef>

#include "twin/detail/controls.h"

/// What the controls of a machine with three lines do beyond those of any other: they hold both
/// pressures at once, and lead each outdoor coil to the side that lacks one. All own estimates of
/// usual practice.
namespace cw::twin::detail {

/// What calls, by rated heating [W].
struct Demand {
  double heat_W = 0.0, cold_W = 0.0;
  bool heats() const noexcept { return heat_W > 0.0; }
  bool cools() const noexcept { return cold_W > 0.0; }
  /// The larger of the two: what the compressor is needed for.
  double larger_W() const noexcept { return heat_W > cold_W ? heat_W : cold_W; }
};
Demand demand_of(const ModelData& model, const StateData& state) noexcept;

/// Whether the outdoor coils of a start condense: whichever side calls for more has the word, the
/// order where they are about even.
bool starts_condensing(const Demand& demand, bool ordered) noexcept;

/// How many outdoor coils condense, those that defrost by themselves included.
std::size_t condensing_coils(const StateData& state) noexcept;

/// Target of the compressor, as Sight::speed_error: the side that is served worse has the word.
struct SpeedError {
  double value = 0.0;
  bool by_heat = true;
};
SpeedError speed_error_of(const Controls& c, const Sight& sight, const Demand& demand,
                          const StateData& state) noexcept;

/// Fan of each outdoor coil by the pressure of the side that it is on; where it cannot go slower
/// its valve closes (ModuleState::gate), so that the coil gives way to the rooms' own exchange.
void pace_coils(const Controls& c, const Sight& sight, const Demand& demand,
                StateData& state) noexcept;

/// Turns one outdoor coil at most: to condensing where there is more heat than the rooms take, to
/// evaporating where there is less.
void balance_coils(const ModelData& model, const Sight& sight, const Demand& demand,
                   StateData& state) noexcept;

/// A start: no coil stands against the others.
void start_coils(const Demand& demand, StateData& state) noexcept;

}  // namespace cw::twin::detail
