#include <array>

#include "base/cache_place.h"
#include "base/text.h"
#include "checks/judgement.h"
#include "cli/command.h"
#include "cli/judge_logs.h"
#include "cli/report_files.h"
#include "ingest/import.h"
#include "report/check_case.h"
#include "report/check_guide.h"
#include "report/check_report.h"
#include "system/sheet.h"

namespace cw::cli {
namespace {

constexpr std::array flags = {
    Flag{"--map", "FILE", "map that says which column is which channel (may be repeated)", true},
    Flag{"--limits", "FILE", "limit sheet whose figures replace the defaults"},
    Flag{"--system", "SHEET", "system sheet: refrigerant, altitude, rated capacities, compressors"},
    Flag{"--target", "TEMPERATURE", "condensing target in heating, for example 120F or 49C"},
    Flag{"--refrigerant", "NAME",
         "refrigerant (default: the system sheet's, else a map's, else R-410A)"},
    Flag{"--mode", "MODE", "heating or cooling, where the log does not show it"},
    Flag{"--altitude", "HEIGHT", "site altitude for gauge pressures, for example 1600m or 5280ft"},
    Flag{"--barometer", "PRESSURE", "barometric pressure at the site, for example 98.2kPa"},
    Flag{"--units", "si|ip", "units in sentences and reports (default si)"},
    Flag{"--json", "", "print JSON (schema coilwright.check/1) instead of text"},
    Flag{"--html", "FILE", "write the report as one HTML file, too"},
    Flag{"--pdf", "FILE", "print the report to PDF, too (needs Chromium)"},
    Flag{"--paper", "a4|letter",
         "paper of the printed report (default a4; letter with --units ip)"},
    Flag{"--no-cache", "", "read large recordings from their files and keep no copy"},
    Flag{"--fail-on", "VERDICT", "exit with 3 when the verdict is watch (or worse) or fault"},
    Flag{"--list", "", "list the checks and stop"},
    Flag{"--guide", "", "print the guide to all checks (Markdown) and stop"},
    Flag{"--explain", "ID", "say what a check asks, why, with which limits, and stop"},
};

int list_checks() {
  std::string out;
  for (const AskedIn mode : {AskedIn::running, AskedIn::heating, AskedIn::cooling,
                             AskedIn::recovery, AskedIn::standstill, AskedIn::any}) {
    out += std::string(out.empty() ? "" : "\n") + "Asked " + asked_when(mode) + ":\n";
    for (const Check& check : check_catalogue()) {
      if (check.mode != mode) continue;
      out += (check.main ? "* " : "  ") + check.id +
             std::string(check.id.size() < 24 ? 24 - check.id.size() : 1, ' ') + check.asks + "\n";
    }
  }
  out += "\n* a main question: left open, it leaves the verdict open. --explain ID says more.\n";
  print(out);
  return ExitCode::ran;
}

struct Options {
  ImportOptions import;
  JudgeOptions judge;
  std::optional<System> system;
  std::optional<Verdict> fail_on;
};

Status read_fail_on(const Arguments& arguments, Options& options) {
  const auto text = arguments.value("--fail-on");
  if (!text) return Done{};
  if (*text == "watch") {
    options.fail_on = Verdict::watch;
  } else if (*text == "fault") {
    options.fail_on = Verdict::fault;
  } else {
    return Error{ErrorCode::invalid_argument, "\"" + *text + "\" cannot be failed on", "--fail-on",
                 "Use watch or fault"};
  }
  return Done{};
}

Result<LimitSheet> read_limits(const Arguments& arguments) {
  const auto file = arguments.value("--limits");
  return file ? LimitSheet::read(*file) : LimitSheet::defaults();
}

Status read_sheet_of(const Arguments& arguments, const CaseWords& words, Options& options) {
  const auto file = arguments.value("--system");
  if (!file) return Done{};
  Result<System> system = read_system(*file);
  if (!system) return system.error();
  options.system = std::move(*system);
  fill_from_sheet(*options.system, words, options.import, options.judge);
  return Done{};
}

Result<Options> read_options(const Arguments& arguments) {
  Options out;
  std::vector<ChannelMap> maps;
  for (const std::string& file : arguments.all("--map")) {
    Result<ChannelMap> map = read_channel_map(file);
    if (!map) return map.error();
    maps.push_back(std::move(*map));
  }
  const Result<LimitSheet> limits = read_limits(arguments);
  if (!limits) return limits.error();
  const Result<UnitSystem> units = arguments.units();
  if (!units) return units.error();
  const CaseWords words{arguments.value("--mode"), arguments.value("--refrigerant"),
                        arguments.value("--target"), arguments.value("--altitude"),
                        arguments.value("--barometer")};
  Result<CaseOptions> options = read_case(words, *limits, *units);
  if (!options) return options.error();
  out.import = std::move(options->import);
  out.import.maps = std::move(maps);
  out.judge = std::move(options->judge);
  if (!arguments.has("--no-cache")) {
    out.import.shelf = cache_place("recordings").value_or(std::filesystem::path());
  }
  if (Status s = read_fail_on(arguments, out); !s) return s.error();
  if (Status s = read_sheet_of(arguments, words, out); !s) return s.error();
  const Status one =
      settle_refrigerant(words, out.system ? &*out.system : nullptr, out.import.maps, out.judge);
  if (!one) return one.error();
  return out;
}

int run(const Arguments& arguments) {
  if (arguments.has("--list")) return list_checks();
  if (arguments.has("--guide")) {
    print(check_guide_markdown());
    return ExitCode::ran;
  }
  if (const auto id = arguments.value("--explain")) {
    const Check* check = find_check(*id);
    if (check == nullptr) {
      return report_error({ErrorCode::not_found, "there is no check \"" + *id + "\"", "--explain",
                           "coilwright check --list shows the ids"});
    }
    print(check_explanation(*check, LimitSheet::defaults()));
    return ExitCode::ran;
  }
  if (Status s = check_report_files(arguments); !s) return report_error(s.error());
  Result<Options> options = read_options(arguments);
  if (!options) return report_error(options.error());
  const Result<Paper> paper = read_paper(arguments.value("--paper"), options->judge.units);
  if (!paper) return report_error(paper.error());
  if (options->system) options->judge.system = &*options->system;
  const Result<JudgedLogs> logs = judge_logs(arguments.positional, options->import, options->judge);
  if (!logs) return report_error(logs.error());
  const Judgement& judgement = logs->judgement;
  const CheckReport report{logs->import, judgement, options->judge.units, *paper};
  if (Status s = write_reports(arguments, report); !s) return report_error(s.error());
  print(arguments.has("--json") ? check_json(report)
                                : check_text(report, terminal_width(), stdout_has_colour()));
  const bool failed = options->fail_on && judgement.judged_verdict >= *options->fail_on;
  return failed ? ExitCode::fail_on_met : ExitCode::ran;
}

}  // namespace

const Command check_command = {
    "check",
    "Read recordings, judge them and explain the verdict (the main job)",
    "LOG",
    "recordings (CSV) or directories with recordings; several join on time",
    false,
    flags,
    "Headers of the form place.quantity [unit] need no map, for example\n"
    "  time, outdoor.1.discharge_temperature [degC], outdoor.1.discharge_pressure [psi(g)],\n"
    "  indoor.3.set_point [degF], site.outdoor_temperature [degC]\n"
    "Exit: 0 ran, 2 wrong usage or unreadable input, 3 --fail-on was met.",
    run};

}  // namespace cw::cli
