#include <fmt/format.h>

#include <array>
#include <atomic>
#include <csignal>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/unit_text.h"
#include "cli/command.h"
#include "cli/progress.h"
#include "scenario/read.h"
#include "scenario/simulate.h"
#include "scenario/write.h"

namespace cw::cli {
namespace {

using scenario::Scenario;
using scenario::Simulation;

constexpr std::array flags = {
    Flag{"-o,--out", "DIR", "directory for the recording, the system sheet and the truth"},
    Flag{"--force", "", "overwrite an earlier simulation in DIR"},
    Flag{"--seed", "NUMBER", "chance of noise, accuracy and gaps, instead of the scenario's"},
    Flag{"--json", "", "print a summary as JSON (schema coilwright.simulate/1) instead of text"},
    Flag{"--units", "si|ip", "units of the printed summary (default si)"},
    Flag{"--list-faults", "", "list the faults that a scenario can have and stop"},
};

std::atomic<bool> interrupted{false};
void interrupt(int) { interrupted = true; }

/// While it lives, Ctrl-C asks for an end; a second one ends at once, as nothing is written before
/// the run is over.
class Interrupts {
 public:
  Interrupts() {
    struct sigaction action {};
    action.sa_handler = interrupt;
    action.sa_flags = static_cast<int>(SA_RESETHAND);
    ::sigaction(SIGINT, &action, &before_int_);
    ::sigaction(SIGTERM, &action, &before_term_);
  }
  ~Interrupts() {
    ::sigaction(SIGINT, &before_int_, nullptr);
    ::sigaction(SIGTERM, &before_term_, nullptr);
  }
  Interrupts(const Interrupts&) = delete;
  Interrupts& operator=(const Interrupts&) = delete;

 private:
  struct sigaction before_int_ {};
  struct sigaction before_term_ {};
};

/// Nothing interrupts while files are written: that takes moments.
class Uninterrupted {
 public:
  Uninterrupted() {
    sigset_t signals;
    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    ::sigprocmask(SIG_BLOCK, &signals, &before_);
  }
  ~Uninterrupted() { ::sigprocmask(SIG_SETMASK, &before_, nullptr); }
  Uninterrupted(const Uninterrupted&) = delete;
  Uninterrupted& operator=(const Uninterrupted&) = delete;

