#pragma once

#include <vector>

#include "checks/judgement.h"

namespace cw {

/// One typed reading.
struct Reading {
  Place place;
  const Quantity* quantity = nullptr;  ///< never null
  double value = 0.0;                  ///< SI
};

/// A reading as a person types it: "indoor.3.gas_pipe_temperature" and "102F".
/// @param barometer  turns gauge pressures absolute [Pa]
/// @error parse  no place or quantity of that name; parse, unit as parse_quantity
Result<Reading> read_reading(std::string_view name, std::string_view value, double barometer);

/// Judges readings of one moment by the checks that can say something of a moment.
///
/// Nothing can be held in a moment: what is beyond a limit is at most `watch`, and `ok` means at
/// this moment. Indoor units count as calling unless a reading says otherwise. The recording of the
/// judgement has one row and no clock.
///
/// @param options  stated_mode must be heating or cooling
/// @error not_found         unknown refrigerant
/// @error invalid_argument  no reading, no mode, or one channel twice
/// @error out_of_range      a reading outside the plausible range of its quantity
/// Thread-safe.
Result<Judgement> judge_readings(const std::vector<Reading>& readings, const JudgeOptions& options);

}  // namespace cw
