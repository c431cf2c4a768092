#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "twin/compressor.h"

/// What may be wrong with a machine. Every severity is continuous; the default is a healthy one.
namespace cw::twin {

struct ModuleFaults {
  double coil_blocked = 0.0;          ///< share of the coil's airflow that is lost, 0..0.95
  double fan_lost = 0.0;              ///< share of the fan's speed that is lost, 0..1
  double reversing_valve_leak = 0.0;  ///< hot gas past the slide, share of the rated flow, 0..0.3
  CompressorWear wear;
  std::optional<double> valve_stuck;  ///< outdoor expansion valve, opening 0..1
  /// The sensor has come off the coil: it shows the outdoor air and never asks for a defrost.
  bool defrost_sensor_failed = false;
  /// The module is by this share smaller than the sheet says, in compressor, coil surface and
  /// airflow, and its controls know it; volumes stay. 0..0.8.
  double undersized = 0.0;
};

struct UnitFaults {
  double filter_blocked = 0.0;        ///< share of the airflow that is lost, 0..0.95
  std::optional<double> valve_stuck;  ///< opening 0..1
  double valve_leak = 0.0;            ///< opening that is left when the valve is shut, 0..0.3
};

/// A sensor that reads wrong. The controls believe it.
struct SensorFault {
  std::string channel;  ///< "outdoor.1.discharge_pressure"
  double offset = 0.0;  ///< added to the true value, SI
};

struct Faults {
  std::vector<ModuleFaults> modules;  ///< empty or one for each module
  std::vector<UnitFaults> units;      ///< empty or one for each unit
  double leak_kg_per_s = 0.0;         ///< refrigerant lost from the liquid line
  double non_condensables_mol = 0.0;  ///< nitrogen in the high side
  std::vector<SensorFault> sensors;
};

}  // namespace cw::twin
