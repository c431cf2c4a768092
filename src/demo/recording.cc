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
#include "demo/recording.h"

#include "demo/csv.h"

namespace cw::demo {

Result<DemoFiles> make_demo_files() {
  DemoFiles files{outdoor_head(), indoor_head()};
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

}  // namespace cw::demo
