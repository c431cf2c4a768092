#pragma once

#include <vector>

#include "checks/check.h"

namespace cw {

/// Masks of the heating checks, one for each index of the time axis. What each question may count
/// is decided here and nowhere else.

/// One compressor, or a module judged as one: steady heating counts; start-up, defrost and recovery
/// pause; anything else ends. A compressor with a run signal of its own is at rest while its module
/// runs, and has a start-up of its own.
std::vector<Mask> compressor_masks(const CheckContext& context, const Place& place);

/// What all modules share, the condensing pressure in the pipes: as compressor_masks of the module,
/// but a defrost or recovery of any module pauses.
std::vector<Mask> network_masks(const CheckContext& context, const Place& module);

/// What reaches an indoor coil: counts while some module heats steadily and none defrosts; pauses
/// while modules only start, defrost or recover.
std::vector<Mask> indoor_coil_masks(const CheckContext& context);

/// What a room feels: counts through heating, defrosts and recovery, since a room is slow and a
/// defrost short; pauses in start-up. `off_counts` lets a stopped machine count, for a unit that is
/// known to call: a machine that has tripped does not heat the room.
std::vector<Mask> room_masks(const CheckContext& context, bool off_counts);

/// Masks for heating by phase: steady heating counts; start-up, defrost and recovery pause;
/// anything else, heat recovery included, ends.
Mask heating_mask(PhaseKind kind) noexcept;

}  // namespace cw
