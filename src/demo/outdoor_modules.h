#pragma once

#include <array>

#include "demo/noise.h"
#include "demo/story.h"

namespace cw::demo {

/// One outdoor module's true state; temperatures in degC.
struct OutdoorModule {
  double saturated_condensing = 0.0;
  double saturated_evaporating = 0.0;
  double discharge = 0.0;
  double suction = 0.0;
  double shell = 0.0;
  double coil = 0.0;
  double frequency = 0.0;  ///< [Hz]
  double frost = 0.0;      ///< 0 clean .. 1 as much as a defrost ever meets
  bool defrosting = false;

  double current() const;        ///< [A]
  double valve_opening() const;  ///< [%]
  int fan_step() const;          ///< 0..8
};

/// Both modules on their pipe network, and the weather.
class OutdoorSide {
 public:
  OutdoorSide();

  /// Goes on by one step.
  /// @param load  heat that the indoor units take, 0..1 of what they all can take
  void step(double minute, double load, Noise& noise);

  double outdoor_temperature() const { return outdoor_temperature_; }
  const std::array<OutdoorModule, outdoor_modules>& modules() const { return modules_; }
  /// What reaches the indoor units: hot gas, or suction while a module defrosts.
  double saturated_condensing() const;
  double discharge_superheat() const;  ///< of the mixed gas [K]

 private:
  void step_module(int index, double minute, double load);
  void step_coil(OutdoorModule& module, const Defrost* defrost, double minute) const;
  void step_compressor(OutdoorModule& module, int index, double minute) const;

  std::array<OutdoorModule, outdoor_modules> modules_;
  double outdoor_temperature_ = 0.0;
  double weather_wander_ = 0.0;
  double control_wander_ = 0.0;
};

}  // namespace cw::demo
