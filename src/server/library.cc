#include "server/library.h"

#include <algorithm>

#include "report/check_case.h"
#include "series/pyramid.h"
#include "server/limits.h"
#include "server/memory.h"
#include "server/sheets.h"

namespace cw::server {
namespace {

/// What a case asks of reading and judging.
struct Asked {
  CaseOptions options;  ///< everything but the shelf; the judging's sheet points nowhere yet
  std::optional<System> system;
};

void tell(Job* job, CaseOptions& options) {
  if (job == nullptr) return;
  options.import.progress = [job, rate = Rate()](const ImportProgress& p) {
    const double share =
        p.total == 0 ? -1.0 : static_cast<double>(p.read) / static_cast<double>(p.total);
    job->progress(share, "reading " + p.file, rate(p.read));
  };
  options.judge.progress = [job](std::string_view step, std::size_t done, std::size_t total) {
    const double share = total == 0 ? -1.0 : static_cast<double>(done) / static_cast<double>(total);
    job->progress(share, "judging: " + std::string(step));
  };
}

Result<Asked> asked_of(const Case& files, Watch watch) {
  const Result<LimitSheet> limits = limits_of(files.said);
  if (!limits) return limits.error();
  Result<CaseOptions> options = read_case(files.said.words, *limits, UnitSystem::si, Reader::page);
  if (!options) return options.error();
  Asked out{std::move(*options), std::nullopt};
  if (!files.map.empty()) {
    Result<ChannelMap> map = parse_channel_map(files.map, "map");
    if (!map) return map.error();
    out.options.import.maps.push_back(std::move(*map));
  }
  if (!files.sheet.empty()) {
    Result<System> system = system_of(files.sheet);
    if (!system) return system.error();
    out.system = std::move(*system);
    fill_from_sheet(*out.system, files.said.words, out.options.import, out.options.judge);
  }
  const Status one = settle_refrigerant(files.said.words, out.system ? &*out.system : nullptr,
                                        out.options.import.maps, out.options.judge);
  if (!one) return one.error();
  out.options.import.names = files.names;
  out.options.import.skip_unreadable = true;
  out.options.import.stop = out.options.judge.stop = [watch] { return watch.stopped(); };
  tell(watch.job, out.options);
  return out;
}

/// Of the verdict's time lines and the time axis: what each unit system has of its own.
std::size_t memory_beside(const Recording& recording) { return 64 * recording.size(); }

std::size_t memory_of(const Recording& recording) {
  // Column and pyramid (2.5 %).
  const double cells =
      static_cast<double>(recording.size()) * static_cast<double>(recording.channels.size());
  return static_cast<std::size_t>(4.2 * cells) + memory_beside(recording);
}

}  // namespace

Error stopped() { return {ErrorCode::invalid_argument, "stopped", "", ""}; }

Case case_of(const StoredRecording& recording) {
  return {recording.paths, recording.file_names(), recording.said, recording.map, recording.sheet};
}

Case case_of(const Intake& intake) {
  Case out{intake.paths, {}, intake.said, intake.map, intake.sheet};
  for (const StoredFile& file : intake.files) out.names.push_back(file.name);
  return out;
}

Result<std::shared_ptr<const Opened>> open_case(const Case& files,
                                                const std::filesystem::path& shelf, Watch watch) {
  Result<Asked> asked = asked_of(files, watch);
  if (!asked) return asked.error();
  CaseOptions& options = asked->options;
  options.import.shelf = shelf;
  if (asked->system) options.judge.system = &*asked->system;
  Result<Import> import = import_recordings(files.paths, options.import);
  if (!import) return import.error();
  Result<Judgement> judgement = judge(std::move(import->recording), options.judge);
  if (!judgement) return judgement.error();
  if (watch.job != nullptr) watch.job->progress(-1.0, "preparing the plots");
  add_pyramids(judgement->recording);
  // The same columns serve the sentences of both unit systems.
  for (Channel& channel : judgement->recording.channels) channel.values.share();
  auto calls = std::make_shared<const CallBook>(context_of(*judgement, UnitSystem::si));
  const std::size_t bytes = memory_of(judgement->recording);
  return std::make_shared<const Opened>(Opened{std::make_shared<const Import>(std::move(*import)),
                                               std::move(*judgement), std::move(calls),
                                               UnitSystem::si, bytes});
}

Result<std::shared_ptr<const Opened>> in_units(const Opened& opened, UnitSystem units,
                                               Watch watch) {
  auto out = std::make_shared<Opened>(opened);
  out->units = units;
  out->bytes = memory_beside(opened.recording());
  JudgeOptions options;
  options.units = units;
  options.stop = [&] { return watch.stopped(); };
  if (watch.job != nullptr) {
    options.progress = [job = watch.job](std::string_view step, std::size_t done,
                                         std::size_t total) {
      job->progress(static_cast<double>(done) / static_cast<double>(total),
                    "in other units: " + std::string(step));
    };
  }
  Result<std::vector<Finding>> findings = findings_in(out->judgement, *out->calls, options);
  if (!findings) return findings.error();
  out->judgement.findings = std::move(*findings);
  return std::shared_ptr<const Opened>(std::move(out));
}

Result<Import> survey_case(const Case& files, Watch watch) {
  Result<Asked> asked = asked_of(files, watch);
  if (!asked) return asked.error();
  asked->options.import.survey = true;
  return import_recordings(files.paths, asked->options.import);
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

Library::Slot* Library::find(const std::string& key) {
  const auto found =
      std::find_if(slots_.begin(), slots_.end(), [&](const Slot& slot) { return slot.key == key; });
  if (found == slots_.end()) return nullptr;
  slots_.splice(slots_.begin(), slots_, found);
  return &slots_.front();
}

Library::Held Library::held() {
  const std::lock_guard lock(mutex_);
  Held out;
  for (const Slot& slot : slots_) {
    ++out.count;
    out.bytes += slot.bytes();
  }
  return out;
}

std::list<Library::Slot> Library::keep_to_bounds() {
  std::list<Slot> gone;
  std::size_t bytes = 0;
  std::size_t count = 0;
  for (auto it = slots_.begin(); it != slots_.end();) {
    const auto next = std::next(it);
    bytes += it->bytes();
    ++count;
    const bool goes = count > 1 && (count > bounds_.count || bytes > bounds_.bytes);
    if (goes) gone.splice(gone.end(), slots_, it);
    it = next;
  }
  return gone;
}

std::list<Library::Slot> Library::hold(const std::string& key,
                                       std::shared_ptr<const Opened> opened) {
  if (find(key) != nullptr) return {};
  slots_.push_front({key, std::move(opened), nullptr});
  return keep_to_bounds();
}

void Library::end(std::list<Slot> gone) {
  if (gone.empty()) return;
  gone.clear();
  give_memory_back();
}

void Library::add(const StoredRecording& stored, std::shared_ptr<const Opened> opened) {
  const std::string key = stored.id + stored.fingerprint();
  std::list<Slot> gone;
  {
    const std::lock_guard lock(mutex_);
    gone = hold(key, std::move(opened));
  }
  end(std::move(gone));
}

/// In SI; whoever comes while it is read waits for the one that reads it.
Library::Found Library::open_once(const StoredRecording& stored, const std::string& key,
                                  Watch watch) {
  std::promise<Found> promise;
  std::shared_future<Found> waiting;
  {
    const std::lock_guard lock(mutex_);
    if (const Slot* slot = find(key)) return slot->opened;
    const auto found = opening_.find(key);
    if (found != opening_.end()) {
      waiting = found->second;
    } else {
      opening_[key] = promise.get_future().share();
    }
  }
  if (waiting.valid()) {
    Found other = waiting.get();
    // Nothing: whoever opened it was told to end. That is no answer to this one.
    if (!other || *other != nullptr) return other;
    return open_once(stored, key, watch);
  }
  Found opened = Error{ErrorCode::inconsistent, "the recording could not be opened", stored.id, ""};
  try {
    opened = open_case(case_of(stored), store_.shelf(), watch);
  } catch (const std::exception&) {
    opened = Error{ErrorCode::inconsistent, "the program failed at this recording", stored.id,
                   "Is there enough memory?"};
  }
  std::list<Slot> gone;
  {
    const std::lock_guard lock(mutex_);
    opening_.erase(key);
    if (opened) gone = hold(key, *opened);
  }
  promise.set_value(!opened && watch.stopped() ? Found(nullptr) : opened);
  end(std::move(gone));
  return opened;
}

Library::Found Library::open(const std::string& id, std::optional<UnitSystem> units, Watch watch) {
  const Result<StoredRecording> stored = store_.recording(id);
  if (!stored) return stored.error();
  const std::string print = stored->fingerprint();
  const std::string key = id + print;
  Found opened = open_once(*stored, key, watch);
  if (!opened) return opened;
  if (!stored->summary || stored->summary->of != print) {
    // For lists only: that it cannot be written spoils nothing.
    (void)store_.set_summary(id, summary_of(**opened, print));
  }
  if (units.value_or(UnitSystem::si) == UnitSystem::si) return opened;
  const std::lock_guard words(wording_);
  {
    const std::lock_guard lock(mutex_);
    if (const Slot* slot = find(key); slot != nullptr && slot->in_pounds) return slot->in_pounds;
  }
  Found worded = in_units(**opened, *units, watch);
  if (!worded) return worded;
  std::list<Slot> gone;
  {
    const std::lock_guard lock(mutex_);
    if (Slot* slot = find(key)) {
      slot->in_pounds = *worded;
      gone = keep_to_bounds();
    }
  }
  end(std::move(gone));
  return worded;
}

}  // namespace cw::server
