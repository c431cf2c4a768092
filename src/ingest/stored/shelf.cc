#include "ingest/stored/shelf.h"

#include <elf.h>
#include <link.h>

#include <algorithm>
#include <chrono>
#include <cstring>

#include "base/file.h"
#include "base/version.h"
#include "ingest/stored/bytes.h"

namespace cw {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view ending = ".recording";

/// The linker's build id of the running program; empty where it has none.
std::string build_id() {
  std::string out;
  const auto look = [](dl_phdr_info* info, std::size_t, void* data) {
    for (int i = 0; i < info->dlpi_phnum; ++i) {
      const auto& segment = info->dlpi_phdr[i];
      if (segment.p_type != PT_NOTE) continue;
      const char* at = reinterpret_cast<const char*>(info->dlpi_addr + segment.p_vaddr);
      const char* const end = at + segment.p_memsz;
      while (end - at >= static_cast<std::ptrdiff_t>(sizeof(ElfW(Nhdr)))) {
        ElfW(Nhdr) note;
        std::memcpy(&note, at, sizeof note);
        const auto padded = [](std::size_t n) { return (n + 3) / 4 * 4; };
        const std::size_t size = sizeof note + padded(note.n_namesz) + padded(note.n_descsz);
        if (size > static_cast<std::size_t>(end - at)) break;
        if (note.n_type == NT_GNU_BUILD_ID) {
          static_cast<std::string*>(data)->assign(at + sizeof note + padded(note.n_namesz),
                                                  note.n_descsz);
          return 1;
        }
        at += size;
      }
    }
    return 1;  // the first object is the program itself
  };
  ::dl_iterate_phdr(look, &out);
  return out;
}

}  // namespace

std::string import_key(const std::vector<std::string>& names,
                       const std::vector<std::string>& hashes, bool skipping,
                       const ImportOptions& options) {
  static const std::string build = build_id();
  ByteWriter out;
  out.text(version());
  out.text(build);
  out.size(skipping ? 1 : 0);
  out.size(names.size());
  for (std::size_t i = 0; i < names.size(); ++i) {
    out.text(names[i]);
    out.text(hashes[i]);
  }
  out.size(options.maps.size());
  for (const ChannelMap& map : options.maps) {
    if (map.hash.empty()) return {};
    out.text(map.name);
    out.text(map.hash);
    out.text(map.time_column);
  }
  out.number(options.barometric_pressure ? options.barometric_pressure->value : -1.0);
  out.number(options.altitude ? options.altitude->value : -1e9);
  // Sentences are kept with the recording.
  out.size(options.reader == Reader::page ? 1 : 0);
  return content_hash(out.bytes());
}

fs::path stored_path(const fs::path& shelf, const std::string& key) {
  return shelf / (key + std::string(ending));
}

void touch_stored(const fs::path& path) {
  std::error_code ignored;
  fs::last_write_time(path, fs::file_time_type::clock::now(), ignored);
}

void trim_shelf(const fs::path& shelf, std::uintmax_t most) {
  struct Stored {
    fs::path path;
    fs::file_time_type used;
    std::uintmax_t size = 0;
  };
  std::vector<Stored> all;
  std::error_code error;
  const auto now = fs::file_time_type::clock::now();
  for (fs::directory_iterator it(shelf, error), end; !error && it != end; it.increment(error)) {
    std::error_code each;
    Stored stored{it->path(), it->last_write_time(each), it->file_size(each)};
    if (each) continue;
    if (it->path().extension() == ending) {
      all.push_back(std::move(stored));
    } else if (it->path().extension().string().starts_with(".part") &&
               it->path().stem().extension() == ending &&
               now - stored.used > std::chrono::hours(24)) {
      fs::remove(it->path(), each);
    }
  }
  std::sort(all.begin(), all.end(),
            [](const Stored& a, const Stored& b) { return a.used > b.used; });
  std::uintmax_t sum = 0;
  for (const Stored& stored : all) {
    sum += stored.size;
    if (sum > most) fs::remove(stored.path, error);
  }
}

}  // namespace cw
