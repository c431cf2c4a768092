#include "server/diagnoses.h"

#include <algorithm>
#include <chrono>

#include "diagnose/diagnose.h"
#include "report/check_case.h"
#include "report/diagnose_report.h"

namespace cw::server {
namespace {

constexpr std::size_t kept = 16;  // own choice: some 30 kB each

}  // namespace

Library::Found Diagnoses::open_sound(const std::string& id, const StoredRecording& now,
                                     Watch watch) {
  if (id == now.id) {
    return Error{ErrorCode::invalid_argument, "a recording was to be compared with itself", "sound",
                 "Choose a recording from when the machine was sound"};
  }
  const Result<StoredRecording> stored = store_.recording(id);
  if (!stored) return stored.error();
  // The same machine: what its sheet says holds for the earlier recording, too.
  if (stored->sheet == now.sheet) return library_.open(id, std::nullopt, watch);
  Case files = case_of(*stored);
  files.sheet = now.sheet;
  return open_case(files, store_.shelf(), watch);
}

Result<Diagnoses::Made> Diagnoses::make(const Work& work, Watch watch) {
  const StoredRecording& now = work.now;
  const Library::Found opened = library_.open(now.id, std::nullopt, watch);
  if (!opened) return opened.error();
  const Judgement& judgement = (*opened)->judgement;
  if (judgement.system) {
    const Status same = same_refrigerant(*judgement.system, judgement.refrigerant,
                                         "what was said of the recording", "refrigerant");
    if (!same) return same.error();
  }
  diagnose::DiagnoseOptions options;
  std::shared_ptr<const Opened> before;
  options.days = work.days;
  if (!work.sound.empty()) {
    const Library::Found found = open_sound(work.sound, now, watch);
    if (!found) return found.error();
    before = *found;
    options.sound = &before->judgement;
  }
  if (watch.stopped()) return stopped();
  options.stop = [watch] { return watch.stopped(); };
  options.progress = [job = watch.job](std::string_view step) {
    if (job != nullptr) job->progress(-1.0, "causes: " + std::string(step));
  };
  const System* system = judgement.system ? &*judgement.system : nullptr;
  const auto diagnosis = diagnose::diagnose(judgement, system, options);
  if (!diagnosis) return diagnosis.error();
  return Made{"", diagnose_json({judgement, *diagnosis, UnitSystem::si}),
              diagnose_json({judgement, *diagnosis, UnitSystem::ip})};
}

const Diagnoses::Made* Diagnoses::find(const std::string& key) {
  const auto found =
      std::find_if(made_.begin(), made_.end(), [&](const Made& m) { return m.key == key; });
  if (found == made_.end()) return nullptr;
  made_.splice(made_.begin(), made_, found);
  return &made_.front();
}

/// Makes it, for all who wait for it; kept for whoever asks again.
Result<Diagnoses::Made> Diagnoses::make_once(const Work& work, const std::string& key,
                                             Watch watch) {
  Result<Made> made = Error{ErrorCode::inconsistent, "the program failed at this recording",
                            work.now.id, "Is there enough memory?"};
  try {
    made = make(work, watch);
  } catch (const std::exception&) {
    // As it stands.
  }
  const std::lock_guard lock(mutex_);
  if (made) {
    made->key = key;
    made_.push_front(*made);
    if (made_.size() > kept) made_.pop_back();
  }
  making_.erase(key);
  return made;
}

Result<std::string> Diagnoses::json(const Question& question, UnitSystem units, Watch watch) {
  const Result<StoredRecording> now = store_.recording(question.recording);
  if (!now) return now.error();
  const Result<twin::DesignDays> days =
      read_design_days(question.coldest, question.hottest, Reader::page);
  if (!days) return days.error();
  std::string key = now->id + now->fingerprint() + " " + std::to_string(days->coldest_K) + " " +
                    std::to_string(days->hottest_K) + " ";
  if (!question.sound.empty()) {
    const Result<StoredRecording> sound = store_.recording(question.sound);
    if (!sound) return sound.error();
    key += sound->id + sound->fingerprint();
  }
  std::promise<void> done;
  for (;;) {
    std::shared_future<void> other;
    {
      const std::lock_guard lock(mutex_);
      if (const Made* made = find(key)) return made->in(units);
      const auto found = making_.find(key);
      if (found == making_.end()) {
        making_[key] = done.get_future().share();
        break;
      }
      other = found->second;
    }
    // Somebody else works on it. If that was ended, it is this one's turn.
    while (other.wait_for(std::chrono::milliseconds(50)) != std::future_status::ready) {
      if (watch.stopped()) return stopped();
    }
  }
  const Result<Made> made = make_once({*now, question.sound, *days}, key, watch);
  done.set_value();
  if (!made) return made.error();
  if (watch.stopped()) return stopped();
  return made->in(units);
}

}  // namespace cw::server
