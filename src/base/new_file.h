#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"

namespace cw {

/// A large file that appears at its path only when it is complete. Until then it has no name where
/// the file system allows that (nothing is left behind whatever happens), elsewhere the path with
/// ".part" and the process's number, which is removed with the object.
///
/// Is not flushed to the disk before it appears: after a power cut it may hold anything, so what
/// reads it checks it. Movable.
class NewFile {
 public:
  /// @error not_found, unreadable  with the system's reason
  static Result<NewFile> create(const std::filesystem::path& path);

  NewFile(NewFile&& other) noexcept;
  NewFile& operator=(NewFile&&) = delete;
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;
  ~NewFile();

  /// Adds bytes at the end.
  Status append(std::string_view bytes);
  /// Replaces bytes that have been written already.
  Status overwrite(std::size_t at, std::string_view bytes);
  /// Gives it its name, over a file that has it already. Nothing may be written afterwards.
  Status publish();

 private:
  NewFile(int descriptor, std::filesystem::path path, std::filesystem::path part)
      : descriptor_(descriptor), path_(std::move(path)), part_(std::move(part)) {}

  int descriptor_ = -1;
  std::filesystem::path path_;
  std::filesystem::path part_;  ///< empty: it has no name yet
};

}  // namespace cw