 private:
  sigset_t before_{};
};

int list_faults() {
  std::string out;
  for (const scenario::FaultKind& kind : scenario::fault_kinds()) {
    std::string severity(kind.example);
    if (severity.empty()) severity = "none";
    constexpr std::array places = {"system", "outdoor module", "indoor unit",
                                   "outdoor module or indoor unit", "channel"};
    out += fmt::format("{:<22} {}\n{:<22} place: {}; severity, for example: {}\n", kind.name,
                       kind.what, "", places[static_cast<std::size_t>(kind.place)], severity);
  }
  print(out);
  return ExitCode::ran;
}

int report_errors(const scenario::ScenarioReading& reading) {
  for (const Error& error : reading.errors) report_error(error);
  if (reading.more_errors > 0) {
    std::fprintf(stderr, "coilwright: and %zu more errors\n", reading.more_errors);
  }
  return ExitCode::usage;
}

std::string summary_json(const Scenario& s, const Simulation& run, const std::string& directory) {
  nlohmann::ordered_json files = nlohmann::ordered_json::array();
  for (const scenario::OutputFile& file : run.files) {
    files.push_back({{"name", file.name},
                     {"bytes", file.text.size()},
                     {"rows", file.rows},
                     {"columns", file.columns}});
  }
  const nlohmann::ordered_json out = {
      {"schema", "coilwright.simulate/1"},
      {"scenario", s.name},
      {"directory", directory},
      {"duration_s", s.duration_s},
      {"seed", s.seed},
      {"files", std::move(files)},
      {"defrosts", run.defrosts.size()},
      {"charge_kg", {{"start", run.charge_at_start_kg}, {"end", run.charge_at_end_kg}}},
      {"conservation",
       {{"mass_relative", run.conservation.mass_relative},
        {"energy_relative", run.conservation.energy_relative}}},
      {"steps", run.steps},
      {"forced_steps", run.forced_steps},
      {"real_time_factor", run.real_time_factor}};
  return out.dump(2) + "\n";
}

std::string summary_text(const Scenario& s, const Simulation& run, const std::string& directory,
                         UnitSystem units) {
  std::string out =
      fmt::format("{}: {} from {}, {} defrosts, charge {} to {}\n", s.name,
                  format_duration(s.duration_s), format_instant(s.start, s.clock),
                  run.defrosts.size(), format_si(run.charge_at_start_kg, Dimension::mass, units),
                  format_si(run.charge_at_end_kg, Dimension::mass, units));
  out += fmt::format(
      "{:.0f} times real time, {} steps; refrigerant balances to {:.1e}, energy to {:.1e}\n",
      run.real_time_factor, run.steps, run.conservation.mass_relative,
      run.conservation.energy_relative);
  if (run.forced_steps > 0) {
    out += fmt::format(
        "{} of the steps did not balance and were taken as they were: within their seconds "
        "pressures "
        "are indicative only\n",
        run.forced_steps);
  }
  std::string maps;
  for (const scenario::OutputFile& file : run.files) {
    out += "  " + directory + "/" + file.name;
    if (file.columns > 0) out += fmt::format(": {} rows of {} channels", file.rows, file.columns);
    if (file.name.ends_with(".map.toml")) maps += " --map " + directory + "/" + file.name;
    out += "\n";
  }
  return out + "Judge it: coilwright check " + directory + maps + "\n";
}

Status apply_seed(const Arguments& arguments, Scenario& scenario) {
  const auto text = arguments.value("--seed");
  if (!text) return Done{};
  double number = 0.0;
  if (!read_number(*text, number) || number < 0.0 || number > 9e15 ||
      number != static_cast<double>(static_cast<std::uint64_t>(number))) {
    return Error{ErrorCode::invalid_argument, "\"" + *text + "\" is no seed", "--seed",
                 "Give a whole number from 0"};
  }
  scenario.seed = static_cast<std::uint64_t>(number);
  return Done{};
}

Result<Simulation> run_with_progress(const Scenario& scenario) {
  const Interrupts interrupts;
  ProgressLine progress;
  scenario::SimulateOptions options;
  options.progress = [&](const scenario::SimulateProgress& p) {
    progress.show_simulated("simulating", p.done_s, p.total_s, p.real_time_factor);
  };
  options.stop = [] { return interrupted.load(); };
  Result<Simulation> out = scenario::simulate(scenario, options);
  progress.clear();
  return out;
}

int run(const Arguments& arguments) {
  if (arguments.has("--list-faults")) return list_faults();
  if (arguments.positional.size() != 1) {
    return report_error({ErrorCode::invalid_argument, "one scenario is needed", "simulate",
                         "Give each scenario to a command of its own"});
  }
  const auto directory = arguments.value("-o,--out");
  if (!directory) {
    return report_error({ErrorCode::invalid_argument, "nothing says where to write", "simulate",
                         "Name a directory: -o DIR"});
  }
  const Result<UnitSystem> units = arguments.units();
  if (!units) return report_error(units.error());
  scenario::ScenarioReading reading = scenario::read_scenario(arguments.positional.front());
  if (!reading.scenario) return report_errors(reading);
  if (Status s = apply_seed(arguments, *reading.scenario); !s) return report_error(s.error());
  const bool force = arguments.has("--force");
  if (Status s = scenario::check_directory(*directory, force); !s) return report_error(s.error());
  const Result<Simulation> simulation = run_with_progress(*reading.scenario);
  if (!simulation) return report_error(simulation.error());
  {
    const Uninterrupted uninterrupted;
    if (Status s = scenario::write_simulation(*directory, force, *simulation); !s) {
      return report_error(s.error());
    }
  }
  print(arguments.has("--json") ? summary_json(*reading.scenario, *simulation, *directory)
                                : summary_text(*reading.scenario, *simulation, *directory, *units));
  return ExitCode::ran;
}

}  // namespace

const Command simulate_command = {
    "simulate",
    "Run a physical model of a system through weather, schedule and faults; write its recording",
    "SCENARIO",
    "scenario (TOML, see docs/user/simulate.md)",
    false,
    flags,
    "Writes recordings that `coilwright check DIR` reads, the system sheet, and truth.json: where\n"
    "the refrigerant was, what was wrong, and how well mass and energy balanced. Ctrl-C leaves\n"
    "nothing behind. Exit: 0 ran, 2 wrong usage, a wrong scenario, or stopped.",
    run};

}  // namespace cw::cli
