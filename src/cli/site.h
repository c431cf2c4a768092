#pragma once

#include "cli/command.h"
#include "report/check_case.h"

namespace cw::cli {

using Site = SiteAir;

/// The flags --altitude and --barometer.
/// @error as read_site_air
inline Result<Site> read_site(const Arguments& arguments) {
  return read_site_air(arguments.value("--altitude"), arguments.value("--barometer"));
}

}  // namespace cw::cli
