#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/instant.h"
#include "scenario/fault_kinds.h"
#include "scenario/logger.h"
#include "scenario/schedule.h"
#include "scenario/weather.h"
#include "system/system.h"

/// Scenarios: a system, its weather, what people ask of it, what is wrong with it, and who records
/// it. Written by people as TOML (docs/user/simulate.md). Times are seconds after the start of the
/// recording, negative in the warm-up.
namespace cw::scenario {

/// How the machine as a whole is told what to do.
struct PlantRule {
  bool cooling = false;
  /// Above this outdoor temperature the plant cools, below it heats; then `cooling` is not used.
  std::optional<double> change_over_K;
  double band_K = 2.0;  ///< whole width around the change-over temperature, own choice
};

/// A checked scenario. Immutable once read; thread-safe to read.
struct Scenario {
  std::string file;  ///< as errors call it
  std::string name;
  std::string note;
  std::string system_name;  ///< as the scenario gives it
  System system;
  Clock clock;
  Instant start;  ///< UTC where the clock is stated, else wall clock as if it were UTC
  double duration_s = 0.0;
  double warm_up_s = 0.0;
  double rooms_K = 293.15;  ///< every room when the machine has stood for long
  double charge_kg = 0.0;   ///< before faults of charge
  std::uint64_t seed = 1;
  WeatherCourse weather;
  PlantRule plant;
  Schedule schedule;
  std::vector<FaultEvent> faults;
  std::vector<LoggerSheet> loggers;
};

}  // namespace cw::scenario
