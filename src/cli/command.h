#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/unit_text.h"

namespace cw::cli {

/// Exit codes of every command.
enum ExitCode : int {
  ran = 0,          ///< the command did its work
  usage = 2,        ///< wrong usage or input that could not be read
  fail_on_met = 3,  ///< ran, and --fail-on was met
};

/// An option as data: help, parsing and documentation come from one list.
struct Flag {
  std::string_view name;        ///< "--map"
  std::string_view value_name;  ///< "FILE"; empty for a switch
  std::string_view help;
  bool repeatable = false;
};

/// What the person typed, by flag name.
class Arguments {
 public:
  std::vector<std::string> positional;
  std::map<std::string, std::vector<std::string>, std::less<>> values;

  bool has(std::string_view flag) const { return values.find(flag) != values.end(); }
  std::optional<std::string> value(std::string_view flag) const;
  std::vector<std::string> all(std::string_view flag) const;

  /// `--units si|ip`, default si.
  /// @error invalid_argument
  Result<UnitSystem> units() const;
  /// A flag's value as a quantity; empty when it was not given.
  /// @param barometric_pressure turns gauge readings absolute [Pa]
  /// @error as parse_quantity, with the flag's name
  Result<std::optional<double>> quantity(std::string_view flag, Dimension dimension,
                                         double barometric_pressure = standard_atmosphere) const;
};

/// One command of the program; each lives in a file of its own and is registered in main.cc.
struct Command {
  std::string_view name;
  std::string_view summary;          ///< one line
  std::string_view positional_name;  ///< "LOG"; empty when there is none
  std::string_view positional_help;
  bool positional_required = true;
  std::span<const Flag> flags;
  std::string_view details;  ///< behind the flags in --help
  int (*run)(const Arguments&) = nullptr;
};

extern const Command check_command;
extern const Command diagnose_command;
extern const Command fluid_command;
extern const Command sheet_command;
extern const Command tightness_command;
extern const Command evacuation_command;
extern const Command rooms_command;
extern const Command charge_command;
extern const Command leak_rate_command;
extern const Command weigh_command;
extern const Command altitude_command;
extern const Command convert_command;
extern const Command inspect_command;
extern const Command readings_command;
extern const Command simulate_command;
extern const Command serve_command;

/// Parses and runs. Results go to stdout, everything else to stderr.
int run_program(std::span<const Command* const> commands, int argc, char** argv);

/// Prints an error the way every command does and returns ExitCode::usage.
int report_error(const Error& error);

/// Writes a result to stdout.
void print(std::string_view text);

/// Is stdout (or stderr) a terminal that shows colour? NO_COLOR switches colour off.
bool stdout_has_colour();
bool stderr_is_terminal();
/// Columns of the terminal behind stdout; 100 where there is none.
std::size_t terminal_width();

}  // namespace cw::cli
