#pragma once

#include <string>

#include "report/diagnose_report.h"

namespace cw::detail {

/// The technician's part of a report on causes, as HTML: ranked causes with what speaks for and
/// against each, what cannot be told apart, what to look at next, refrigerant, design days, and
/// what it rests on.
std::string causes_section(const DiagnoseReport& report);

}  // namespace cw::detail
