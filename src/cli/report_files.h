#pragma once

#include "cli/command.h"
#include "report/check_report.h"

/// --html, --pdf and --paper, the same wherever a report is written beside what is printed.
namespace cw::cli {

/// The reports must not land on a recording.
/// @error invalid_argument
Status check_report_files(const Arguments& arguments);

/// The files that were asked for, told on stderr.
/// @error as write_file and print::print_pdf
Status write_reports(const Arguments& arguments, const CheckReport& report);

}  // namespace cw::cli
