// libFuzzer target: any bytes as a stored recording. The checksum is put right, so that what lies
// behind it is reached: a file that another program wrote must not crash this one.
#include <unistd.h>

#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <string>

#include "base/file.h"
#include "ingest/stored/stored_import.h"
#include "series/pyramid.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string bytes(reinterpret_cast<const char*>(data), size);
  if (bytes.size() < 64) return 0;
  std::memcpy(bytes.data(), "CWREC001", 8);
  const std::uint64_t whole = bytes.size();
  std::memcpy(bytes.data() + 8, &whole, sizeof whole);
  const std::string hash = cw::content_hash(std::string_view(bytes).substr(64));
  std::memcpy(bytes.data() + 32, hash.data(), 16);
  static const std::filesystem::path file =
      std::filesystem::temp_directory_path() /
      ("cw_fuzz_" + std::to_string(::getpid()) + ".recording");
  std::ofstream(file, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(size));
  const auto import = cw::load_import(file);
  if (!import) return 0;
  const cw::Recording& recording = import->recording;
  if (recording.time.empty()) return 0;
  for (const cw::Channel& channel : recording.channels) {
    static_cast<void>(
        cw::overview(recording, channel, recording.time.front(), recording.time.back(), 7));
  }
  return 0;
}
