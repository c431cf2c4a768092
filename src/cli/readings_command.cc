#include <algorithm>
#include <array>
#include <cstdio>

#include "base/file.h"
#include "checks/readings_file.h"
#include "cli/command.h"
#include "cli/site.h"
#include "report/readings_report.h"

namespace cw::cli {
namespace {

constexpr std::array flags = {
    Flag{"--mode", "MODE", "heating or cooling: what the machine does now"},
    Flag{"--refrigerant", "NAME", "refrigerant in the system (default R-410A)"},
    Flag{"--discharge-pressure", "PRESSURE", "for example 418psig"},
    Flag{"--suction-pressure", "PRESSURE", "for example 95psig"},
    Flag{"--discharge-temperature", "TEMPERATURE", "on the discharge line"},
    Flag{"--suction-temperature", "TEMPERATURE", "on the suction line"},
    Flag{"--shell-temperature", "TEMPERATURE", "compressor body at the oil sump"},
    Flag{"--liquid-temperature", "TEMPERATURE", "liquid line behind the outdoor coil"},
    Flag{"--coil-temperature", "TEMPERATURE", "outdoor coil"},
    Flag{"--outdoor-temperature", "TEMPERATURE", "outdoor air"},
    Flag{"--compressor-frequency", "FREQUENCY", "for example 60Hz"},
    Flag{"--gas-pipe-temperature", "TEMPERATURE", "gas-side pipe of an indoor unit"},
    Flag{"--liquid-pipe-temperature", "TEMPERATURE", "liquid-side pipe of an indoor unit"},
    Flag{"--controlled-temperature", "TEMPERATURE", "what the unit compares with its set point"},
    Flag{"--set-point", "TEMPERATURE", "of the same unit"},
    Flag{"--reading", "PLACE.QUANTITY=VALUE",
         "any other, for example indoor.3.gas_pipe_temperature=102F (may be repeated)", true},
    Flag{"--limits", "FILE", "limit sheet whose figures replace the defaults"},
    Flag{"--altitude", "HEIGHT", "site altitude for gauge pressures"},
    Flag{"--barometer", "PRESSURE", "barometric pressure at the site"},
    Flag{"--units", "si|ip", "units in sentences and reports (default si)"},
    Flag{"--json", "", "print JSON (schema coilwright.readings/1) instead of text"},
    Flag{"--html", "FILE", "write the answer as one HTML file, too"},
    Flag{"--fail-on", "VERDICT", "exit with 3 when the verdict of the moment is watch"},
};

/// What flags and the file say together.
struct Options {
  std::vector<Reading> readings;
  JudgeOptions judge;
  std::string mode;
};

Status read_readings_file(const std::string& path, double barometer, Options& out) {
  const Result<std::string> text = read_file(path);
  if (!text) return text.error();
  Result<ReadingsFile> file = parse_readings_file(*text, path, barometer);
  if (!file) return file.error();
  if (!file->refrigerant.empty()) out.judge.refrigerant = file->refrigerant;
  if (!file->mode.empty()) out.mode = file->mode;
  out.readings.insert(out.readings.end(), file->readings.begin(), file->readings.end());
  return Done{};
}

/// "--gas-pipe-temperature" -> "indoor.1.gas_pipe_temperature".
std::string channel_of(std::string_view flag) {
  std::string quantity(flag.substr(2));
  std::replace(quantity.begin(), quantity.end(), '-', '_');
  const bool indoor = quantity == "set_point" || quantity == "controlled_temperature" ||
                      quantity.find("_pipe_") != std::string::npos;
  return (quantity == "outdoor_temperature" ? "site."
          : indoor                          ? "indoor.1."
                                            : "outdoor.1.") +
         quantity;
}

Result<Options> read_options(const Arguments& arguments, double barometer) {
  Options out;
  for (const std::string& path : arguments.positional) {
    if (Status s = read_readings_file(path, barometer, out); !s) return s.error();
  }
  for (const Flag& flag : flags) {
    const auto value = arguments.value(flag.name);
    const bool is_reading = flag.value_name == "PRESSURE" || flag.value_name == "TEMPERATURE" ||
                            flag.value_name == "FREQUENCY";
    if (!value || !is_reading || flag.name == "--barometer") continue;
    const Result<Reading> reading = read_reading(channel_of(flag.name), *value, barometer);
    if (!reading) return reading.error();
    out.readings.push_back(*reading);
  }
  for (const std::string& text : arguments.all("--reading")) {
    const std::size_t equals = text.find('=');
    const Result<Reading> reading =
        read_reading(text.substr(0, equals),
                     equals == std::string::npos ? "" : text.substr(equals + 1), barometer);
    if (!reading) return reading.error();
    out.readings.push_back(*reading);
  }
  if (const auto file = arguments.value("--limits")) {
    Result<LimitSheet> sheet = LimitSheet::read(*file);
    if (!sheet) return sheet.error();
    out.judge.limits = std::move(*sheet);
  }
  out.judge.refrigerant = arguments.value("--refrigerant").value_or(out.judge.refrigerant);
  out.mode = arguments.value("--mode").value_or(out.mode);
  if (out.mode == "heating") out.judge.stated_mode = PhaseKind::heating;
  if (out.mode == "cooling") out.judge.stated_mode = PhaseKind::cooling;
  const Result<UnitSystem> units = arguments.units();
  if (!units) return units.error();
  out.judge.units = *units;
  return out;
}

int run(const Arguments& arguments) {
  const Result<Site> site = read_site(arguments);
  if (!site) return report_error(site.error());
  const Result<UnitSystem> units = arguments.units();
  if (!units) return report_error(units.error());
  const Barometer barometer = site->barometer(*units);
  const Result<Options> options = read_options(arguments, barometer.pressure.value);
  if (!options) return report_error(options.error());
  const Result<Judgement> judgement = judge_readings(options->readings, options->judge);
  if (!judgement) return report_error(judgement.error());
  const ReadingsReport report{*judgement, barometer.origin, *units};
  if (const auto file = arguments.value("--html")) {
    if (Status s = write_file(*file, readings_html(report)); !s) return report_error(s.error());
    std::fprintf(stderr, "Report written to %s\n", file->c_str());
  }
  print(arguments.has("--json") ? readings_json(report) : readings_text(report));
  const bool failed =
      arguments.value("--fail-on") == "watch" && judgement->judged_verdict >= Verdict::watch;
  return failed ? ExitCode::fail_on_met : ExitCode::ran;
}

}  // namespace

const Command readings_command = {
    "readings",
    "A verdict from a few typed readings of one moment, without a recording",
    "FILE",
    "readings in a TOML file: mode, refrigerant and a [readings] table",
    false,
    flags,
    "coilwright readings --mode heating --discharge-pressure 418psig --suction-pressure 95psig\n"
    "  --discharge-temperature 185F --outdoor-temperature 20F\n"
    "One moment cannot show that anything is held: the worst verdict is watch.",
    run};

}  // namespace cw::cli
