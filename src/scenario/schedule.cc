#include "scenario/schedule.h"

#include <limits>

namespace cw::scenario {
namespace {

void obey(const UnitWish& wish, twin::UnitOrder& order) {
  if (wish.on) order.on = *wish.on;
  if (wish.set_point_K) order.set_point_K = *wish.set_point_K;
  if (wish.gains_W) order.gains_W = *wish.gains_W;
  if (wish.cooling) order.cooling = *wish.cooling;
  if (wish.call) {
    order.call = *wish.call == CallRule::thermostat ? std::nullopt
                                                    : std::optional(*wish.call == CallRule::always);
  }
}

}  // namespace

const std::vector<twin::UnitOrder>& ScheduleFollower::at(double time_s) {
  for (; next_ < schedule_->changes.size(); ++next_) {
    const ScheduledChange& change = schedule_->changes[next_];
    if (change.time_s > time_s) break;
    for (const std::size_t unit : change.units) obey(change.wish, units_[unit]);
  }
  return units_;
}

double ScheduleFollower::next_change_s() const noexcept {
  return next_ < schedule_->changes.size() ? schedule_->changes[next_].time_s
                                           : std::numeric_limits<double>::infinity();
}

}  // namespace cw::scenario
