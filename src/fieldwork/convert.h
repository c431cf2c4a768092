#pragma once

#include <span>

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

/// Units of the trade, gauge and absolute, altitude and saturation.
namespace cw::field {

/// Concentration of a vapour in air at 25 degC and 101.325 kPa: ppm x 1e-6 x M / 0.024465 [kg/m3]
/// (facts A1).
/// @param ppm  by volume; @param molar_mass  [kg/mol]
double concentration_of(double ppm, double molar_mass) noexcept;
double ppm_of(double kg_per_m3, double molar_mass) noexcept;

/// Oxygen deprivation limit by altitude as a fraction of the air (facts A6, from memory):
/// 0.140 up to 1000 m, 0.112 up to 1500 m, 0.0691 above.
double oxygen_limit_at(Metre altitude) noexcept;

std::span<const Question> convert_questions() noexcept;
/// A value in every unit of its kind. @error each refusal with how to mend it
Result<FieldSheet> convert(const Form& form, UnitSystem units);

std::span<const Question> altitude_questions() noexcept;
/// Barometer of a site, and what a gauge reading and its saturation temperature become there.
Result<FieldSheet> altitude(const Form& form, UnitSystem units);

}  // namespace cw::field
