#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"

namespace cw {

/// The whole file as bytes.
/// @error not_found  no such file; unreadable  a directory, no permission, an I/O error
Result<std::string> read_file(const std::filesystem::path& path);

/// Writes the file whole or not at all: a temporary file beside it, flushed, then renamed over it.
/// @error unreadable  with the system's reason
Status write_file(const std::filesystem::path& path, std::string_view text);

/// A file's bytes, read only, mapped into memory where the system can, for reading large
/// recordings. Movable; the bytes live as long as the object.
class MappedFile {
 public:
  /// @error not_found, unreadable
  static Result<MappedFile> open(const std::filesystem::path& path);

  MappedFile(MappedFile&& other) noexcept;
  MappedFile& operator=(MappedFile&& other) noexcept;
  MappedFile(const MappedFile&) = delete;
  MappedFile& operator=(const MappedFile&) = delete;
  ~MappedFile();

  std::string_view bytes() const noexcept { return {data_, size_}; }

  /// Copies `part`, which lies in these bytes, to `to`: for reading a large file once, cheaper than
  /// mapping each of its pages in. Thread-safe.
  /// @returns  false when it lies elsewhere or cannot be read so
  bool copy(std::string_view part, char* to) const noexcept;

  /// Tells the system that `part`, if it lies in these bytes, need not be kept in memory. It can
  /// still be read (from the disk again). Thread-safe.
  void forget(std::string_view part) const noexcept;

 private:
  MappedFile(const char* data, std::size_t size, int descriptor) noexcept
      : data_(data), size_(size), descriptor_(descriptor) {}

  const char* data_ = nullptr;
  std::size_t size_ = 0;
  int descriptor_ = -1;
};

/// A 64-bit hash of bytes as 16 hex digits: identifies an input in a report, protects nothing.
/// FNV-1a's step over four lanes of eight bytes each, the lanes then combined by the same step: at
/// eight bytes a step a large recording is hashed as fast as it is read from memory.
class ContentHash {
 public:
  /// Pieces of any size, in order; the result does not depend on where they are cut.
  void add(std::string_view bytes);
  std::string text() const;

 private:
  void add_block(const char* block) noexcept;

  std::uint64_t lanes_[4] = {14695981039346656037ULL, 14695981039346656038ULL,
                             14695981039346656039ULL, 14695981039346656040ULL};
  char rest_[32] = {};
  std::size_t rest_size_ = 0;
  std::uint64_t total_ = 0;
};

/// The ContentHash of all bytes.
std::string content_hash(std::string_view bytes);

}  // namespace cw
