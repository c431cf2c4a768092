#pragma once

#include <string>

#include "checks/judgement.h"
#include "diagnose/diagnose.h"

namespace cw {

/// Everything that the forms of a report on causes are written from.
struct DiagnoseReport {
  const Judgement& judgement;
  const diagnose::Diagnosis& diagnosis;
  UnitSystem units = UnitSystem::si;
};

/// Plain text for a terminal, at most `width` columns.
std::string diagnose_text(const DiagnoseReport& report, std::size_t width);

/// JSON, schema "coilwright.diagnose/1" (docs/user/diagnose.md): SI values, ISO 8601 times.
std::string diagnose_json(const DiagnoseReport& report);

/// The answer in a sentence: what is probably wrong, or that nothing seems to be.
std::string diagnose_answer(const DiagnoseReport& report);

/// "24 % (18 to 31 %) of the charge is missing": the severity of a cause in the reader's units.
std::string severity_text(const diagnose::RankedCause& cause, UnitSystem units);

}  // namespace cw
