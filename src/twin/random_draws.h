#pragma once

#include <cstddef>
#include <random>

#include "twin/twin.h"

namespace cw::twin::test {

/// Numbers for random machines and days. All come from one Mersenne twister, whose sequence the C++
/// standard fixes: a seed is the same case everywhere.
class RandomDraws {
 public:
  explicit RandomDraws(unsigned seed) : generator_(seed) {}

  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(generator_()) / 4294967295.0);
  }
  int count(int low, int high) {
    return low + static_cast<int>(generator_() % static_cast<unsigned>(high - low + 1));
  }
  /// An index below `n`.
  std::size_t pick(std::size_t n) {
    return static_cast<std::size_t>(count(0, static_cast<int>(n) - 1));
  }

 private:
  std::mt19937 generator_;
};

/// Kinds of faults at one module or unit that plant_part_fault knows.
inline constexpr int part_faults = 9;

/// Puts one of them in.
/// @param severity  0.05..0.9
inline void plant_part_fault(int kind, double severity, ModuleFaults& module, UnitFaults& unit) {
  switch (kind) {
    case 0:
      module.coil_blocked = severity;
      break;
    case 1:
      module.fan_lost = severity;
      break;
    case 2:
      module.reversing_valve_leak = 0.2 * severity;
      break;
    case 3:
      module.wear.leak = 0.3 * severity;
      break;
    case 4:
      module.valve_stuck = 0.05 + severity;
      break;
    case 5:
      module.valve_stuck = 0.02 + 0.1 * severity;
      break;
    case 6:
      unit.filter_blocked = severity;
      break;
    case 7:
      unit.valve_stuck = severity + 0.1;
      break;
    default:
      unit.valve_leak = 0.2 * severity;
  }
}

}  // namespace cw::twin::test
