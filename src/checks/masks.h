#pragma once

#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// Masks of the checks, one for each index of the time axis. What each question may count is
/// decided here and nowhere else.

/// Which steady work counts.
enum class Regime {
  heating,
  cooling,
  running,  ///< heating, cooling or both at once: what matters to a compressor
  mixed,    ///< heating and cooling at once
};

/// The regime's steady work counts; start-up, defrost and recovery pause; anything else ends.
Mask mask_of(PhaseKind kind, Regime regime) noexcept;

/// "steady heating", "steady cooling", as the timeline of `place` shows it for the regime.
std::string steady_text(const CheckContext& context, const Place& place, Regime regime);

/// One compressor, or a module judged as one. A compressor with a run signal of its own is at rest
/// while its module runs, and has a start-up of its own.
std::vector<Mask> compressor_masks(const CheckContext& context, const Place& place,
                                   Regime regime = Regime::heating);

/// What all modules share, the pressures in the pipes: as compressor_masks of the module, but a
/// defrost or recovery of any module pauses.
std::vector<Mask> network_masks(const CheckContext& context, const Place& module,
                                Regime regime = Regime::heating);

/// What reaches an indoor coil: counts while some module works steadily and none defrosts; pauses
/// while modules only start, defrost or recover.
std::vector<Mask> indoor_coil_masks(const CheckContext& context, Regime regime = Regime::heating);

/// What a room feels: counts through heating, cooling, both at once, defrosts and recovery, since a
/// room is slow and a defrost short; pauses in start-up. `off_counts` lets a stopped machine count,
/// for a unit that is known to call: a machine that has tripped does not warm or cool the room.
std::vector<Mask> room_masks(const CheckContext& context, bool off_counts);

/// Nothing runs in the whole system and has not for `settle` [s]; anything else ends. A stop whose
/// beginning is not in the log counts from the log's beginning.
std::vector<Mask> standstill_masks(const CheckContext& context, double settle);

}  // namespace cw
