#pragma once

#include "ingest/clock/clock_plan.h"

namespace cw {

/// Sets plan.order from what the stamps of the whole file allow: a number above 12 is a day, dots
/// stand between day, month and year, and where neither helps, only one order makes the rows follow
/// each other in time.
/// @error inconsistent  nothing in the file decides; the fix says what the map must say
Status decide_order(const ClockQuestion& question, ClockPlan& plan);

}  // namespace cw
