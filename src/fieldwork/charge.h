#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

/// Charge worksheet: length by size times the coefficient of the equipment's documents.
namespace cw::field {

/// One run of liquid line.
struct ChargeRun {
  std::string name;
  double length = 0.0;                ///< [m]
  double bore_area = 0.0;             ///< [m2]
  std::optional<double> coefficient;  ///< of the documents [kg/m]
};

/// m = sum L k + allowances; physics = sum L A rho as a check.
struct ChargeSum {
  double by_coefficients = 0.0;     ///< sum L k [kg]
  double physics = 0.0;             ///< sum L A rho_liquid [kg]
  double missing_length = 0.0;      ///< of runs without a coefficient [m]
  std::vector<double> run_physics;  ///< [kg]
  std::vector<double> run_ratio;    ///< k over A rho; nan without a coefficient
  double ratio() const { return by_coefficients / physics; }
};
/// @param density  of saturated liquid [kg/m3]
ChargeSum sum_charge(const std::vector<ChargeRun>& runs, double density);

/// Ratio of a published coefficient to liquid in the bore that is taken as usual (facts J).
inline constexpr double least_ratio = 1.0;
inline constexpr double largest_ratio = 1.4;

std::span<const Question> charge_questions() noexcept;
/// @error the sheet's own errors; each refusal with its option and how to mend it
Result<FieldSheet> charge(const Form& form, UnitSystem units);

}  // namespace cw::field
