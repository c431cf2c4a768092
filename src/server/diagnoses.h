#pragma once

#include <future>
#include <list>
#include <map>
#include <mutex>
#include <optional>
#include <string>

#include "base/unit_text.h"
#include "server/library.h"
#include "twin/design_days.h"

namespace cw::server {

/// Diagnoses of recordings, as `coilwright diagnose` makes them; the last ones are kept, since one
/// takes seconds and its words are asked for in two unit systems. Thread-safe.
class Diagnoses {
 public:
  Diagnoses(Store& store, Library& library) : store_(store), library_(library) {}

  struct Question {
    std::string recording;
    std::string sound;  ///< id of a recording of the same machine when it was sound; may be empty
    std::optional<std::string> coldest;  ///< design days as typed behind --coldest
    std::optional<std::string> hottest;  ///< and --hottest
  };
  /// The bytes of `diagnose --json`. The recording's own system sheet is `--system`, for the sound
  /// recording too. Who asks while it is made waits for the same. Ends within a step of the work
  /// when it is stopped; the twin's part is one step.
  /// @error not_found; invalid_argument  another refrigerant than the sheet's was said, a recording
  ///        is compared with itself, stopped; as read_design_days, Library::open and diagnose
  Result<std::string> json(const Question& question, UnitSystem units, Watch watch);

 private:
  struct Made {
    std::string key;  // of the recordings and all that was said of them
    std::string si, inch_pound;
    const std::string& in(UnitSystem units) const {
      return units == UnitSystem::si ? si : inch_pound;
    }
  };
  const Made* find(const std::string& key);  // null, or the latest used one now
  struct Work {
    const StoredRecording& now;
    std::string sound;
    twin::DesignDays days;
  };
  Result<Made> make_once(const Work& work, const std::string& key, Watch watch);
  Result<Made> make(const Work& work, Watch watch);
  Library::Found open_sound(const std::string& id, const StoredRecording& now, Watch watch);

  Store& store_;
  Library& library_;
  std::mutex mutex_;
  std::list<Made> made_;  // latest used first
  std::map<std::string, std::shared_future<void>> making_;
};

}  // namespace cw::server
