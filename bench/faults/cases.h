#pragma once

#include <cstdint>
#include <string>
#include <vector>

/// The simulated cases of bench/faults: which system, weather and mode, what is wrong and how much.
namespace cw::faults {

/// A machine in an hour, without a fault. Fault cases share it, so that what a fault costs can be
/// read off.
struct Base {
  std::string name;    ///< "split heating 2 off"
  std::string system;  ///< "split"
  bool cooling = false;
  bool off = false;  ///< the machine differs from what the module is told of it
  double outdoor_degC = 0.0;
  std::string sheet;       ///< what the module is given
  std::string true_sheet;  ///< what is simulated
  std::string scenario;    ///< without its faults
  /// The same machine with the same sensors, sound, in another hour with all units calling: what
  /// somebody may have kept from commissioning.
  std::string sound_scenario;
  std::size_t modules = 1, units = 1;
  std::size_t stopped_unit = 0;  ///< a unit that does not call; `units` when all do
};

/// A fault in a base.
struct Case {
  std::size_t base = 0;
  std::string kind;           ///< as the module calls it; empty: healthy
  std::string place;          ///< "system", "outdoor.1"
  int severity = 0;           ///< 1 small, 2 middle, 3 large
  std::string scenario_kind;  ///< as the simulator calls it
  std::string scenario_place;
  double amount = 0.0;  ///< severity; of a stuck valve a factor on its healthy opening
  std::string unit;     ///< of the amount: "%", "kg", "K", "kPa", "g", "kg/h"
  bool relative_opening = false;
  std::string name;
};

std::vector<Base> make_bases();
/// All cases, the healthy ones first, one for each base.
std::vector<Case> make_cases(const std::vector<Base>& bases);

/// The hour of its sound recording as a base of its own.
Base sound_of(const Base& base);

/// The whole scenario of a case. `opening` is the healthy opening of the valve, for stuck ones.
std::string scenario_of(const Base& base, const Case& c, double opening);

}  // namespace cw::faults
