#include <array>
#include <cstdio>

#include "base/file.h"
#include "cli/command.h"
#include "report/sheet_report.h"
#include "system/sheet.h"

namespace cw::cli {
namespace {

constexpr std::array flags = {
    Flag{"--json", "", "print JSON (schema coilwright.sheet/1, SI) instead of text"},
    Flag{"--svg", "FILE", "write the drawing of the pipe tree, too (A4 landscape)"},
    Flag{"--liquid-at", "TEMPERATURE", "temperature that the liquid lines are weighed at (40C)"},
    Flag{"--units", "si|ip", "units in text and drawing (default si)"},
};

/// All that is wrong with the sheet, one line each.
int report_errors(const SheetReading& reading) {
  for (const Error& error : reading.errors) report_error(error);
  if (reading.more_errors > 0) {
    std::fprintf(stderr, "coilwright: and %zu more errors\n", reading.more_errors);
  }
  return ExitCode::usage;
}

Result<Kelvin> read_liquid_temperature(const Arguments& arguments) {
  const auto given = arguments.quantity("--liquid-at", Dimension::temperature);
  if (!given) return given.error();
  const double kelvin = given->value_or(from_celsius(40.0).value);
  if (kelvin < from_celsius(-60.0).value || kelvin > from_celsius(80.0).value) {
    return Error{ErrorCode::out_of_range, "no liquid line is that warm or cold", "--liquid-at",
                 "Give a temperature from -60 degC to 80 degC"};
  }
  return Kelvin{kelvin};
}

int run(const Arguments& arguments) {
  if (arguments.positional.size() != 1) {
    return report_error({ErrorCode::invalid_argument, "one system sheet is needed", "sheet",
                         "Give each sheet to a command of its own"});
  }
  const Result<UnitSystem> units = arguments.units();
  if (!units) return report_error(units.error());
  const Result<Kelvin> liquid_at = read_liquid_temperature(arguments);
  if (!liquid_at) return report_error(liquid_at.error());
  const SheetReading reading = read_sheet(arguments.positional.front());
  if (!reading.system) return report_errors(reading);
  const SheetReport report{*reading.system, *units, *liquid_at};
  if (const auto file = arguments.value("--svg")) {
    if (Status s = write_file(*file, sheet_svg(report)); !s) return report_error(s.error());
    std::fprintf(stderr, "Drawing written to %s\n", file->c_str());
  }
  print(arguments.has("--json") ? sheet_json(report) : sheet_text(report));
  return ExitCode::ran;
}

}  // namespace

const Command sheet_command = {
    "sheet",
    "Check a system sheet and print volumes, lengths, rises, assumptions and the pipe tree",
    "SYSTEM",
    "system sheet (TOML, see docs/user/sheet.md)",
    true,
    flags,
    "What the sheet leaves open is taken by rated capacity and listed as assumed. All errors of a\n"
    "sheet are printed together, each with its line. Exit: 0 ran, 2 wrong usage or a wrong sheet.",
    run};

}  // namespace cw::cli
