#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "diagnose/cause_kinds.h"
#include "diagnose/moments.h"
#include "diagnose/traits.h"
#include "twin/twin.h"

/// What the twin says to the moments of a recording: healthy, with each cause, and with itself bent
/// within what one does not know of it.
namespace cw::diagnose {

/// A cause at a place, calculated.
struct Calculated {
  const CauseKind* kind = nullptr;
  std::size_t index = 0;   ///< of the module or unit; 0 for the system
  std::string place;       ///< "outdoor.1", "system"
  std::size_t places = 1;  ///< where a cause of this kind could sit, calculated or not
  /// [n_knot] severities that could be calculated at every moment where the cause can be seen.
  std::vector<double> severity;
  std::vector<std::vector<double>> change;  ///< [n_knot][n_moment * n_feature]; nan: not there
  std::array<std::size_t, 2> reached{};     ///< severities found above and below nothing
  bool stretched = false;  ///< the largest severities are stretched from the last that was found
  std::string why_not;     ///< why a severity could not be calculated
};

struct TwinSide {
  /// Those of the given ones that the twin could follow; those of a sound recording come last.
  std::vector<std::size_t> moments;
  std::size_t present = 0;                   ///< how many of them are of the recording itself
  std::vector<std::vector<double>> healthy;  ///< [n_moment][n_feature] scaled
  std::vector<twin::State> states;           ///< [n_moment] healthy
  /// [n_mode][n_moment * n_feature] change of the prediction when one thing that one does not know
  /// of the machine is off by a sigma.
  std::vector<std::vector<double>> modes;
  std::vector<std::string> mode_names;
  std::vector<Calculated> causes;
  std::vector<std::string> notes;  ///< sentences: what could not be calculated
};

/// @param moments  those of a sound recording last; at them no cause acts but the little that a
/// sound
///                machine may have
/// @param stop  may be empty; asked between two states, by several threads; true ends the work
/// @error as make_model; no_convergence when the twin could follow no moment of the recording
/// itself;
///        invalid_argument  stopped by `stop`
Result<TwinSide> ask_twin(const System& system, const twin::Parameters& parameters,
                          const std::vector<Feature>& features, const std::vector<Moment>& moments,
                          const std::function<bool()>& stop = {});
/// What a diagnosis that was stopped ends with.
Error stopped_error();

/// The state with a cause at a severity at a moment. Empty when the twin finds none.
struct Solved {
  twin::State state;
  twin::Insight insight;
  twin::Inventory inventory;
  twin::Readings readings;
};
/// @param near  only the direct solve from `from`, which takes milliseconds; the search that else
///              follows takes seconds on a large machine
std::optional<Solved> solve_setting(const twin::Model& model, const twin::State& from,
                                    const Setting& setting, const twin::Orders& orders,
                                    double room_K, bool near = false);
/// A setting without a fault, for a moment's weather.
Setting healthy_setting(const System& system, const twin::Weather& weather);
/// The site of a calculated cause.
CauseSite site_of(const System& system, const TwinSide& side, const std::vector<Feature>& features,
                  const CauseKind& kind, std::size_t index);

}  // namespace cw::diagnose
