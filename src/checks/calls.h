#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// Whether an indoor unit asks for heat or cold, and since when.
struct CallTrack {
  enum class State : std::uint8_t { unknown, no, yes };
  std::vector<State> state;  ///< [n_time]
  std::vector<Instant>
      since;                ///< [n_time] start of the present call; the recording's start if before
  std::vector<bool> began;  ///< [n_time] the start of the present call is in the log
  std::string source;       ///< "call flag", "set point", "the only unit"; empty when unknown
};

/// Follows the calls of one indoor unit: its call flags; else its controlled temperature against
/// its set point with a band, on the side that the machine works on; else, for the only unit of a
/// system, the compressor. A unit that is switched off does not call.
CallTrack track_calls(const CheckContext& context, const Place& unit);

/// The calls of every unit of a recording, worked out once and kept as stretches: checks ask for
/// them again and again, and a season of samples would fill the memory.
class CallBook {
 public:
  explicit CallBook(const CheckContext& context);

  /// As track_calls; the unit must be an indoor unit of the recording.
  CallTrack track(const Recording& recording, const Place& unit) const;
  /// As anyone_calls and calls_are_logged.
  const std::vector<bool>& anyone() const { return anyone_; }
  bool logged() const { return logged_; }

 private:
  struct Run {
    std::size_t first = 0;
    CallTrack::State state = CallTrack::State::unknown;
  };
  struct Unit {
    std::vector<Run> runs;
    std::string source;
  };
  std::map<std::string, Unit, std::less<>> units_;
  std::vector<bool> anyone_;
  bool logged_ = false;
};

/// Does the log show the calls of at least one unit?
bool calls_are_logged(const CheckContext& context);

/// Is any unit calling? Unknown units count as calling while a compressor runs: it runs for
/// somebody. [n_time]
std::vector<bool> anyone_calls(const CheckContext& context);

/// Takes from a mask the time in which the unit does not call, and pauses the first `settle` [s] of
/// a call whose start is in the log.
void keep_calling(const CheckContext& context, const CallTrack& calls, double settle,
                  std::vector<Mask>& masks);

}  // namespace cw
