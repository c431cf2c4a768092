#pragma once

#include <span>
#include <string>
#include <vector>

#include "base/instant.h"
#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

/// Leak rate of a charge, leak-check bands and dates. Which rule applies is the person's choice.
namespace cw::field {

/// Annualizing method of 40 CFR 82.152: added / full x 365 / min(days since the last addition,
/// 365).
/// @returns fraction of the full charge a year
double annualized_leak_rate(Kilogram added, Kilogram full, double days) noexcept;

/// Rolling-average method: what was added in 365 days, or since the last successful follow-up
/// verification if that is shorter, over the full charge.
double rolling_leak_rate(Kilogram added_in_window, Kilogram full) noexcept;

/// t CO2e as kilograms: charge x GWP.
Kilogram co2_equivalent(Kilogram charge, double gwp) noexcept;

/// Months between leak checks by Regulation (EU) 2024/573; 0 below the lowest band.
int check_interval_months(Kilogram co2e, bool leak_detection);

std::span<const Question> leak_rate_questions() noexcept;

/// @error each refusal with its option and how to mend it; writes the register with --record
Result<FieldSheet> leak_rate(const Form& form, UnitSystem units);

}  // namespace cw::field
