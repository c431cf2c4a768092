#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "twin/twin.h"

/// What people ask of the indoor units over time.
namespace cw::scenario {

/// Who decides whether a unit calls.
enum class CallRule { thermostat, always, never };

/// What a change sets; what it leaves empty stays as it was.
struct UnitWish {
  std::optional<bool> on;
  std::optional<double> set_point_K;
  std::optional<double> gains_W;
  std::optional<CallRule> call;
  std::optional<bool> cooling;  ///< heat recovery only
};

/// One change for some units.
struct ScheduledChange {
  double time_s = 0.0;
  std::vector<std::size_t> units;
  UnitWish wish;
};

/// All changes in order of time.
struct Schedule {
  std::vector<ScheduledChange> changes;
  /// Units at the very beginning, before any change.
  std::vector<twin::UnitOrder> first;
};

/// Follows a schedule; time must not go back.
class ScheduleFollower {
 public:
  explicit ScheduleFollower(const Schedule& schedule)
      : schedule_(&schedule), units_(schedule.first) {}
  /// Orders at a time.
  const std::vector<twin::UnitOrder>& at(double time_s);
  /// Time of the next change, infinity after the last.
  double next_change_s() const noexcept;

 private:
  const Schedule* schedule_;
  std::vector<twin::UnitOrder> units_;
  std::size_t next_ = 0;
};

}  // namespace cw::scenario
