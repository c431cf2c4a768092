#pragma once

#include <span>

#include "base/result.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

namespace cw::field {

std::span<const Question> rooms_questions() noexcept;

/// Every room of a system sheet against the limits of the rule families, worst first.
/// @error the sheet's own errors; each refusal with its option and how to mend it
Result<FieldSheet> rooms(const Form& form, UnitSystem units);

}  // namespace cw::field
