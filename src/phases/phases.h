#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/reader.h"
#include "series/recording.h"

namespace cw {

/// What a machine was doing.
enum class PhaseKind : std::uint8_t {
  off,         ///< no compressor runs
  starting,    ///< the first minutes after a compressor start
  heating,     ///< steady heating
  cooling,     ///< steady cooling
  mixed,       ///< heating and cooling at once (heat recovery)
  defrost,     ///< the outdoor coil is being thawed
  recovering,  ///< the first minutes after a defrost
  unknown,     ///< the log does not show it, or has a gap
};

std::string_view name_of(PhaseKind kind) noexcept;

/// A stretch of time in one phase: from `start` up to `end`.
struct Phase {
  PhaseKind kind = PhaseKind::unknown;
  Instant start;
  Instant end;
  std::string why;  ///< the evidence in plain words
};

/// What work a timeline shows.
struct Work {
  bool heats = false;  ///< heating, or a defrost
  bool cools = false;
  bool mixes = false;  ///< heating and cooling at once
};

/// The phases of one outdoor module, or of the whole system.
struct Timeline {
  Place place;
  std::vector<Phase> phases;       ///< in order, without holes or overlaps
  std::vector<PhaseKind> kind_at;  ///< [n_time]
  bool heats = false;              ///< heats somewhere, were it only in the first minutes of a run
  bool cools = false;              ///< cools somewhere, likewise
  bool inferred_mode = false;      ///< heating or cooling was worked out, not logged
  bool inferred_defrost = false;   ///< defrosts were worked out, not logged

  /// The work of its phases; where none of them is steady, that of the first minutes of its runs.
  Work work() const;
};

/// One defrost of one module with what the coil did around it. Temperatures [K], missing = NaN.
struct Defrost {
  Place place;
  Instant start;
  Instant end;
  bool complete = false;             ///< its end is in the log
  std::optional<double> since_last;  ///< from the end of the last defrost to this start [s]
  double coil_before = 0.0;          ///< median over the 5 min before
  double coil_peak = 0.0;            ///< highest during it and the minute after
  double coil_after = 0.0;           ///< median from 10 to 20 min after its end
  double outdoor_before = 0.0;       ///< outdoor temperature, median over the 5 min before
  double outdoor_after = 0.0;        ///< outdoor temperature from 10 to 20 min after
};

struct PhaseOptions {
  double starting = 600.0;               ///< length of the starting phase [s]
  double recovering = 600.0;             ///< length of the recovering phase [s]
  std::optional<PhaseKind> stated_mode;  ///< heating or cooling, where the person knows it
  Reader reader = Reader::command_line;  ///< of notes that say what can be done
};

struct Phases {
  Timeline system;
  std::vector<Timeline> modules;  ///< one for each outdoor module
  std::vector<Defrost> defrosts;  ///< by start
  std::vector<std::string> notes;

  /// The timeline of the module that a place belongs to; the system's for any other place.
  const Timeline& timeline_of(const Place& place) const;
};

/// Outdoor temperature for a module: its own sensor, else the site's or the system's, else that of
/// any module. Null when there is none.
const Channel* outdoor_temperature_of(const Recording& recording, const Place& module);

/// Cuts a recording, with its derived channels, into phases.
///
/// Flags of the log rule where it has them (mode, defrost, reversing_valve, compressor_on).
/// Elsewhere the physics decides: a compressor runs when its frequency, load, power or current says
/// so; an outdoor coil colder than the outdoor air is heating, one warmer is cooling or defrosting;
/// an indoor coil warmer than its room is heating, one colder is not. A spell of the cooling sort
/// of 20 min or less inside a heating run is a defrost. Stops of up to 3 min beside a defrost
/// belong to it.
///
/// Thread-safe; allocates.
Phases find_phases(const Recording& recording, const PhaseOptions& options);

}  // namespace cw
