#pragma once

#include <string>
#include <vector>

#include "checks/judgement.h"
#include "diagnose/traits.h"
#include "twin/twin.h"

/// Stretches of the recording in which the machine stood still enough to be compared with a steady
/// state, and what was seen in them.
namespace cw::diagnose {

struct Moment {
  Instant start, end;
  PhaseKind kind = PhaseKind::heating;
  twin::Weather weather;
  twin::Orders orders;         ///< calls forced as the recording shows them
  double room_K = 293.15;      ///< mean of the calling units' rooms, by rated capacity
  double part_of_log = 0.0;    ///< 0 at the recording's beginning, 1 at its end
  bool sound = false;          ///< of an earlier recording, from when the machine was sound
  bool hurried = false;        ///< calls change so often that it had less time to settle
  double since_clean_s = 0.0;  ///< heating: since the last start or defrost; counted from half an
                               ///< hour before the recording where none was seen
  std::vector<double> seen;    ///< [n_feature] scaled (Feature::scaled); nan: not seen
  std::vector<double> noise;   ///< [n_feature] standard error of `seen`
  /// [n_feature] by how much the second half of the stretch lies above the first, scaled; 0: not
  /// seen. What moves is not yet where it will stay.
  std::vector<double> drift;
};

struct MomentOptions {
  std::size_t most = 2;     ///< more cost time and told little more (bench/faults)
  double settle_s = 480.0;  ///< left out after a unit began or stopped calling
  double shortest_s = 240.0;
  /// The same where no stretch is found so: machines whose calls change every few minutes.
  double hurried_settle_s = 240.0;
  double hurried_shortest_s = 120.0;
  double longest_s = 900.0;
};

/// Units that call in a moment.
std::size_t calling_units(const Moment& moment);

/// Whether a watch or a fault was seen at some time between these.
bool found_in(const Finding& finding, Instant start, Instant end);

/// The best stretches, spread over the recording. Empty when
/// there are none: `why` says so.
std::vector<Moment> find_moments(const Judgement& judgement, const System& system,
                                 const std::vector<Feature>& features, const MomentOptions& options,
                                 std::string& why);

}  // namespace cw::diagnose
