#pragma once

#include <string>

#include "checks/judgement.h"

/// Pressure-enthalpy pictures for the workbench (docs/design/workbench.md has the shapes).
namespace cw {

/// The measured cycle of every outdoor module at an instant.
std::string cycle_json(const Judgement& judgement, Instant at);

/// The same at so many instants, evenly from `from` to `to`.
/// @param frames  1..600
std::string cycles_json(const Judgement& judgement, Instant from, Instant to, std::size_t frames);

/// The curves of a refrigerant's chart (ph_chart.h draws the same ones), in the reference state
/// that cycles use.
/// @error as fluid::state_from, for a refrigerant without saturated states
Result<std::string> dome_json(const fluid::Refrigerant& refrigerant);

}  // namespace cw
