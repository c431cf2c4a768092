#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "series/quantity.h"
#include "system/system.h"
#include "twin/twin.h"

/// What a recording of the twin can hold: which reading is which channel.
namespace cw::scenario {

/// All that a logger sees at one moment.
struct Moment {
  const twin::Readings* readings = nullptr;
  twin::Weather weather;
  twin::Plant plant = twin::Plant::heating;
};

/// One channel that a logger can record.
struct ChannelSource {
  std::string name;       ///< "<place>.<quantity>", the place as the system sheet has it
  std::string twin_name;  ///< as sensor faults of the twin call it: places counted from 1
  const Quantity* quantity = nullptr;  ///< never null; static storage
  /// A sensor measured it: noise and accuracy apply. Orders, positions and states are known
  /// exactly.
  bool measured = false;
  /// The machine's own controls use it, so a fault of the sensor acts on the machine.
  bool controls_use_it = false;
  std::function<double(const Moment&)> read;  ///< SI; a state as its number
};

/// All channels of a system: the site, modules and units in the order of the sheet.
std::vector<ChannelSource> channels_of(const System& system);

/// Does `name` match `pattern`, in which * stands for any text?
bool matches(std::string_view pattern, std::string_view name) noexcept;

/// Fan speeds are recorded as steps from 0 to this.
inline constexpr double fan_steps = 8.0;

}  // namespace cw::scenario
