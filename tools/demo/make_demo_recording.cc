// make_demo_recording OUTDIR: writes outdoor.csv and indoor.csv, one invented winter day and night
// of a VRF system at 30 s. The same bytes on every machine.
//
// The story. A two-storey office building, R-410A, two outdoor modules on one pipe network, twelve
// indoor units. Tuesday 2026-01-20, 05:00, about -9 degC: the night before, the system was switched
// off. At 05:30 all units are switched on; the compressors start, the pipes get hot, and by 07:30
// the rooms hold their set points. By day (up to -4 degC at 15:00) people and machines help and
// part of the units stop and call by turns. At 18:00 six set points go down by 1.5 K. The night
// falls to -16 degC and the heating stays on, with rising load. The modules defrost alternately,
// every 60 to 80 minutes (story.cc has the table).
//
// Two things are wrong, and nothing else:
//  - Indoor unit 7: from 09:00 its expansion valve is stuck nearly closed. The unit calls, its
//    valve is told to open fully, its gas-side pipe stays below 41 degC and its room goes cold.
//  - Outdoor module 2: from about 02:10 to 02:50 liquid leaves the accumulator. Discharge and shell
//    superheat fall to some 5 K, suction superheat follows.
//
// This is a script with first-order lags, not a model of refrigerant flow: it makes readings that
// agree with each other, not predictions. Nothing that feeds back calls the maths library, only the
// pressures at the end do, and they are rounded to 1 kPa.

#include <fmt/format.h>

#include <cstdio>
#include <filesystem>
#include <string>

#include "base/file.h"
#include "demo/csv.h"

namespace cw::demo {
namespace {

struct Files {
  std::string outdoor;
  std::string indoor;
};

Result<Files> make_files() {
  Files files{outdoor_head(), indoor_head()};
  OutdoorSide outdoor;
  IndoorSide indoor;
  Noise process(demo_seed);      // weather and control
  Noise sensors(demo_seed + 1);  // apart, so that another column would not change the story
  for (int row = 0; row < row_count; ++row) {
    const double minute = row * 0.5;
    outdoor.step(minute, indoor.load(), process);
    indoor.step(minute, outdoor);
    Result<std::string> text = outdoor_row(row, outdoor, sensors);
    if (!text) return text.error();
    files.outdoor += *text;
    files.indoor += indoor_row(row, indoor, sensors);
  }
  return files;
}

Status write_recording(const std::filesystem::path& directory) {
  const Result<Files> files = make_files();
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
    fmt::print(stderr, "usage: make_demo_recording OUTDIR\n");
    return 2;
  }
  const cw::Status done = cw::demo::write_recording(argv[1]);
  if (!done) {
    fmt::print(stderr, "make_demo_recording: {}\n", done.error().text());
    return 2;
  }
  return 0;
}
