#pragma once

#include <functional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "ingest/file_survey.h"
#include "ingest/source_table.h"

namespace cw {

/// The saturation of a refrigerant as a layer above knows it: this module knows no fluids.
struct SaturationCurve {
  std::string name;  ///< as people write it, "R-410A"
  /// Bubble and dew temperature [K] at an absolute pressure [Pa]; nan where there is none.
  std::function<std::pair<double, double>(double p)> temperatures;
};

/// Adds to a survey whether pressures are gauge or absolute, from the machine at rest: hours after
/// it stopped its pressures have met and are the saturation pressure at its coldest part. Read as
/// gauge and as absolute only one of the two agrees with the temperatures there.
///
/// @param tables  of one file, in order of time; signals must share their rows
/// @param curves  the refrigerant; several: all that it may be. Then all that agree with the
///                temperatures must agree on the reading, else it is said to be undecided.
/// @param barometric_pressure  [Pa]
void propose_reference(const std::vector<SourceTable>& tables,
                       std::span<const SaturationCurve> curves, double barometric_pressure,
                       FileSurvey& survey);

}  // namespace cw
