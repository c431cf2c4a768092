#include "server/store.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <ctime>

#include "base/file.h"
#include "base/instant.h"
#include "server/cards.h"
#include "server/gate.h"

namespace cw::server {
namespace {

namespace fs = std::filesystem;

Error system_error(const std::string& doing, int number) {
  return {
      ErrorCode::unreadable, doing + ": " + std::strerror(number), "the store's folder",
      number == ENOSPC ? "The disk is full: free some space" : "Check the folder's permissions"};
}

Error no_such(const std::string& what) {
  return {ErrorCode::not_found, "there is no such " + what, "", "It may have been removed"};
}

/// Flushes a file or folder, so that it is on the disk whatever happens next.
Status flush(const fs::path& path) {
  const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return system_error("cannot open to flush", errno);
  const int failed = ::fsync(file);
  const int reason = errno;
  ::close(file);
  // Some file systems cannot flush folders; there is nothing better to be had there.
  if (failed != 0 && reason != EINVAL && reason != EROFS) {
    return system_error("cannot flush to the disk", reason);
  }
  return Done{};
}

Status make_folder(const fs::path& path) {
  std::error_code error;
  fs::create_directories(path, error);
  if (error) {
    return Error{ErrorCode::unreadable, "cannot make the folder: " + error.message(), path.string(),
                 "Check the permissions, or name another folder with --folder"};
  }
  return Done{};
}

std::string now_text() {
  const std::int64_t seconds = static_cast<std::int64_t>(std::time(nullptr));
  const CivilTime civil = civil_of({seconds * 1000});
  char text[40];
  std::snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02dZ", civil.year, civil.month,
                civil.day, civil.hour, civil.minute, civil.second);
  return text;
}

bool is_id(const std::string& text) {
  return !text.empty() && text.size() <= 32 &&
         text.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789") == std::string::npos;
}

std::string text_in(const fs::path& path) { return read_file(path).value_or(std::string()); }

bool is_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const auto c = static_cast<unsigned char>(text[i]);
    const std::size_t more = c < 0x80   ? 0
                             : c < 0xC2 ? 9
                             : c < 0xE0 ? 1
                             : c < 0xF0 ? 2
                             : c < 0xF5 ? 3
                                        : 9;
    if (more == 9 || i + more >= text.size() + (more == 0 ? 1 : 0)) return false;
    for (std::size_t k = 1; k <= more; ++k) {
      if ((static_cast<unsigned char>(text[i + k]) & 0xC0U) != 0x80) return false;
    }
    i += more + 1;
  }
  return true;
}

}  // namespace

Status check_file_name(std::string_view name) {
  const bool control = std::any_of(name.begin(), name.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
  });
  if (name.empty() || name.size() > 200 || name == "." || name == ".." || control ||
      name.find_first_of("/\\") != std::string_view::npos || !is_utf8(name)) {
    return Error{ErrorCode::invalid_argument, "this is no name for a file", "NAME",
                 "Send the file's own name without folders, 200 bytes of UTF-8 at most"};
  }
  return Done{};
}

std::string StoredRecording::fingerprint() const {
  std::string all = words_json(said) + "\n" + map + "\n" + sheet;
  for (const StoredFile& file : files) all += "\n" + file.name + "\n" + file.hash;
  return content_hash(all);
}

std::vector<std::string> StoredRecording::file_names() const {
  std::vector<std::string> out;
  for (const StoredFile& file : files) out.push_back(file.name);
  return out;
}

/// An upload on its way; without a name until it is complete.
struct Store::Upload : BodySink {
  Upload(std::string the_intake, std::string the_name, fs::path the_part, fs::path the_path,
         int the_file)
      : intake(std::move(the_intake)),
        name(std::move(the_name)),
        part(std::move(the_part)),
        path(std::move(the_path)),
        file(the_file) {}
  ~Upload() override {
    if (file >= 0) ::close(file);
    if (!complete) ::unlink(part.c_str());
  }
  Upload(const Upload&) = delete;
  Upload& operator=(const Upload&) = delete;

