#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "cases.h"
#include "diagnose/diagnose.h"

namespace cw::faults {

/// A simulated recording on the disk, and what it cost.
struct Recorded {
  std::filesystem::path csv;
  double heat_W = 0.0, power_W = 0.0;  ///< means over the recording
  std::string failed;                  ///< why it could not be simulated
};

/// Simulates a case, or finds it in the cache (named by a hash of sheet and scenario).
Recorded record(const Base& base, const Case& c, double value, const std::filesystem::path& cache);

/// Probabilities of a case at one calibration temperature.
struct Answer {
  std::string case_name;
  double healthy = 0.0, unknown = 0.0;
  std::vector<std::pair<std::string, double>> causes;  ///< "undercharge@system", best first
  std::string unproven;
  bool sound_used = false;              ///< the sound machine's recording told something
  bool heating_questions_hold = false;  ///< the five of heating, judged and ok
  bool heating = false;
  std::vector<std::string> other_findings;  ///< ids of further checks with watch or fault
  double seconds = 0.0;
};

/// One answer for each temperature.
struct Answers {
  std::vector<Answer> alone;
  std::vector<Answer> with_sound;  ///< with a recording of the same machine from when it was sound
};

/// Imports and judges once, diagnoses twice.
Answers answer(const Base& base, const Recorded& recorded, const Recorded& sound,
               const std::vector<double>& temperatures);

/// The median of a channel of a recording; nan when it has none.
double median_of(const std::filesystem::path& csv, const std::string& place,
                 const std::string& quantity);

}  // namespace cw::faults
