#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace cw {

bool is_gzip(std::string_view bytes) noexcept;
bool is_zstd(std::string_view bytes) noexcept;
bool is_zip(std::string_view bytes) noexcept;

/// The most that packed bytes may unpack to: a thousand times their size, but at least 64 MB. Logs
/// shrink to a twentieth, constant ones to a few hundredths; what goes beyond is made to fill
/// memory.
std::size_t unpacked_limit(std::size_t packed) noexcept;

/// @error unreadable  broken data; out_of_range  more than unpacked_limit()
Result<std::string> unpack_gzip(std::string_view bytes);
Result<std::string> unpack_zstd(std::string_view bytes);

/// A zip archive held in memory. Movable.
class ZipArchive {
 public:
  /// @error unreadable  no zip archive, or a broken one
  static Result<ZipArchive> open(std::string_view bytes);
  ZipArchive(ZipArchive&& other) noexcept;
  ZipArchive& operator=(ZipArchive&& other) noexcept;
  ~ZipArchive();

  const std::vector<std::string>& names() const { return names_; }
  bool has(std::string_view name) const;
  /// One member, unpacked; all members together may reach the limit once.
  /// @error not_found, unreadable, unsupported (encrypted), out_of_range
  Result<std::string> read(const std::string& name);

 private:
  ZipArchive() = default;
  void* zip_ = nullptr;
  std::size_t left_ = 0;
  std::vector<std::string> names_;
};

}  // namespace cw
