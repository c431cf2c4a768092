#pragma once

#include <string>
#include <vector>

#include "run_case.h"

namespace cw::faults {

/// A case with all that is known of it.
struct Scored {
  const Case* c = nullptr;
  const Base* base = nullptr;
  double capacity_lost = 0.0;    ///< share, against the healthy twin of the same case
  double efficiency_lost = 0.0;  ///< share of heat over power
  std::string failed;            ///< not simulated
  std::vector<Answer> answers;   ///< by temperature
  /// The same with a recording of the sound machine.
  std::vector<Answer> with_sound;
  bool training = false;

  double cost() const { return std::max(capacity_lost, efficiency_lost); }
  bool healthy() const { return c->kind.empty(); }
};

struct Calibration {
  std::size_t temperature = 0;  ///< index
  double call_above = 0.2;      ///< a cause is named below this probability of no cause of the list
};

/// What came out of one case.
enum class Outcome { correct, no_response, false_alarm, misdiagnosis, missed };

/// From the training half: the temperature with the best logarithmic score, and the threshold with
/// the smallest sum of two shares, costly faults missed and healthy machines called faulty. That
/// both count alike is an own choice.
Calibration fit(const std::vector<Scored>& all, const std::vector<double>& temperatures);
/// The threshold alone, at a given temperature.
Calibration fit_threshold(const std::vector<Scored>& all, Calibration calibration);
Outcome outcome_of(const Scored& s, const Calibration& calibration);
/// The tables of a report, as Markdown. Of the systems that fitted nothing, or of all.
std::string report(const std::vector<Scored>& all, const Calibration& calibration,
                   const std::vector<double>& temperatures, bool all_systems = false);
/// What becomes of the trade's claim on the five heating questions, as Markdown.
std::string claim(const std::vector<Scored>& all, const Calibration& calibration);
/// Probability said against share that was right, as SVG; healthy cases and kinds of fault count as
/// much as the shares of data/causes.
std::string reliability_svg(const std::vector<Scored>& all, const Calibration& calibration);

}  // namespace cw::faults
