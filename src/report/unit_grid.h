#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "checks/calls.h"
#include "checks/judgement.h"

namespace cw {

/// What an indoor unit did in pieces of time, for a grid of all units.
struct UnitRow {
  Place place;
  double calling_s = 0.0;  ///< in which it called
  double away_s = 0.0;     ///< in which it called and was further from its set point than allowed
  double known_s = 0.0;    ///< in which it is known whether it called
  double trouble = 0.0;    ///< away_s / known_s, 0..1; 0 where nothing is known
  Verdict verdict = Verdict::unproven;  ///< the worst of the unit's findings
  /// [pieces] what it mostly did: c calls and is on its way, h calls and holds, i is on and idle,
  /// o is off, '.' not known
  std::string state;
  std::vector<double> deviation;  ///< [pieces] median of temperature minus set point [K]; nan
};

/// The units between two instants in so many equal pieces, most trouble first. Calls are those that
/// the checks judge by; a unit holds where it is no further from its set point than the limit
/// "set-point.watch_off_by".
/// @param calls  of the judgement's recording
/// Thread-safe.
std::vector<UnitRow> unit_grid(const Judgement& judgement, const CallBook& calls, Instant from,
                               Instant to, std::size_t pieces);

/// The grid as the workbench draws it (docs/design/workbench.md).
std::string unit_grid_json(const Judgement& judgement, const CallBook& calls, Instant from,
                           Instant to, std::size_t pieces);

}  // namespace cw
