#include <array>

#include "cli/command.h"

int main(int argc, char** argv) {
  // A new command: one file, one line here.
  constexpr std::array commands = {
      &cw::cli::check_command,     &cw::cli::diagnose_command,   &cw::cli::readings_command,
      &cw::cli::inspect_command,   &cw::cli::fluid_command,      &cw::cli::sheet_command,
      &cw::cli::tightness_command, &cw::cli::evacuation_command, &cw::cli::charge_command,
      &cw::cli::weigh_command,     &cw::cli::rooms_command,      &cw::cli::leak_rate_command,
      &cw::cli::altitude_command,  &cw::cli::convert_command,    &cw::cli::simulate_command,
      &cw::cli::serve_command};
  return cw::cli::run_program(commands, argc, argv);
}
