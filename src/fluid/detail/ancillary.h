#pragma once

#include "fluid/detail/model.h"

namespace cw::fluid::detail {

/// Temperature at which an ancillary pressure curve has the value p [K], by Newton in ln p from
/// `guess`; the curve must rise with temperature up to `top` and p lie on it.
double ancillary_temperature(const Ancillary& curve, double p, double guess, double top) noexcept;

}  // namespace cw::fluid::detail
