#include "ingest/clock/first_hour.h"

#include "base/zone.h"

namespace cw {
namespace {

/// The second pass's instant of a stamp that was taken for the first one's; the stamp itself where
/// there are no two.
Instant second_pass(const std::string& zone, Instant instant) {
  const Result<int> offset = zone_offset_minutes(zone, instant);
  if (!offset) return instant;
  const Result<ZoneTimes> times =
      instants_in_zone(zone, {instant.ms + *offset * std::int64_t{60000}});
  const bool first = times && times->instants.size() == 2 && times->instants.front() == instant;
  return first ? times->instants.back() : instant;
}

}  // namespace

void settle_first_hour(const ClockPlan& plan, std::vector<Instant>& time) {
  if (!plan.zone || time.size() < 3) return;
  std::size_t lead = 0;
  std::int64_t shift = 0;
  for (; lead < time.size(); ++lead) {
    if (lead > 0 && time[lead] <= time[lead - 1]) return;  // both passes are there
    const Instant later = second_pass(*plan.zone, time[lead]);
    if (later == time[lead]) break;
    shift = later.ms - time[lead].ms;
  }
  if (lead == 0 || lead == time.size()) return;
  const std::int64_t step = lead > 1
                                ? time[1].ms - time[0].ms
                                : (lead + 1 < time.size() ? time[lead + 1].ms - time[lead].ms : 0);
  const std::int64_t gap = time[lead].ms - time[lead - 1].ms - shift;
  // A step and a half: loggers are not that even.
  if (step <= 0 || gap <= 0 || gap * 2 > step * 3) return;
  for (std::size_t i = 0; i < lead; ++i) time[i].ms += shift;
}

}  // namespace cw
