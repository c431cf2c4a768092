#pragma once

#include "checks/check.h"

namespace cw {

/// What the sensors behind a channel can tell: half width at about 95 % [SI of the channel], from
/// the accuracies of the limit sheet ([accuracy]). Saturation temperatures carry the pressure's
/// accuracy through the slope of the saturation line at the channel's median; differences combine
/// both sensors as independent. 0 for flags, commands and counts.
double uncertainty_of(const CheckContext& context, const Channel& channel);

/// As uncertainty_of for a difference of two channels; either may be null.
double uncertainty_of_difference(const CheckContext& context, const Channel* a, const Channel* b);

/// Kelvin of saturation temperature (dew point) for one pascal at a saturation temperature [K/Pa];
/// 0 without a refrigerant or outside its range.
double saturation_slope(const CheckContext& context, double t);

/// Median of a channel's readings, of at most some thousands of them; nan without any.
double typical(const Channel& channel);

}  // namespace cw
