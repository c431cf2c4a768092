#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"
#include "system/system.h"
#include "twin/faults.h"

/// The faults that a scenario can have. A kind is one row of the table in fault_kinds.cc.
namespace cw::scenario {

/// Where a kind of fault sits.
enum class FaultPlace { system, module, unit, module_or_unit, channel };

/// What a fault acts on while it is applied.
struct FaultTarget {
  FaultPlace place = FaultPlace::system;
  std::size_t index = 0;  ///< of the module or unit
  std::string channel;    ///< as the twin calls it: "outdoor.1.discharge_pressure"
};

struct FaultKind {
  std::string_view name;  ///< "outdoor_coil_blocked"
  std::string_view what;  ///< one line for people
  FaultPlace place = FaultPlace::system;
  std::optional<Dimension> severity;  ///< empty: there is nothing to measure
  double least = 0.0, most = 0.0;     ///< SI, both allowed
  std::string_view example;           ///< "35 %"
  /// Charge is changed once, when the fault begins, by this many times the severity; 0 for kinds
  /// that act all the time.
  double charge_sign = 0.0;
  bool ramps = true;  ///< the severity may come gradually
  /// Puts the severity that holds now into `faults`, on top of what other faults did.
  void (*apply)(const FaultTarget& target, double severity, twin::Faults& faults) = nullptr;
};

std::span<const FaultKind> fault_kinds();
/// Null when there is none.
const FaultKind* find_fault_kind(std::string_view name);

/// A fault of a scenario: one kind in one place.
struct FaultEvent {
  const FaultKind* kind = nullptr;  ///< never null; static storage
  FaultTarget target;
  std::string place;      ///< as the scenario calls it: "outdoor.2", "system", a channel
  double severity = 0.0;  ///< SI
  std::string severity_text;
  double from_s = -std::numeric_limits<double>::infinity();  ///< that: from the warm-up on
  double until_s = std::numeric_limits<double>::infinity();
  double ramp_s = 0.0;  ///< time in which it grows from nothing

  /// Severity at a time; 0 outside from..until.
  double at(double time_s) const noexcept;
  bool is_on(double time_s) const noexcept { return time_s >= from_s && time_s < until_s; }
};

/// What is wrong at a time. `out` keeps its memory. Faults of charge are not in it.
void faults_at(std::span<const FaultEvent> events, const System& system, double time_s,
               twin::Faults& out);

}  // namespace cw::scenario
