#pragma once

#include <string>
#include <vector>

#include "phases/phases.h"

namespace cw::detail {

/// What one sample shows of one module, before time is taken into account.
enum class Raw : std::uint8_t {
  unknown,    ///< nothing to judge by
  off,        ///< no compressor runs
  running,    ///< runs, heating or cooling is not shown
  heat,       ///< runs and heats
  reverse,    ///< runs the other way: cooling or a defrost
  warm_coil,  ///< the outdoor coil is warm while indoor coils stay hot: perhaps a defrost of one
              ///< module
  cool,       ///< the log says cooling
  mixed,      ///< the log says heating and cooling at once
  defrost,    ///< the log says defrost
};

struct Evidence {
  std::vector<Raw> raw;        ///< [n_time]
  std::vector<bool> both;      ///< [n_time] some indoor coils hot and others cold
  std::vector<bool> stopped;   ///< [n_time] the log shows that no compressor runs
  double step_limit = 0.0;     ///< a longer step of the time axis is a gap [s]
  std::string run_source;      ///< "compressor frequency"; empty when nothing shows it
  std::string heat_source;     ///< what tells heating from cooling
  std::string defrost_source;  ///< what tells a defrost; empty when nothing does
  bool inferred_mode = false;
  bool inferred_defrost = false;
};

/// Collects what each sample shows of `module`.
Evidence gather_evidence(const Recording& recording, const Place& module,
                         const PhaseOptions& options);

/// From raw evidence to phases of one module: spells, defrosts, start-up, recovery, gaps.
Timeline make_timeline(const Recording& recording, const Place& module, const Evidence& evidence,
                       const PhaseOptions& options);

/// The system's timeline out of its modules'.
Timeline combine_timelines(const Recording& recording, const std::vector<Timeline>& modules);

/// The defrosts in a module's timeline with the coil's temperatures around each.
std::vector<Defrost> list_defrosts(const Recording& recording, const Timeline& timeline);

}  // namespace cw::detail
