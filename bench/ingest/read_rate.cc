// Reads recordings as `check` does and prints rate and peak memory.
//
//   read_rate [--threads N] [--shelf FOLDER] FILE...
//
// With a shelf the recording is kept there and the second time opened from it; --touch then also
// looks at every value.
#include <sys/resource.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "ingest/import.h"

int main(int argc, char** argv) {
  cw::ImportOptions options;
  options.threads = 1;
  std::vector<std::filesystem::path> files;
  bool touch = false;
  for (int i = 1; i < argc; ++i) {
    if (std::string_view(argv[i]) == "--threads" && i + 1 < argc) {
      options.threads = static_cast<std::size_t>(std::atoi(argv[++i]));
    } else if (std::string_view(argv[i]) == "--shelf" && i + 1 < argc) {
      options.shelf = argv[++i];
    } else if (std::string_view(argv[i]) == "--touch") {
      touch = true;
    } else {
      files.emplace_back(argv[i]);
    }
  }
  const auto begin = std::chrono::steady_clock::now();
  const cw::Result<cw::Import> import = cw::import_recordings(files, options);
  double sum = 0.0;
  if (touch && import) {
    for (const cw::Channel& channel : import->recording.channels) {
      for (const float value : channel.values) sum += cw::is_missing(value) ? 0.0 : 1.0;
    }
  }
  const double wall =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  if (!import) {
    std::fprintf(stderr, "%s\n", import.error().text().c_str());
    return 2;
  }
  rusage usage{};
  ::getrusage(RUSAGE_SELF, &usage);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) * 1e-6;
  };
  const double cpu = seconds(usage.ru_utime) + seconds(usage.ru_stime);
  std::size_t bytes = 0;
  for (const cw::RecordingFile& file : import->recording.files) bytes += file.bytes;
  const auto columns = static_cast<double>(import->recording.channels.size() *
                                               import->recording.size() * sizeof(float) +
                                           import->recording.size() * sizeof(cw::Instant));
  std::printf("%.1f MB, %zu rows, %zu channels, %zu threads\n", static_cast<double>(bytes) * 1e-6,
              import->recording.size(), import->recording.channels.size(), options.threads);
  if (import->from_shelf) std::printf("from the shelf, %.0f values looked at\n", sum);
  std::printf("wall %.2f s = %.0f MB/s; processor %.2f s = %.0f MB/s\n", wall,
              static_cast<double>(bytes) * 1e-6 / wall, cpu,
              static_cast<double>(bytes) * 1e-6 / cpu);
  std::printf("peak memory %.0f MB = %.2f of the columns' %.0f MB\n",
              static_cast<double>(usage.ru_maxrss) * 1.024e-3,
              static_cast<double>(usage.ru_maxrss) * 1024.0 / columns, columns * 1e-6);
  return 0;
}
