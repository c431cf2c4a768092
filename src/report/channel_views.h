#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "checks/judgement.h"

/// What the workbench draws of a judged recording (docs/design/workbench.md has the shapes).
namespace cw {

/// The time axis and every channel, in report order; times in milliseconds, the rest SI.
std::string channels_json(const Judgement& judgement);

/// What some channels did between two instants in so many equal pieces, as the binary form "CWS1":
/// `overview` of each, little-endian. Empty pieces are zeros with flag 1.
/// @param channels  of the judgement's recording, never null
/// Thread-safe.
std::string series_bytes(const Recording& recording, const std::vector<const Channel*>& channels,
                         Instant from, Instant to, std::size_t pieces);

/// Phases of the system and of each module, defrosts and steady windows; times in milliseconds.
std::string phases_json(const Judgement& judgement);

}  // namespace cw
