#pragma once

#include <string>

#include "fieldwork/form.h"
#include "fieldwork/sheet.h"
#include "system/system.h"
#include "twin/design_days.h"

/// Where the charge sits in winter and in summer, and what the accumulators have to spare: the part
/// of the charge worksheet that the twin answers.
namespace cw::field {

/// The design days of the look at the seasons.
struct DesignDays {
  twin::DesignDays days;
  std::string source;  ///< "as entered" or "default: common practice, no source"
};

/// @error parse, unit, out_of_range  --coldest and --hottest
Result<DesignDays> read_design_days(const Form& form);

/// Adds the tables, figures and sentences to the sheet. A machine that the twin cannot describe
/// adds one sentence under the sheet's limits that says why.
/// What the twin has said before of the same sheet, charge and season is not calculated again.
/// @param sheet_text  what the system was read from; empty where it does not tell all of it
/// @param charge_kg  all refrigerant in the machine
/// @param whose      "total when done", "the system sheet": which charge this is
void add_seats(const System& system, const std::string& sheet_text, double charge_kg,
               const std::string& whose, const DesignDays& days, UnitSystem units,
               FieldSheet& sheet);

}  // namespace cw::field
