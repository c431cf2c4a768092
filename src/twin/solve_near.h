#pragma once

#include "twin/twin.h"

namespace cw::twin {

/// As solve_steady, from a state that is steady under nearly the same conditions, and nothing else
/// is tried: milliseconds, whether it succeeds or not. For those who ask hundreds of times and can
/// do without an answer here and there.
/// @error no_convergence  no steady state was found near the state given
/// Thread-safe.
Result<Steady> solve_near(const Model& model, State& state, const Weather& weather,
                          const Orders& orders, const Faults& faults, double room_K,
                          double charge_kg);

/// As solve_steady with at least one unit that calls, but without the leap of a warm start: the
/// slower way, that of the calibration. A fit of more figures than its tests determine ends
/// elsewhere in its flat valley with every change of rounding.
/// Thread-safe.
Result<Steady> solve_walking(const Model& model, State& state, const Weather& weather,
                             const Orders& orders, const Faults& faults, double room_K,
                             double charge_kg);

}  // namespace cw::twin
