#pragma once

#include <string>
#include <vector>

#include "twin/working_point.h"

namespace cw {

/// A working point of the twin, schema "coilwright.twin/1" (docs/design/workbench.md). SI.
std::string working_point_json(const twin::Model& model, const twin::WorkingPoint& point);

/// A map over outdoor temperature and charge, schema "coilwright.twin-map/1".
std::string charge_map_json(const twin::Model& model, const twin::MapOptions& axes,
                            const std::vector<std::vector<twin::MapCell>>& cells);

}  // namespace cw
