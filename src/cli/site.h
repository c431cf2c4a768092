#pragma once

#include "cli/command.h"
#include "report/fluid_query.h"

namespace cw::cli {

/// What the person said of the air pressure where the gauges are: `--altitude`, `--barometer`.
struct Site {
  std::optional<Metre> altitude;
  std::optional<Pascal> barometric_pressure;

  /// The barometer if given, else the standard pressure at the altitude, else at sea level.
  Barometer barometer(UnitSystem units) const;
};

/// @error out_of_range  an altitude outside -500..6000 m, a barometer outside 45..112 kPa
/// @error as Arguments::quantity
Result<Site> read_site(const Arguments& arguments);

}  // namespace cw::cli
