#pragma once

#include <string>

#include "base/result.h"

/// The invented demo recording: one winter day and night of a VRF system at 30 s.
namespace cw::demo {

struct DemoFiles {
  std::string outdoor;  ///< outdoor.csv
  std::string indoor;   ///< indoor.csv
};

/// The same bytes on every machine. Takes some tenths of a second.
/// @error as fluid::saturation_at; never with the story as it is
Result<DemoFiles> make_demo_files();

}  // namespace cw::demo
