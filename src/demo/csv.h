#pragma once

#include <string>

#include "base/result.h"
#include "demo/indoor_units.h"
#include "demo/noise.h"
#include "demo/outdoor_modules.h"

/// What the two loggers write: true values plus sensor noise, rounded to the sensor's resolution.
namespace cw::demo {

/// "2026-01-20T05:00:00-06:00" for the first row.
std::string time_text(int row);

/// Comment lines and header, each line with its end.
std::string outdoor_head();
std::string indoor_head();

/// One row, with its end.
Result<std::string> outdoor_row(int row, const OutdoorSide& outdoor, Noise& noise);
std::string indoor_row(int row, const IndoorSide& indoor, Noise& noise);

}  // namespace cw::demo
