#include <array>

#include "cli/command.h"

int main(int argc, char** argv) {
  // A new command: one file, one line here.
  constexpr std::array commands = {&cw::cli::check_command, &cw::cli::inspect_command};
  return cw::cli::run_program(commands, argc, argv);
}
