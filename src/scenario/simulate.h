#pragma once

#include <functional>
#include <string>
#include <vector>

#include "base/result.h"
#include "scenario/scenario.h"

/// Running a scenario.
namespace cw::scenario {

/// How far a run has come.
struct SimulateProgress {
  double done_s = 0.0, total_s = 0.0;  ///< simulated time, warm-up included
  double real_time_factor = 0.0;       ///< simulated over elapsed time
};

struct SimulateOptions {
  std::function<void(const SimulateProgress&)> progress;  ///< may be empty; called from this thread
  std::function<bool()> stop;  ///< may be empty; true ends the run with nothing to write
};

/// A stretch in which the machine did one thing.
struct Stretch {
  std::string what;  ///< an activity, or a module's place
  double from_s = 0.0, until_s = 0.0;
};

/// A file that a run gives, still in memory.
struct OutputFile {
  std::string name;
  std::string text;
  std::size_t rows = 0, columns = 0;  ///< of a recording; otherwise 0
};

struct Simulation {
  std::vector<OutputFile> files;  ///< recordings, maps, the system sheet and truth.json
  std::vector<Stretch> activities;
  std::vector<Stretch> defrosts;  ///< by module
  twin::Conservation conservation;
  double charge_at_start_kg = 0.0, charge_at_end_kg = 0.0;
  double real_time_factor = 0.0;
  int steps = 0;
  int forced_steps = 0;  ///< of them, see twin::Advance::forced
  std::vector<Assumption> assumptions;
};

/// Runs a scenario from standstill through the warm-up to its end. The same scenario gives the same
/// bytes on one computer, but for the line "real_time_factor" of truth.json; another processor's
/// maths library may round otherwise, which the twin's choice of steps then shows.
/// @error invalid_argument  stopped by SimulateOptions::stop
/// @error as the twin: a charge that does not fit, no convergence; with the time in the scenario
Result<Simulation> simulate(const Scenario& scenario, const SimulateOptions& options = {});

}  // namespace cw::scenario
