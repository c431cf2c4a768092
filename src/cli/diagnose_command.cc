#include <array>

#include "base/cache_place.h"
#include "checks/judgement.h"
#include "cli/command.h"
#include "cli/judge_logs.h"
#include "cli/progress.h"
#include "cli/report_files.h"
#include "diagnose/diagnose.h"
#include "ingest/import.h"
#include "report/check_case.h"
#include "report/diagnose_report.h"
#include "system/sheet.h"

namespace cw::cli {
namespace {

constexpr std::array flags = {
    Flag{"--system", "FILE", "system sheet of this machine (docs/user/sheet.md)"},
    Flag{"--sound", "LOG", "recording of the same machine from when it was sound (may be repeated)",
         true},
    Flag{"--map", "FILE", "map that says which column is which channel (may be repeated)", true},
    Flag{"--refrigerant", "NAME",
         "refrigerant, where there is no sheet (default: a map's, else R-410A)"},
    Flag{"--mode", "MODE", "heating or cooling, where the log does not show it"},
    Flag{"--coldest", "TEMPERATURE", "outdoor air of the heating design day (default -15 degC)"},
    Flag{"--hottest", "TEMPERATURE", "outdoor air of the cooling design day (default 35 degC)"},
    Flag{"--altitude", "HEIGHT", "site altitude for gauge pressures, for example 1600m or 5280ft"},
    Flag{"--barometer", "PRESSURE", "barometric pressure at the site, for example 98.2kPa"},
    Flag{"--units", "si|ip", "units in sentences (default si)"},
    Flag{"--json", "", "print JSON (schema coilwright.diagnose/1) instead of text"},
    Flag{"--html", "FILE", "write the whole report, checks and causes, as one HTML file, too"},
    Flag{"--pdf", "FILE", "print that report to PDF, too (needs Chromium)"},
    Flag{"--paper", "a4|letter",
         "paper of the printed report (default a4; letter with --units ip)"},
    Flag{"--no-cache", "", "read large recordings from their files and keep no copy"},
};

struct Options {
  std::optional<System> system;
  ImportOptions import;
  JudgeOptions judge;
  diagnose::DiagnoseOptions diagnose;
};

Result<Options> read_options(const Arguments& arguments) {
  Options out;
  const Result<UnitSystem> units = arguments.units();
  if (!units) return units.error();
  const CaseWords words{arguments.value("--mode"), arguments.value("--refrigerant"), std::nullopt,
                        arguments.value("--altitude"), arguments.value("--barometer")};
  Result<CaseOptions> said = read_case(words, LimitSheet::defaults(), *units);
  if (!said) return said.error();
  out.import = std::move(said->import);
  out.judge = std::move(said->judge);
  for (const std::string& file : arguments.all("--map")) {
    Result<ChannelMap> map = read_channel_map(file);
    if (!map) return map.error();
    out.import.maps.push_back(std::move(*map));
  }
  if (!arguments.has("--no-cache")) {
    out.import.shelf = cache_place("recordings").value_or(std::filesystem::path());
  }
  if (const auto file = arguments.value("--system")) {
    Result<System> system = read_system(*file);
    if (!system) return system.error();
    out.system = std::move(*system);
    if (words.refrigerant) {
      const Status same =
          same_refrigerant(*out.system, *words.refrigerant, "the command line", "--refrigerant");
      if (!same) return same.error();
    }
    fill_from_sheet(*out.system, words, out.import, out.judge);
  }
  const Status one =
      settle_refrigerant(words, out.system ? &*out.system : nullptr, out.import.maps, out.judge);
  if (!one) return one.error();
  const auto days = read_design_days(arguments.value("--coldest"), arguments.value("--hottest"));
  if (!days) return days.error();
  out.diagnose.days = *days;
  return out;
}

int run(const Arguments& arguments) {
  if (Status s = check_report_files(arguments); !s) return report_error(s.error());
  Result<Options> options = read_options(arguments);
  if (!options) return report_error(options.error());
  const Result<Paper> paper = read_paper(arguments.value("--paper"), options->judge.units);
  if (!paper) return report_error(paper.error());
  const System* system = options->system ? &*options->system : nullptr;
  options->judge.system = system;
  const Result<JudgedLogs> logs = judge_logs(arguments.positional, options->import, options->judge);
  if (!logs) return report_error(logs.error());
  std::optional<JudgedLogs> sound;
  if (arguments.has("--sound")) {
    Result<JudgedLogs> read = judge_logs(arguments.all("--sound"), options->import, options->judge);
    if (!read) return report_error(read.error());
    sound = std::move(*read);
    options->diagnose.sound = &sound->judgement;
  }
  ProgressLine progress;
  options->diagnose.progress = [&](std::string_view step) {
    progress.say("causes: " + std::string(step));
  };
  const auto diagnosis = diagnose::diagnose(logs->judgement, system, options->diagnose);
  progress.clear();
  if (!diagnosis) return report_error(diagnosis.error());
  const DiagnoseReport report{logs->judgement, *diagnosis, options->judge.units};
  const CheckReport pages{logs->import, logs->judgement, options->judge.units, *paper, &*diagnosis};
  if (Status s = write_reports(arguments, pages); !s) return report_error(s.error());
  print(arguments.has("--json") ? diagnose_json(report) : diagnose_text(report, terminal_width()));
  return ExitCode::ran;
}

}  // namespace

const Command diagnose_command = {
    "diagnose",
    "Rank the causes behind what a recording shows, and say what to look at next",
    "LOG",
    "recordings (CSV) or directories with recordings; several join on time",
    true,
    flags,
    "Compares the recording's steady hours with a physical model of the machine, healthy and with\n"
    "each fault. Without --system it compares with a generic machine and can tell much less.\n"
    "Guide: docs/user/diagnose.md. Exit: 0 ran, 2 wrong usage or unreadable input.",
    run};

}  // namespace cw::cli
