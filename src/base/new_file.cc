#include "base/new_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <utility>

namespace cw {
namespace {

Error cannot_write(const std::filesystem::path& path, int number) {
  return {number == ENOENT ? ErrorCode::not_found : ErrorCode::unreadable,
          std::string("cannot write: ") + std::strerror(number), path.string(),
          number == ENOSPC ? "The disk is full: free some space" : "Check the permissions"};
}

std::filesystem::path part_of(const std::filesystem::path& path) {
  return path.string() + ".part" + std::to_string(::getpid());
}

}  // namespace

Result<NewFile> NewFile::create(const std::filesystem::path& path) {
  const std::filesystem::path folder = path.has_parent_path() ? path.parent_path() : ".";
  int descriptor = ::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0644);
  if (descriptor >= 0) return NewFile(descriptor, path, {});
  const std::filesystem::path part = part_of(path);
  descriptor = ::open(part.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  if (descriptor < 0) return cannot_write(path, errno);
  return NewFile(descriptor, path, part);
}

NewFile::NewFile(NewFile&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)),
      path_(std::move(other.path_)),
      part_(std::exchange(other.part_, {})) {}

NewFile::~NewFile() {
  if (descriptor_ < 0) return;
  ::close(descriptor_);
  if (!part_.empty()) ::unlink(part_.c_str());
}

Status NewFile::append(std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return cannot_write(path_, errno);
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return Done{};
}

Status NewFile::overwrite(std::size_t at, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written =
        ::pwrite(descriptor_, bytes.data(), bytes.size(), static_cast<off_t>(at));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return cannot_write(path_, errno);
    bytes.remove_prefix(static_cast<std::size_t>(written));
    at += static_cast<std::size_t>(written);
  }
  return Done{};
}

Status NewFile::publish() {
  std::filesystem::path part = part_;
  if (part.empty()) {
    const std::string self = "/proc/self/fd/" + std::to_string(descriptor_);
    const auto named = [&](const std::filesystem::path& name) {
      return ::linkat(AT_FDCWD, self.c_str(), AT_FDCWD, name.c_str(), AT_SYMLINK_FOLLOW) == 0;
    };
    if (named(path_)) return Done{};
    if (errno != EEXIST) return cannot_write(path_, errno);
    // A nameless file cannot take a name that is in use: it does so by way of another.
    part = part_of(path_);
    ::unlink(part.c_str());
    if (!named(part)) return cannot_write(path_, errno);
  }
  if (::rename(part.c_str(), path_.c_str()) != 0) {
    const int reason = errno;
    ::unlink(part.c_str());
    return cannot_write(path_, reason);
  }
  part_.clear();
  return Done{};
}

}  // namespace cw
