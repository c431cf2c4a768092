#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "report/check_case.h"
#include "server/http.h"

namespace cw::server {

struct StoredFile {
  std::string name;  ///< as the person's file is called; never used as a path
  std::uint64_t bytes = 0;
  std::string hash;
};

/// What was said of a recording beside its files.
struct StoredWords {
  CaseWords words;
  std::string limits;  ///< TOML of a limit sheet; may be empty
};

/// What the last judging of a recording gave, for lists.
struct Summary {
  std::string verdict, healthy;
  std::int64_t start_ms = 0, end_ms = 0;
  std::uint64_t rows = 0, channels = 0;
  std::string of;  ///< fingerprint of what was judged
};

/// A recording that is taken in for good.
struct StoredRecording {
  std::string id;
  std::string name;
  std::string taken_in;  ///< ISO 8601, UTC
  bool demo = false;
  std::vector<StoredFile> files;
  std::vector<std::filesystem::path> paths;  ///< one a file
  StoredWords said;
  std::string map;       ///< TOML; may be empty
  std::string map_file;  ///< where it is kept: one of two names, so that one write puts it in force
  std::string sheet;     ///< TOML; may be empty
  std::optional<Summary> summary;

  /// Changes with everything that its verdict depends on.
  std::string fingerprint() const;
  std::vector<std::string> file_names() const;
};

/// Files on their way in; or those of a recording that is taken in, looked at again to correct what
/// was understood of them.
struct Intake {
  std::string id;
  std::string corrects;  ///< id of that recording; empty: files on their way in
  std::string began_as;  ///< fingerprint of that recording when it was looked at
  std::vector<StoredFile> files;
  std::vector<std::filesystem::path> paths;
  StoredWords said;
  std::string map;
  std::string sheet;          ///< TOML of the system sheet; may be empty
  std::uint64_t version = 0;  ///< changes with files, words, map and sheet
};

/// The folder in which the server keeps what it was given:
///
///     lock                   held by the one server that uses the folder
///     incoming/ID/f1 ...     uploads; emptied at the start
///     recordings/ID/...      taken in: complete from the moment it is there; its files are never
///                            written again
///     kept/                  recordings kept read (docs/adr/0008), made again when missing
///
/// Files are written beside, flushed to the disk and renamed; a recording's folder is renamed from
/// incoming/ as a whole. So whatever happens to the program, a recording is there completely or not
/// at all. Nothing that a client sends is ever part of a path. Thread-safe.
class Store {
 public:
  static constexpr std::size_t most_intakes = 64;
  static constexpr std::size_t most_files = 1000;  ///< of one intake

  /// Makes the folder where needed, takes its lock, cleans up after a program that was stopped.
  /// @error unreadable  cannot be made or written; inconsistent  another server uses it
  static Result<std::unique_ptr<Store>> open(const std::filesystem::path& folder);
  ~Store();
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;

  const std::filesystem::path& folder() const noexcept { return folder_; }
  std::filesystem::path shelf() const { return folder_ / "kept"; }

  /// @error out_of_range  too many at once
  Result<std::string> begin_intake();
  Result<Intake> intake(const std::string& id) const;
  /// Takes the bytes of an upload; hand it to finish_file, or drop it.
  /// @error not_found, out_of_range (too many files), inconsistent (name taken)
  Result<std::unique_ptr<BodySink>> begin_file(const std::string& id, const std::string& name);
  /// Flushes it to the disk. @param sink  made by begin_file
  Result<StoredFile> finish_file(BodySink& sink);
  Status remove_file(const std::string& id, const std::string& name);
  Status set_intake_words(const std::string& id, StoredWords said);
  Status set_intake_map(const std::string& id, std::string map);
  Status set_intake_sheet(const std::string& id, std::string sheet);
  Status remove_intake(const std::string& id);
  /// An intake that looks at the files of a recording, with what was said of it: its map and its
  /// words can be changed there, its files and its sheet cannot. The one that is there already, as
  /// long as the recording is what it was. @error not_found
  Result<Intake> begin_correction(const std::string& recording);
  /// Puts the map and the words of a correction into force, both or neither, whatever happens. The
  /// files are left alone. @param version  of the intake that was read
  /// @error inconsistent  the correction or the recording changed since; not_found
  Result<StoredRecording> correct(const std::string& id, std::uint64_t version);
  /// Makes a recording of it; when this returns it survives anything.
  /// @param version  of the intake that was read: a change since is inconsistent
  Result<StoredRecording> take_in(const std::string& id, std::uint64_t version, std::string name,
                                  bool demo);

  std::vector<StoredRecording> recordings() const;  ///< the latest first
  Result<StoredRecording> recording(const std::string& id) const;
  Status remove_recording(const std::string& id);
  Status set_name(const std::string& id, std::string name);
  Status set_words(const std::string& id, StoredWords said);
  Status set_sheet(const std::string& id, std::string sheet);  ///< empty: without
  Status set_summary(const std::string& id, const Summary& summary);

 private:
  struct Upload;
  struct Arriving {
    Intake intake;
    int next_file = 1;
  };
  explicit Store(std::filesystem::path folder, int lock);
  Status clean();
  void read_all();
  Arriving* find_arriving(const std::string& id);
  /// As find_arriving, for a change of its files or sheet. @error not_found, inconsistent
  Result<Arriving*> find_open(const std::string& id);
  StoredRecording* find_stored(const std::string& id);
  /// Writes the changed card first, so that what is shown is what is kept.
  template <class F>
  Status change_card(const std::string& id, F&& change);
  Status write_card(const StoredRecording& recording, const std::filesystem::path& at) const;

  const std::filesystem::path folder_;
  const int lock_;
  mutable std::mutex mutex_;
  std::map<std::string, Arriving> arriving_;
  std::map<std::string, StoredRecording> stored_;
};

/// May a file be called that? 1 to 200 bytes of UTF-8, no slash, no control character.
Status check_file_name(std::string_view name);

}  // namespace cw::server
