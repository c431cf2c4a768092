#include "server/library.h"

#include <algorithm>

#include "report/check_case.h"
#include "series/pyramid.h"
#include "server/limits.h"

namespace cw::server {
namespace {

const char* text_of(UnitSystem units) { return units == UnitSystem::si ? "si" : "ip"; }

/// Everything but the shelf.
Result<CaseOptions> options_of(const Case& files, UnitSystem units, Watch watch) {
  const Result<LimitSheet> limits = limits_of(files.said);
  if (!limits) return limits.error();
  Result<CaseOptions> out = read_case(files.said.words, *limits, units);
  if (!out) return out;
  if (!files.map.empty()) {
    Result<ChannelMap> map = parse_channel_map(files.map, "map");
    if (!map) return map.error();
    out->import.maps.push_back(std::move(*map));
  }
  out->import.names = files.names;
  out->import.skip_unreadable = true;
  out->import.stop = out->judge.stop = [watch] { return watch.stopped(); };
  if (Job* const job = watch.job; job != nullptr) {
    out->import.progress = [job, rate = Rate()](const ImportProgress& p) {
      const double share =
          p.total == 0 ? -1.0 : static_cast<double>(p.read) / static_cast<double>(p.total);
      job->progress(share, "reading " + p.file, rate(p.read));
    };
    out->judge.progress = [job](std::string_view step, std::size_t done, std::size_t total) {
      const double share =
          total == 0 ? -1.0 : static_cast<double>(done) / static_cast<double>(total);
      job->progress(share, "judging: " + std::string(step));
    };
  }
  return out;
}

std::size_t memory_of(const Recording& recording) {
  // Column, pyramid (2.5 %) and the verdict's timelines.
  const double cells =
      static_cast<double>(recording.size()) * static_cast<double>(recording.channels.size());
  return static_cast<std::size_t>(4.2 * cells) + 64 * recording.size();
}

}  // namespace

Case case_of(const StoredRecording& recording) {
  return {recording.paths, recording.file_names(), recording.said, recording.map};
}

Case case_of(const Intake& intake) {
  Case out{intake.paths, {}, intake.said, intake.map};
  for (const StoredFile& file : intake.files) out.names.push_back(file.name);
  return out;
}

Result<std::shared_ptr<const Opened>> open_case(const Case& files, UnitSystem units,
                                                const std::filesystem::path& shelf, Watch watch) {
  Result<CaseOptions> options = options_of(files, units, watch);
  if (!options) return options.error();
  options->import.shelf = shelf;
  Result<Import> import = import_recordings(files.paths, options->import);
  if (!import) return import.error();
  Result<Judgement> judgement = judge(std::move(import->recording), options->judge);
  if (!judgement) return judgement.error();
  if (watch.job != nullptr) watch.job->progress(-1.0, "preparing the plots");
  add_pyramids(judgement->recording);
  auto calls = std::make_unique<const CallBook>(context_of(*judgement, units));
  const std::size_t bytes = memory_of(judgement->recording);
  return std::make_shared<const Opened>(
      Opened{std::move(*import), std::move(*judgement), std::move(calls), units, bytes});
}

Result<Import> survey_case(const Case& files, Watch watch) {
  Result<CaseOptions> options = options_of(files, UnitSystem::si, watch);
  if (!options) return options.error();
  options->import.survey = true;
  return import_recordings(files.paths, options->import);
}

Summary summary_of(const Opened& opened, std::string fingerprint) {
  const Recording& recording = opened.recording();
  Summary out;
  out.verdict = name_of(opened.judgement.verdict);
  out.healthy = answer(opened.report()).healthy;
  if (recording.size() > 0) {
    out.start_ms = recording.time.front().ms;
    out.end_ms = recording.time.back().ms;
  }
  out.rows = recording.size();
  out.channels = recording.channels.size();
  out.of = std::move(fingerprint);
  return out;
}

std::shared_ptr<const Opened> Library::held(const std::string& key) {
  const auto found =
      std::find_if(slots_.begin(), slots_.end(), [&](const Slot& slot) { return slot.key == key; });
  if (found == slots_.end()) return nullptr;
  slots_.splice(slots_.begin(), slots_, found);
  return found->opened;
}

void Library::hold(const std::string& key, std::shared_ptr<const Opened> opened) {
  if (held(key) != nullptr) return;
  slots_.push_front({key, std::move(opened)});
  std::size_t bytes = 0;
  std::size_t count = 0;
  for (auto it = slots_.begin(); it != slots_.end();) {
    bytes += it->opened->bytes;
    ++count;
    const bool goes = count > 1 && (count > bounds_.count || bytes > bounds_.bytes);
    it = goes ? slots_.erase(it) : std::next(it);
  }
}

void Library::add(const StoredRecording& stored, std::shared_ptr<const Opened> opened) {
  const std::string key = stored.id + stored.fingerprint() + text_of(opened->units);
  const std::lock_guard lock(mutex_);
  hold(key, std::move(opened));
}

Library::Found Library::open(const std::string& id, std::optional<UnitSystem> units, Watch watch) {
  const Result<StoredRecording> stored = store_.recording(id);
  if (!stored) return stored.error();
  const std::string print = stored->fingerprint();
  std::promise<Found> promise;
  std::shared_future<Found> waiting;
  const UnitSystem wanted = units.value_or(UnitSystem::si);
  const std::string key = id + print + text_of(wanted);
  {
    const std::lock_guard lock(mutex_);
    if (auto opened = held(key)) return opened;
    if (!units) {
      if (auto opened = held(id + print + text_of(UnitSystem::ip))) return opened;
    }
    const auto found = opening_.find(key);
    if (found != opening_.end()) {
      waiting = found->second;
    } else {
      opening_[key] = promise.get_future().share();
    }
  }
  if (waiting.valid()) return waiting.get();
  Found opened = Error{ErrorCode::inconsistent, "the recording could not be opened", id, ""};
  try {
    opened = open_case(case_of(*stored), wanted, store_.shelf(), watch);
  } catch (const std::exception&) {
    opened = Error{ErrorCode::inconsistent, "the program failed at this recording", id,
                   "Is there enough memory?"};
  }
  {
    const std::lock_guard lock(mutex_);
    opening_.erase(key);
    if (opened) hold(key, *opened);
  }
  promise.set_value(opened);
  if (opened && (!stored->summary || stored->summary->of != print)) {
    // For lists only: that it cannot be written spoils nothing.
    (void)store_.set_summary(id, summary_of(**opened, print));
  }
  return opened;
}

}  // namespace cw::server
