#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/tightness.h"

/// Tightness from a logged series of pressure and temperature.
namespace cw::field {

struct PressureSample {
  double seconds = 0.0;      ///< since the first sample
  double pressure = 0.0;     ///< absolute [Pa]
  double temperature = 0.0;  ///< mean of the points [K]
};

/// A log as read: bad rows are counted with the reason of the first, never passed over.
struct PressureLog {
  std::vector<PressureSample> samples;
  std::size_t rejected = 0;
  std::string first_reject;  ///< "line 17: ..."
  std::size_t temperature_points = 0;
  bool gauge = false;
};

/// Reads a CSV log: a head such as `time [h], pressure [MPa(g)], pipe [degC], coil [degC]`; the
/// unit in brackets says what a column is. Times are dates (ISO 8601) or numbers with a time unit.
/// @param barometer  for gauge pressures [Pa]
/// @error unreadable  no usable head, or fewer than 8 usable rows
Result<PressureLog> read_pressure_log(std::string_view text, std::string_view name,
                                      double barometer);

/// Loss of pressure at constant temperature.
///
/// Each reading is carried to the mean temperature at its own density (real gas). What is left is
/// fitted with a line in time beside the temperature and its rate of change: sensors that see too
/// much or too little of the day's swing, or see it late, are taken out with it. The interval is
/// 95 %; scatter that hangs together from reading to reading widens it (first-order
/// autocorrelation). 1,000 seeds in tightness_log_test.cc.
struct LogFit {
  double loss = 0.0;      ///< [Pa/s], positive when pressure is lost
  double loss_low = 0.0;  ///< 95 % interval
  double loss_high = 0.0;
  double mean_pressure = 0.0;     ///< [Pa]
  double mean_temperature = 0.0;  ///< [K]
  double swing = 0.0;             ///< temperature, highest minus lowest [K]
  double swing_removed = 0.0;     ///< pressure swing that the temperature explains [Pa]
  double scatter = 0.0;           ///< standard deviation of what is left [Pa]
  double correlation = 0.0;       ///< of neighbouring residuals, 0..1
  double seconds = 0.0;           ///< length of the log
  std::size_t used = 0;           ///< points after averaging
};

/// @param u_barometer  standard uncertainty of the barometer's change over the log [Pa]
/// @error inconsistent  times that do not rise, fewer than 8 points, or no time between them
Result<LogFit> fit_tightness_log(const std::vector<PressureSample>& samples, double u_barometer);

/// Verdict by the interval: all of it a loss, losing; none or part of it, tight within what this
/// test can see; all of it a gain, or less than a day with a swing in it, cannot tell.
TightnessVerdict judge_log(const LogFit& fit, std::string& because);

}  // namespace cw::field
