#pragma once

#include "twin/void_fraction.h"

/// Figures of the twin that a sheet may set in its tables [twin] and [control]. Defaults are what
/// machines of this kind have in kind (common practice, no source, where nothing else is said).
namespace cw::twin {

/// What the machine's own controls do. All own estimates of usual practice.
struct Controls {
  double condensing_target_K = 322.15;    ///< heating: saturated condensing temperature, 49 degC
  double evaporating_target_K = 273.15;   ///< cooling: saturated evaporating temperature, 0 degC
  double cooling_condensing_K = 313.15;   ///< cooling: outdoor fans hold at least this, 40 degC
  double heating_evaporating_K = 281.15;  ///< heating: outdoor fans slow down above this, 8 degC
  double subcooling_K = 6.0;              ///< heating: indoor valves
  double superheat_K = 5.0;               ///< cooling: indoor valves
  double outdoor_superheat_K = 3.0;  ///< heating: from here the outdoor valve opens further, ...
  /// Above 0 the outdoor valve holds this superheat instead, for machines whose indoor units have
  /// no valve of their own.
  double outdoor_hold_K = 0.0;
  double outdoor_band_K = 9.0;        ///< ... over this band to 2.5 times its feed-forward
  double stopped_opening = 0.005;     ///< heating: valve of a stopped unit
  double discharge_limit_K = 378.15;  ///< compressor slows above this, 105 degC
  double discharge_trip_K = 388.15;   ///< and stops here, 115 degC
  /// Limits of pressure; 0: what follows from the refrigerant (settle_pressure_limits).
  double high_pressure_limit_Pa = 0.0;  ///< compressor slows above this
  double high_pressure_trip_Pa = 0.0;   ///< and stops here
  double low_pressure_limit_Pa = 0.0;   ///< compressor slows below this
  double low_pressure_trip_Pa = 0.0;    ///< and stops here, but for defrost and oil return
  unsigned limits_assumed = 0;          ///< which of these were 0, a bit each in this order
  double period_s = 10.0;               ///< between two decisions of the controls
  double ramp_Hz_per_s = 0.5;
  double valve_per_period = 0.04;  ///< most that a valve moves in one period
  double start_s = 180.0;          ///< start-up at fixed speed
  double start_speed = 0.45;       ///< share of the highest speed, all units calling
  double least_off_s = 180.0;
  double thermostat_K = 0.5;       ///< half of the hysteresis
  double heating_offset_K = 0.0;   ///< added to the set point for units with stratified air
  double defrost_coil_K = 268.15;  ///< coil below this, -5 degC, ...
  double defrost_drop_K = 3.5;     ///< ... and this much further under outdoor air than when clean
  double defrost_least_interval_s = 2400.0;
  double defrost_end_K = 285.15;  ///< coil temperature at which a defrost ends, 12 degC
  double defrost_longest_s = 600.0;
  /// Modules that may defrost at once. 0: one where the piping lets the others go on heating, which
  /// only three lines do; else all of them.
  int defrost_at_once = 0;
  /// Heat recovery: an outdoor coil turns to condensing where the condensing temperature stands so
  /// far over its target, ...
  double turn_over_K = 4.0;
  double turn_under_K = 8.0;    ///< ... to evaporating where it stands so far under it, ...
  double turn_after_s = 120.0;  ///< ... for so long
  double oil_return_interval_s = 8.0 * 3600.0;
  double oil_return_s = 180.0;
};

/// Physical figures beyond the sheet.
struct Parameters {
  Controls controls;
  SlipModel slip = SlipModel::zivi;
  int outdoor_cells = 8;
  int indoor_cells = 5;
  double outdoor_coil_factor = 1.0;  ///< on the outdoor coil's air-side conductance
  double indoor_coil_factor = 1.0;
  double outdoor_air_factor = 1.0;   ///< on the outdoor airflow
  double volumetric_factor = 1.0;    ///< on the compressor's flow
  double work_factor = 1.0;          ///< on the compressor's work
  double leak_factor = 1.0;          ///< on the compressor's internal leak
  double volume_ratio_factor = 1.0;  ///< on the compressor's built-in volume ratio
  double shell_loss_factor = 1.0;    ///< on the heat that the compressor's shell gives to the air
  double suction_heat_factor =
      1.0;                     ///< on the heat that accumulator and suction line take from air
  double volume_factor = 1.0;  ///< on coil volumes
  double longest_step_s = 5.0;
  double step_factor = 1.0;  ///< scales every step: for tests of convergence in time
};

}  // namespace cw::twin
