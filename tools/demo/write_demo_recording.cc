// write_demo_recording OUTDIR: writes the program's demo recording, outdoor.csv and indoor.csv.
#include <fmt/format.h>

#include <cstdio>
#include <filesystem>

#include "base/file.h"
#include "demo/recording.h"

namespace cw::demo {
namespace {

Status write_recording(const std::filesystem::path& directory) {
  const Result<DemoFiles> files = demo_files();
  if (!files) return files.error();
  std::error_code failed;
  std::filesystem::create_directories(directory, failed);  // write_file says so when this failed
  if (Status done = write_file(directory / "outdoor.csv", files->outdoor); !done) return done;
  return write_file(directory / "indoor.csv", files->indoor);
}

}  // namespace
}  // namespace cw::demo

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: write_demo_recording OUTDIR\n");
    return 2;
  }
  const cw::Status done = cw::demo::write_recording(argv[1]);
  if (!done) {
    fmt::print(stderr, "write_demo_recording: {}\n", done.error().text());
    return 2;
  }
  return 0;
}
