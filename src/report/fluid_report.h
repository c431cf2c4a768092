#pragma once

#include <string>

#include "base/unit_text.h"
#include "report/fluid_query.h"

/// What `coilwright fluid` and the server say of a refrigerant.
namespace cw {

/// For a person: bubble and dew, gauge and absolute pressure with the barometer used, glide where
/// there is one, transport properties with their uncertainty.
std::string fluid_text(const FluidAnswer& answer, const Barometer& barometer, UnitSystem units);

/// Schema coilwright.fluid/1. SI with the keys T, p, rho, h, s, u, cp, cv, w, q, mu, k, sigma,
/// phase, refrigerant, reference_state; absent where not available. Numbers are printed so that
/// they read back to the same double.
std::string fluid_json(const FluidAnswer& answer, const Barometer& barometer);

std::string fluid_table_text(const FluidTable& table, const Barometer& barometer, UnitSystem units);
std::string fluid_table_json(const FluidTable& table, const Barometer& barometer);

/// Every refrigerant with its kind, critical point and range.
std::string fluid_list_text(UnitSystem units);
std::string fluid_list_json();

/// "saturated liquid at 0 °C: h = 200 kJ/kg, s = 1 kJ/(kg K)" of a named reference state, or that
/// it is the one of the published constants.
std::string reference_text(fluid::ReferenceState reference, UnitSystem units);

/// "Lemmon 2003" from the key of a paper in docs/references.bib.
std::string paper_text(std::string_view key);

}  // namespace cw
