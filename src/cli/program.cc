#include <sys/ioctl.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <memory>

#include "base/version.h"
#include "cli/command.h"

namespace cw::cli {
namespace {

/// CLI11 keeps references to what it fills: one of these lives as long as the parser.
struct Slot {
  const Command* command = nullptr;
  CLI::App* app = nullptr;
  std::vector<std::string> positional;
  std::map<std::string, std::vector<std::string>, std::less<>> values;
  std::map<std::string, bool, std::less<>> switches;
};

void add_command(CLI::App& program, Slot& slot) {
  const Command& command = *slot.command;
  slot.app = program.add_subcommand(std::string(command.name), std::string(command.summary));
  if (!command.positional_name.empty()) {
    CLI::Option* option =
        slot.app->add_option(std::string(command.positional_name), slot.positional,
                             std::string(command.positional_help));
    if (command.positional_required) option->required();
  }
  for (const Flag& flag : command.flags) {
    const std::string name(flag.name);
    if (flag.value_name.empty()) {
      slot.app->add_flag(name, slot.switches[name], std::string(flag.help));
      continue;
    }
    CLI::Option* option = slot.app->add_option(name, slot.values[name], std::string(flag.help));
    option->type_name(std::string(flag.value_name));
    // Each use of a flag takes one value, so that files may follow it.
    option->expected(1)->allow_extra_args(false);
    option->multi_option_policy(flag.repeatable ? CLI::MultiOptionPolicy::TakeAll
                                                : CLI::MultiOptionPolicy::TakeLast);
  }
  slot.app->footer(std::string(command.details));
}

Arguments arguments_of(const Slot& slot) {
  Arguments out;
  out.positional = slot.positional;
  for (const auto& [name, values] : slot.values) {
    if (!values.empty()) out.values[name] = values;
  }
  for (const auto& [name, on] : slot.switches) {
    if (on) out.values[name] = {};
  }
  return out;
}

}  // namespace

std::optional<std::string> Arguments::value(std::string_view flag) const {
  const auto found = values.find(flag);
  if (found == values.end() || found->second.empty()) return std::nullopt;
  return found->second.back();
}

std::vector<std::string> Arguments::all(std::string_view flag) const {
  const auto found = values.find(flag);
  return found == values.end() ? std::vector<std::string>{} : found->second;
}

Result<UnitSystem> Arguments::units() const {
  const std::string text = value("--units").value_or("si");
  if (text == "si") return UnitSystem::si;
  if (text == "ip") return UnitSystem::ip;
  return Error{ErrorCode::invalid_argument, "\"" + text + "\" is no unit system", "--units",
               "Use si or ip (inch-pound)"};
}

Result<std::optional<double>> Arguments::quantity(std::string_view flag,
                                                  Dimension dimension) const {
  const auto text = value(flag);
  if (!text) return std::optional<double>{};
  const Result<double> si = parse_quantity(*text, dimension);
  if (!si) {
    Error error = si.error();
    error.where = std::string(flag);
    return error;
  }
  return std::optional<double>{*si};
}

int run_program(std::span<const Command* const> commands, int argc, char** argv) {
  CLI::App program{
      "Coilwright reads recordings of VRF heat-pump systems and says what holds, what fails and "
      "what "
      "the recording cannot show."};
  program.name("coilwright");
  program.set_version_flag("--version", "coilwright " + std::string(version()));
  program.require_subcommand(1);
  std::vector<std::unique_ptr<Slot>> slots;
  for (const Command* command : commands) {
    slots.push_back(std::make_unique<Slot>());
    slots.back()->command = command;
    add_command(program, *slots.back());
  }
  try {
    program.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    // Help and version end here too, with exit code 0.
    return program.exit(error) == 0 ? ExitCode::ran : ExitCode::usage;
  }
  for (const auto& slot : slots) {
    if (slot->app->parsed()) return slot->command->run(arguments_of(*slot));
  }
  return ExitCode::usage;
}

int report_error(const Error& error) {
  std::fprintf(stderr, "coilwright: %s\n", error.text().c_str());
  return ExitCode::usage;
}

void print(std::string_view text) {
  std::fwrite(text.data(), 1, text.size(), stdout);
  std::fflush(stdout);
}

bool stdout_has_colour() {
  return ::isatty(STDOUT_FILENO) != 0 && std::getenv("NO_COLOR") == nullptr;
}

bool stderr_is_terminal() { return ::isatty(STDERR_FILENO) != 0; }

std::size_t terminal_width() {
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return 100;
  return std::clamp<std::size_t>(size.ws_col, 60, 120);
}

}  // namespace cw::cli
