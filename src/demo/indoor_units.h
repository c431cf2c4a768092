#pragma once

#include <array>

#include "demo/outdoor_modules.h"
#include "demo/story.h"

namespace cw::demo {

/// An indoor unit and its room; temperatures in degC.
struct IndoorUnit {
  bool on = false;
  bool calling = false;
  double set_point = 0.0;
  double room = 0.0;  ///< what the unit compares with its set point
  double gas_pipe = 0.0;
  double liquid_pipe = 0.0;
  double demand = 0.0;         ///< 0..1 of the heat that the unit can give
  double valve_opening = 0.0;  ///< what the controller asks of the valve [%]
  double flow = 0.0;           ///< 0..1 of the refrigerant that this heat takes
};

class IndoorSide {
 public:
  IndoorSide();

  /// Goes on by one step with the gas that the outdoor modules send.
  void step(double minute, const OutdoorSide& outdoor);

  const std::array<IndoorUnit, indoor_units>& units() const { return units_; }
  double load() const;  ///< 0..1 of what all units can take

 private:
  void step_control(int index, double minute);
  void step_pipes(int index, double minute, const OutdoorSide& outdoor);
  void step_room(int index, double minute, const OutdoorSide& outdoor);

  std::array<IndoorUnit, indoor_units> units_;
};

}  // namespace cw::demo
