#pragma once

#include "base/result.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

namespace cw::field {

/// The stepped rise to the test pressure that the person enters from the nameplate or the
/// equipment's documents; no pressure of it comes from us. Pre-test at 1.5 bar, half, then steps of
/// a tenth, 30 min at the top, down to the tightness pressure [RD 552/2019 IF-09].
/// @param sheet  title, cautions and sources of the tightness sheet
/// @error not_found  no --nameplate; inconsistent  above the weakest part
Result<FieldSheet> pressure_plan(const Form& form, const Site& site, FieldSheet sheet,
                                 UnitSystem units);

}  // namespace cw::field
