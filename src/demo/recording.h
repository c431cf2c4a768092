#pragma once

#include <string>

#include "base/result.h"

/// The demo recording: one winter day and night of the demo office, simulated beforehand
/// (data/scenarios/demo_winter.toml) and kept packed in data/demo, so that it is there at once and
/// the same on every machine.
namespace cw::demo {

struct DemoFiles {
  std::string outdoor;  ///< outdoor.csv
  std::string indoor;   ///< indoor.csv
};

/// Unpacks the recording; some hundredths of a second. Thread-safe.
/// @error unreadable  the program was built with a damaged file
Result<DemoFiles> demo_files();

}  // namespace cw::demo
