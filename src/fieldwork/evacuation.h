#pragma once

#include <optional>
#include <span>
#include <string>

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"
#include "fieldwork/vacuum_rise.h"

/// Evacuation: how long the pump takes, and what a rise says. Never proof of tightness.
namespace cw::field {

/// Water at the coldest part of the system.
struct WaterThere {
  double saturation = 0.0;  ///< vapour pressure over water, below 0.01 degC over ice [Pa]
  bool ice = false;         ///< below the triple point's temperature, 0.01 degC
  double held = 0.0;        ///< water vapour that the volume holds at saturation [kg]
};
/// p V = m R T with the saturation pressure of Hyland and Wexler [hyland1983].
/// @error out_of_range  outside -100..200 degC
Result<WaterThere> water_at(Kelvin coldest, CubicMetre volume);

/// Volume that a mass of water vapour fills [m3].
double water_vapour_volume(double kg, Pascal p, Kelvin t) noexcept;

/// Air that a leak lets in [kg/s] for a rate of rise [Pa/s] in a volume, at a temperature.
double air_of_rise(double rate, CubicMetre volume, Kelvin t) noexcept;

/// Triple point of water [Pa], 611.657 (IAPWS): below it ice goes straight to vapour.
inline constexpr double water_triple_pressure = 611.657;

/// What the shape means, in a few words: "leak", "moisture", ...
std::string_view words_of(RiseShape shape, double plateau) noexcept;

std::span<const Question> evacuation_questions() noexcept;
/// @error each refusal with its option and how to mend it
Result<FieldSheet> evacuation(const Form& form, UnitSystem units);

}  // namespace cw::field
