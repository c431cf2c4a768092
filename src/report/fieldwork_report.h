#pragma once

#include <cstddef>
#include <string>

#include "fieldwork/sheet.h"

namespace cw {

/// Plain text for a terminal, at most `width` columns where words allow it; `colour` marks the
/// verdict.
std::string field_text(const field::FieldSheet& sheet, UnitSystem units, std::size_t width,
                       bool colour);

/// JSON, schema "coilwright.<command>/1" (docs/user/fieldwork/json.md): numbers in SI, pressures
/// absolute, fractions; seven significant digits; null where there is no number or no bound.
std::string field_json(const field::FieldSheet& sheet);

/// The day by this machine's own clock and zone, "2026-01-14"; empty where it has none.
std::string local_day();

/// One self-contained HTML file to print and sign.
/// @param today  ISO day for a sheet that states none
std::string field_html(const field::FieldSheet& sheet, UnitSystem units, const std::string& today);

}  // namespace cw
