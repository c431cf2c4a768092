#pragma once

#include <span>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

/// Refrigerant by scale: what moved, how full the cylinder is.
namespace cw::field {

/// Most refrigerant that a recovery cylinder may hold: 80 % of its volume as liquid at the
/// temperature, m = 0.8 V rho_liquid.
/// @error not_found, out_of_range  refrigerant and temperature
Result<Kilogram> largest_fill(std::string_view refrigerant, CubicMetre cylinder, Kelvin t,
                              double share = 0.8);

/// Temperature at which the contents fill the cylinder with liquid to the last drop: above it the
/// pressure rises without limit [K]. The critical temperature when it never does below that.
Result<Kelvin> liquid_full_at(std::string_view refrigerant, CubicMetre cylinder, Kilogram contents);

/// What each scale reading moved against the one before [kg]: positive out of the cylinder.
std::vector<double> moved(std::span<const double> readings);

std::span<const Question> weigh_questions() noexcept;
/// @error each refusal with its option and how to mend it
Result<FieldSheet> weigh(const Form& form, UnitSystem units);

}  // namespace cw::field
