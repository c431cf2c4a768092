#pragma once

#include <atomic>
#include <cstdint>
#include <future>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "checks/calls.h"
#include "checks/judgement.h"
#include "ingest/import.h"
#include "report/check_report.h"
#include "server/jobs.h"
#include "server/store.h"

namespace cw::server {

/// A recording that is read and judged; constant, so that any number of requests may look at it.
struct Opened {
  std::shared_ptr<const Import> import;   ///< never null; its recording is in the judgement
  Judgement judgement;                    ///< every channel with its pyramid
  std::shared_ptr<const CallBook> calls;  ///< never null
  UnitSystem units = UnitSystem::si;      ///< of its sentences
  std::size_t bytes = 0;                  ///< of memory, about

  /// Printed on the paper of the units, as the command line does.
  CheckReport report() const { return {*import, judgement, units, usual_paper(units)}; }
  const Recording& recording() const { return judgement.recording; }
};

/// Who follows a piece of work, and who may end it.
struct Watch {
  Job* job = nullptr;                         ///< told how far it is; may be null
  const std::atomic<bool>* ending = nullptr;  ///< the server ends; may be null

  bool stopped() const { return (job != nullptr && job->stopped()) || (ending && *ending); }
};

/// What a piece of work that was ended ends with.
Error stopped();

/// The files of a case and what was said of them.
struct Case {
  std::vector<std::filesystem::path> paths;
  std::vector<std::string> names;
  StoredWords said;
  std::string map;    ///< TOML; may be empty
  std::string sheet;  ///< TOML of the system sheet; may be empty
};
Case case_of(const StoredRecording& recording);
Case case_of(const Intake& intake);

/// Reads and judges, as `coilwright check` does with these files (and `--system`, with a sheet);
/// sentences in SI.
/// @param shelf  where recordings are kept read
/// @error as read_channel_map, read_case, system_of, import_recordings, judge
Result<std::shared_ptr<const Opened>> open_case(const Case& files,
                                                const std::filesystem::path& shelf, Watch watch);

/// The same judgement with its sentences in other units: no file is read again and no column is
/// copied, the checks alone run again.
/// @error invalid_argument  stopped
Result<std::shared_ptr<const Opened>> in_units(const Opened& opened, UnitSystem units, Watch watch);

/// Reads as `coilwright inspect` does. @error as import_recordings
Result<Import> survey_case(const Case& files, Watch watch);

Summary summary_of(const Opened& opened, std::string fingerprint);

/// The recordings that are open: each is read once whoever asks, and the longest unused one goes
/// when they are too many or take too much memory. Thread-safe.
class Library {
 public:
  struct Bounds {
    std::size_t count = 6;                      ///< own choice
    std::size_t bytes = std::size_t{1} << 30U;  ///< of memory; one is always held
  };
  explicit Library(Store& store) : Library(store, Bounds{}) {}
  Library(Store& store, const Bounds& bounds) : store_(store), bounds_(bounds) {}

  using Found = Result<std::shared_ptr<const Opened>>;
  /// @param units  of its sentences; nothing: any, for what has no sentences
  /// @error not_found; as open_case
  Found open(const std::string& id, std::optional<UnitSystem> units, Watch watch = {});
  struct Held {
    std::size_t count = 0;
    std::size_t bytes = 0;  ///< of memory, about
  };
  Held held();
  /// Puts in what has been opened already.
  void add(const StoredRecording& stored, std::shared_ptr<const Opened> opened);

 private:
  struct Slot {
    std::string key;                          // of the recording and all that was said of it
    std::shared_ptr<const Opened> opened;     // in SI
    std::shared_ptr<const Opened> in_pounds;  // null until somebody asks
    std::size_t bytes() const { return opened->bytes + (in_pounds ? in_pounds->bytes : 0); }
  };
  Slot* find(const std::string& key);  // null, or the latest used one now
  [[nodiscard]] std::list<Slot> hold(const std::string& key, std::shared_ptr<const Opened> opened);
  /// What goes, for the caller to end outside of the lock.
  [[nodiscard]] std::list<Slot> keep_to_bounds();
  static void end(std::list<Slot> gone);
  Found open_once(const StoredRecording& stored, const std::string& key, Watch watch);

  Store& store_;
  const Bounds bounds_;
  std::mutex wording_;  // one recording is put into other units at a time; taken before mutex_
  std::mutex mutex_;
  std::list<Slot> slots_;  // latest used first
  // A null is for those who wait: who opened it was told to end, and it is another one's turn.
  std::map<std::string, std::shared_future<Found>> opening_;
};

}  // namespace cw::server
