#pragma once

#include "base/unit_text.h"

namespace cw {

/// Digits after the point with which format_si shows a dimension.
int display_digits(Dimension dimension, UnitSystem system) noexcept;

}  // namespace cw
