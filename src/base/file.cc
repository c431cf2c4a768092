#include "base/file.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <utility>

namespace cw {
namespace {

Error system_error(const std::filesystem::path& path, int number, const char* doing) {
  const bool missing = number == ENOENT || number == ENOTDIR;
  std::string fix;
  if (missing) {
    fix = "Check the path";
  } else if (number == EACCES || number == EPERM) {
    fix = "Check the permissions";
  } else if (number == ENOSPC) {
    fix = "The disk is full: free some space";
  }
  return {missing ? ErrorCode::not_found : ErrorCode::unreadable,
          std::string(doing) + ": " + std::strerror(number), path.string(), fix};
}

/// Closes a descriptor when the scope ends.
struct Descriptor {
  int number;
  ~Descriptor() {
    if (number >= 0) ::close(number);
  }
};

}  // namespace

Result<MappedFile> MappedFile::open(const std::filesystem::path& path) {
  Descriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
  if (file.number < 0) return system_error(path, errno, "cannot open");
  struct stat info {};
  if (::fstat(file.number, &info) != 0) return system_error(path, errno, "cannot open");
  if (!S_ISREG(info.st_mode)) {
    return Error{ErrorCode::unreadable, "is not a regular file", path.string(),
                 "Name a file, or a directory with recordings"};
  }
  const auto size = static_cast<std::size_t>(info.st_size);
  if (size == 0) return MappedFile{nullptr, 0, -1};
  void* data = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, file.number, 0);
  if (data == MAP_FAILED) return system_error(path, errno, "cannot read");
  ::madvise(data, size, MADV_SEQUENTIAL);
  return MappedFile{static_cast<const char*>(data), size, std::exchange(file.number, -1)};
}

MappedFile::MappedFile(MappedFile&& other) noexcept
    : data_(std::exchange(other.data_, nullptr)),
      size_(std::exchange(other.size_, 0)),
      descriptor_(std::exchange(other.descriptor_, -1)) {}

MappedFile& MappedFile::operator=(MappedFile&& other) noexcept {
  std::swap(data_, other.data_);
  std::swap(size_, other.size_);
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

bool MappedFile::copy(std::string_view part, char* to) const noexcept {
  if (descriptor_ < 0 || part.data() < data_ || part.data() + part.size() > data_ + size_) {
    return false;
  }
  auto at = static_cast<off_t>(part.data() - data_);
  for (std::size_t left = part.size(); left > 0;) {
    const ssize_t read = ::pread(descriptor_, to, left, at);
    if (read < 0 && errno == EINTR) continue;
    if (read <= 0) return false;
    to += read;
    at += read;
    left -= static_cast<std::size_t>(read);
  }
  return true;
}

void MappedFile::forget(std::string_view part) const noexcept {
  if (part.data() < data_ || part.data() + part.size() > data_ + size_) return;
  // Whole pages only: the neighbours' bytes at both ends stay.
  const auto page = static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
  const auto from = (static_cast<std::size_t>(part.data() - data_) + page - 1) / page * page;
  const auto to = static_cast<std::size_t>(part.data() + part.size() - data_) / page * page;
  if (to > from) ::madvise(const_cast<char*>(data_) + from, to - from, MADV_DONTNEED);
}

MappedFile::~MappedFile() {
  if (data_ != nullptr) ::munmap(const_cast<char*>(data_), size_);
  if (descriptor_ >= 0) ::close(descriptor_);
}

Result<std::string> read_file(const std::filesystem::path& path) {
  const Result<MappedFile> file = MappedFile::open(path);
  if (!file) return file.error();
  return std::string(file->bytes());
}

Status write_file(const std::filesystem::path& path, std::string_view text) {
  const std::filesystem::path temporary = path.string() + ".part" + std::to_string(::getpid());
  {
    const Descriptor file{
        ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644)};
    if (file.number < 0) return system_error(path, errno, "cannot write");
    while (!text.empty()) {
      const ssize_t written = ::write(file.number, text.data(), text.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) {
        const int reason = errno;
        ::unlink(temporary.c_str());
        return system_error(path, reason, "cannot write");
      }
      text.remove_prefix(static_cast<std::size_t>(written));
    }
    if (::fsync(file.number) != 0 && errno != EINVAL && errno != EROFS) {
      const int reason = errno;
      ::unlink(temporary.c_str());
      return system_error(path, reason, "cannot write");
    }
  }
  if (::rename(temporary.c_str(), path.c_str()) != 0) {
    const int reason = errno;
    ::unlink(temporary.c_str());
    return system_error(path, reason, "cannot write");
  }
  return Done{};
}

void ContentHash::add_block(const char* block) noexcept {
  constexpr std::uint64_t prime = 1099511628211ULL;
  for (std::size_t i = 0; i < 4; ++i) {
    std::uint64_t word = 0;
    std::memcpy(&word, block + 8 * i, 8);
    // The multiplication carries upwards only; the rotation brings high bits down again.
    const std::uint64_t mixed = (lanes_[i] ^ word) * prime;
    lanes_[i] = (mixed << 29U) | (mixed >> 35U);
  }
}

void ContentHash::add(std::string_view bytes) {
  total_ += bytes.size();
  if (rest_size_ > 0) {
    const std::size_t taken = std::min(bytes.size(), sizeof rest_ - rest_size_);
    std::memcpy(rest_ + rest_size_, bytes.data(), taken);
    rest_size_ += taken;
    bytes.remove_prefix(taken);
    if (rest_size_ < sizeof rest_) return;
    add_block(rest_);
    rest_size_ = 0;
  }
  while (bytes.size() >= sizeof rest_) {
    add_block(bytes.data());
    bytes.remove_prefix(sizeof rest_);
  }
  if (!bytes.empty()) std::memcpy(rest_, bytes.data(), bytes.size());
  rest_size_ = bytes.size();
}

std::string ContentHash::text() const {
  ContentHash last = *this;
  if (last.rest_size_ > 0) {
    std::memset(last.rest_ + last.rest_size_, 0, sizeof rest_ - last.rest_size_);
    last.add_block(last.rest_);
  }
  std::uint64_t hash = 14695981039346656037ULL;
  const auto mix = [&](std::uint64_t word) {
    for (int byte = 0; byte < 8; ++byte) {
      hash = (hash ^ ((word >> (8 * byte)) & 0xFFU)) * 1099511628211ULL;
    }
  };
  for (const std::uint64_t lane : last.lanes_) mix(lane);
  mix(total_);
  char buffer[17];
  std::snprintf(buffer, sizeof buffer, "%016llx", static_cast<unsigned long long>(hash));
  return buffer;
}

std::string content_hash(std::string_view bytes) {
  ContentHash hash;
  hash.add(bytes);
  return hash.text();
}

}  // namespace cw
