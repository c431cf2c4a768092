#pragma once

#include <vector>

#include "ingest/clock/clock_plan.h"

namespace cw {

/// A file that begins in the repeated hour of the autumn clock change has no row before that would
/// tell its two passes apart. Where its rows leave the hour without a break they are of the second
/// pass: in the first one an hour would be missing there.
/// @param time  of the rows in file order, as ClockResolver gave them
void settle_first_hour(const ClockPlan& plan, std::vector<Instant>& time);

}  // namespace cw