  Status append(std::string_view text) override {
    hash.add(text);
    bytes += text.size();
    while (!text.empty()) {
      const ssize_t written = ::write(file, text.data(), text.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) return system_error("cannot write the upload", errno);
      text.remove_prefix(static_cast<std::size_t>(written));
    }
    return Done{};
  }

  std::string intake, name;
  fs::path part, path;
  int file = -1;
  std::uint64_t bytes = 0;
  ContentHash hash;
  bool complete = false;
};

Store::Store(fs::path folder, int lock) : folder_(std::move(folder)), lock_(lock) {}

Store::~Store() { ::close(lock_); }

Result<std::unique_ptr<Store>> Store::open(const fs::path& folder) {
  if (Status s = make_folder(folder); !s) return s.error();
  const int lock =
      ::open((folder / "lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (lock < 0) {
    Error error = system_error("cannot write into the folder", errno);
    error.where = folder.string();
    return error;
  }
  if (::flock(lock, LOCK_EX | LOCK_NB) != 0) {
    ::close(lock);
    return Error{ErrorCode::inconsistent, "another workbench uses this folder", folder.string(),
                 "Use the one that runs, or name another folder with --folder"};
  }
  std::unique_ptr<Store> out(new Store(folder, lock));
  if (Status s = out->clean(); !s) return s.error();
  out->read_all();
  return out;
}

Status Store::clean() {
  std::error_code ignored;
  fs::remove_all(folder_ / "incoming", ignored);
  for (const char* name : {"incoming", "recordings", "kept"}) {
    if (Status s = make_folder(folder_ / name); !s) return s;
  }
  return flush(folder_);
}

void Store::read_all() {
  std::error_code error;
  for (fs::directory_iterator it(folder_ / "recordings", error), end; !error && it != end;
       it.increment(error)) {
    const std::string id = it->path().filename().string();
    std::error_code ignored;
    if (!is_id(id) || !it->is_directory(ignored)) continue;
    // What a stopped program left of a change of one small file.
    for (fs::directory_iterator part(it->path(), ignored); part != fs::directory_iterator();) {
      const fs::path path = part->path();
      part.increment(ignored);
      if (path.filename().string().find(".part") != std::string::npos) fs::remove(path, ignored);
    }
    Result<StoredRecording> card = read_card(text_in(it->path() / "card.json"));
    if (!card) continue;
    card->id = id;
    bool whole = true;
    for (fs::path& path : card->paths) {
      path = it->path() / path.filename();
      whole = whole && fs::is_regular_file(path, ignored);
    }
    if (!whole) continue;
    if (!card->map_file.empty()) card->map = text_in(it->path() / card->map_file);
    card->sheet = text_in(it->path() / "sheet.toml");
    card->summary = read_summary(text_in(it->path() / "summary.json"));
    stored_[id] = std::move(*card);
  }
}

Store::Arriving* Store::find_arriving(const std::string& id) {
  const auto found = arriving_.find(id);
  return found == arriving_.end() ? nullptr : &found->second;
}

StoredRecording* Store::find_stored(const std::string& id) {
  const auto found = stored_.find(id);
  return found == stored_.end() ? nullptr : &found->second;
}

Result<Store::Arriving*> Store::find_open(const std::string& id) {
  Arriving* arriving = find_arriving(id);
  if (arriving == nullptr) return no_such("intake");
  if (arriving->intake.corrects.empty()) return arriving;
  return Error{ErrorCode::inconsistent,
               "these files are those of a recording: they are kept as they came", "",
               "Change what is said of them, or bring other files in as a recording of their own"};
}

Result<std::string> Store::begin_intake() {
  const std::lock_guard lock(mutex_);
  const auto coming = std::count_if(arriving_.begin(), arriving_.end(), [](const auto& one) {
    return one.second.intake.corrects.empty();
  });
  if (static_cast<std::size_t>(coming) >= most_intakes) {
    return Error{ErrorCode::out_of_range, "too many intakes are open", "",
                 "Read or remove some of them"};
  }
  const std::string id = random_name(12);
  if (Status s = make_folder(folder_ / "incoming" / id); !s) return s.error();
  arriving_[id].intake.id = id;
  return id;
}

Result<Intake> Store::intake(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto found = arriving_.find(id);
  if (found == arriving_.end()) return no_such("intake");
  return found->second.intake;
}

Result<std::unique_ptr<BodySink>> Store::begin_file(const std::string& id,
                                                    const std::string& name) {
  if (Status s = check_file_name(name); !s) return s.error();
  const std::lock_guard lock(mutex_);
  const Result<Arriving*> found = find_open(id);
  if (!found) return found.error();
  Arriving* const arriving = *found;
  const auto& files = arriving->intake.files;
  if (std::any_of(files.begin(), files.end(), [&](const auto& f) { return f.name == name; })) {
    return Error{ErrorCode::inconsistent, "a file of this name is there already", name,
                 "Remove it first, or rename the new one"};
  }
  if (arriving->next_file > static_cast<int>(most_files)) {
    return Error{ErrorCode::out_of_range, "too many files in one intake", name,
                 "Take in " + std::to_string(most_files) + " files at most; pack them as one .zip"};
  }
  const std::string own = "f" + std::to_string(arriving->next_file++);
  const fs::path path = folder_ / "incoming" / id / own;
  const fs::path part = path.string() + ".part";
  const int file = ::open(part.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (file < 0) return system_error("cannot write the upload", errno);
  return std::unique_ptr<BodySink>(std::make_unique<Upload>(id, name, part, path, file));
}

Result<StoredFile> Store::finish_file(BodySink& sink) {
  auto& upload = dynamic_cast<Upload&>(sink);
  if (::fsync(upload.file) != 0 && errno != EINVAL) {
    return system_error("cannot flush the upload to the disk", errno);
  }
  const std::lock_guard lock(mutex_);
  Arriving* arriving = find_arriving(upload.intake);
  if (arriving == nullptr) return no_such("intake");
  Intake& intake = arriving->intake;
  const auto after = std::find_if(intake.files.begin(), intake.files.end(),
                                  [&](const auto& f) { return f.name >= upload.name; });
  if (after != intake.files.end() && after->name == upload.name) {
    return Error{ErrorCode::inconsistent, "a file of this name is there already", upload.name,
                 "Remove it first, or rename the new one"};
  }
  if (::rename(upload.part.c_str(), upload.path.c_str()) != 0) {
    return system_error("cannot name the upload", errno);
  }
  upload.complete = true;
  const StoredFile file{upload.name, upload.bytes, upload.hash.text()};
  // By name, as the files of a folder are read.
  intake.paths.insert(intake.paths.begin() + (after - intake.files.begin()), upload.path);
  intake.files.insert(after, file);
  ++intake.version;
  return file;
}

Status Store::remove_file(const std::string& id, const std::string& name) {
  const std::lock_guard lock(mutex_);
  const Result<Arriving*> open = find_open(id);
  if (!open) return open.error();
  Intake& intake = (*open)->intake;
  const auto found = std::find_if(intake.files.begin(), intake.files.end(),
                                  [&](const auto& f) { return f.name == name; });
  if (found == intake.files.end()) return no_such("file");
  const auto path = intake.paths.begin() + (found - intake.files.begin());
  ::unlink(path->c_str());
  intake.paths.erase(path);
  intake.files.erase(found);
  ++intake.version;
  return Done{};
}

Status Store::set_intake_words(const std::string& id, StoredWords said) {
  const std::lock_guard lock(mutex_);
  Arriving* arriving = find_arriving(id);
  if (arriving == nullptr) return no_such("intake");
  arriving->intake.said = std::move(said);
  ++arriving->intake.version;
  return Done{};
}

Status Store::set_intake_map(const std::string& id, std::string map) {
  const std::lock_guard lock(mutex_);
  Arriving* arriving = find_arriving(id);
  if (arriving == nullptr) return no_such("intake");
  arriving->intake.map = std::move(map);
  ++arriving->intake.version;
  return Done{};
}

Status Store::set_intake_sheet(const std::string& id, std::string sheet) {
  const std::lock_guard lock(mutex_);
  const Result<Arriving*> open = find_open(id);
  if (!open) return open.error();
  (*open)->intake.sheet = std::move(sheet);
  ++(*open)->intake.version;
  return Done{};
}

Status Store::remove_intake(const std::string& id) {
  const std::lock_guard lock(mutex_);
  if (arriving_.erase(id) == 0) return no_such("intake");
  std::error_code ignored;
  fs::remove_all(folder_ / "incoming" / id, ignored);
  return Done{};
}

Result<Intake> Store::begin_correction(const std::string& recording) {
  const std::lock_guard lock(mutex_);
  const StoredRecording* stored = find_stored(recording);
  if (stored == nullptr) return no_such("recording");
  const std::string print = stored->fingerprint();
  const auto known = std::find_if(arriving_.begin(), arriving_.end(), [&](const auto& one) {
    return one.second.intake.corrects == recording;
  });
  if (known != arriving_.end()) {
    if (known->second.intake.began_as == print) return known->second.intake;
    arriving_.erase(known);
  }
  Intake made;
  made.id = random_name(12);
  made.corrects = recording;
  made.began_as = print;
  made.files = stored->files;
  made.paths = stored->paths;
  made.said = stored->said;
  made.map = stored->map;
  made.sheet = stored->sheet;
  arriving_[made.id].intake = made;
  return made;
}

Result<StoredRecording> Store::correct(const std::string& id, std::uint64_t version) {
  const std::lock_guard lock(mutex_);
  const Arriving* arriving = find_arriving(id);
  if (arriving == nullptr || arriving->intake.corrects.empty()) return no_such("correction");
  const Intake& intake = arriving->intake;
  StoredRecording* stored = find_stored(intake.corrects);
  if (stored == nullptr) return no_such("recording");
  if (intake.version != version || stored->fingerprint() != intake.began_as) {
    return Error{ErrorCode::inconsistent, "the recording was changed while it was corrected", "",
                 "Correct it again: what was changed meanwhile stands there now"};
  }
  StoredRecording changed = *stored;
  changed.said = intake.said;
  changed.map = intake.map;
  const fs::path folder = folder_ / "recordings" / stored->id;
  if (changed.map != stored->map) {
    // Under the other of two names: the card, which is written last and as a whole, tells which
    // one is in force.
    const std::string other = stored->map_file == first_map ? second_map : first_map;
    changed.map_file = changed.map.empty() ? std::string() : other;
    if (!changed.map.empty()) {
      if (Status s = write_file(folder / other, changed.map); !s) return s.error();
    }
  }
  if (Status s = write_card(changed, folder); !s) return s.error();
  // The new card is in force from here on, in the folder and here; the old map is needed until it
  // is known to be on the disk.
  const std::string old_map = stored->map_file;
  const bool other_map = changed.map_file != old_map && !old_map.empty();
  *stored = changed;
  arriving_.erase(id);
  if (Status s = flush(folder); !s) return s.error();
  if (other_map) ::unlink((folder / old_map).c_str());
  return changed;
}

Status Store::write_card(const StoredRecording& recording, const fs::path& at) const {
  return write_file(at / "card.json", card_json(recording));
}

Result<StoredRecording> Store::take_in(const std::string& id, std::uint64_t version,
                                       std::string name, bool demo) {
  const std::lock_guard lock(mutex_);
  const Result<Arriving*> arriving = find_open(id);
  if (!arriving) return arriving.error();
  const Intake& intake = (*arriving)->intake;
  if (intake.version != version) {
    return Error{ErrorCode::inconsistent, "the intake changed while it was read", "",
                 "Read it again"};
  }
  StoredRecording out;
  out.id = id;
  out.name = std::move(name);
  out.taken_in = now_text();
  out.demo = demo;
  out.files = intake.files;
  out.paths = intake.paths;
  out.said = intake.said;
  out.map = intake.map;
  out.map_file = out.map.empty() ? "" : first_map;
  out.sheet = intake.sheet;
  const fs::path from = folder_ / "incoming" / id;
  const fs::path to = folder_ / "recordings" / id;
  for (const auto& [file, text] : {std::pair{first_map, &out.map}, {"sheet.toml", &out.sheet}}) {
    if (text->empty()) continue;
    if (Status s = write_file(from / file, *text); !s) return s.error();
  }
  if (Status s = write_card(out, from); !s) return s.error();
  if (Status s = flush(from); !s) return s.error();
  if (::rename(from.c_str(), to.c_str()) != 0) {
    return system_error("cannot move the recording to its place", errno);
  }
  if (Status s = flush(folder_ / "recordings"); !s) return s.error();
  for (fs::path& path : out.paths) path = to / path.filename();
  arriving_.erase(id);
  stored_[id] = out;
  return out;
}

std::vector<StoredRecording> Store::recordings() const {
  const std::lock_guard lock(mutex_);
  std::vector<StoredRecording> out;
  for (const auto& [id, recording] : stored_) out.push_back(recording);
  std::stable_sort(out.begin(), out.end(),
                   [](const auto& a, const auto& b) { return a.taken_in > b.taken_in; });
  return out;
}

Result<StoredRecording> Store::recording(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto found = stored_.find(id);
  if (found == stored_.end()) return no_such("recording");
  return found->second;
}

Status Store::remove_recording(const std::string& id) {
  const std::lock_guard lock(mutex_);
  if (find_stored(id) == nullptr) return no_such("recording");
  // Out of sight at once, so that half a recording is never listed.
  const fs::path gone = folder_ / "incoming" / ("gone-" + id);
  if (::rename((folder_ / "recordings" / id).c_str(), gone.c_str()) != 0 && errno != ENOENT) {
    return system_error("cannot remove the recording", errno);
  }
  stored_.erase(id);
  std::erase_if(arriving_, [&](const auto& one) { return one.second.intake.corrects == id; });
  std::error_code ignored;
  fs::remove_all(gone, ignored);
  return flush(folder_ / "recordings");
}

template <class F>
Status Store::change_card(const std::string& id, F&& change) {
  const std::lock_guard lock(mutex_);
  StoredRecording* stored = find_stored(id);
  if (stored == nullptr) return no_such("recording");
  StoredRecording changed = *stored;
  change(changed);
  if (Status s = write_card(changed, folder_ / "recordings" / id); !s) return s;
  *stored = std::move(changed);
  return Done{};
}

Status Store::set_name(const std::string& id, std::string name) {
  return change_card(id, [&](StoredRecording& card) { card.name = std::move(name); });
}

Status Store::set_words(const std::string& id, StoredWords said) {
  return change_card(id, [&](StoredRecording& card) { card.said = std::move(said); });
}

Status Store::set_sheet(const std::string& id, std::string sheet) {
  const std::lock_guard lock(mutex_);
  StoredRecording* stored = find_stored(id);
  if (stored == nullptr) return no_such("recording");
  const fs::path path = folder_ / "recordings" / id / "sheet.toml";
  if (sheet.empty()) {
    ::unlink(path.c_str());
  } else if (Status s = write_file(path, sheet); !s) {
    return s;
  }
  stored->sheet = std::move(sheet);
  return flush(path.parent_path());
}

Status Store::set_summary(const std::string& id, const Summary& summary) {
  const std::lock_guard lock(mutex_);
  StoredRecording* stored = find_stored(id);
  if (stored == nullptr) return no_such("recording");
  stored->summary = summary;
  return write_file(folder_ / "recordings" / id / "summary.json", summary_json(summary));
}

}  // namespace cw::server
