#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include "base/file.h"
#include "base/text.h"
#include "cli/command.h"
#include "cli/progress.h"
#include "cli/site.h"
#include "ingest/encoding.h"
#include "ingest/import.h"
#include "ingest/map_book.h"
#include "ingest/map_writer.h"
#include "report/inspect_report.h"
#include "report/saturation_curves.h"
#include "system/sheet.h"
#include "system/system.h"

namespace cw::cli {
namespace {

constexpr std::array flags = {
    Flag{"--map", "FILE", "map that says which column is which channel (may be repeated)", true},
    Flag{"--book", "FOLDER", "folder of maps; the one made for such a header is taken"},
    Flag{"--save-map", "FILE", "write what is proposed as a map to correct (TOML with comments)"},
    Flag{"--altitude", "HEIGHT", "site altitude for gauge pressures, for example 1600m or 5280ft"},
    Flag{"--barometer", "PRESSURE", "barometric pressure at the site, for example 98.2kPa"},
    Flag{"--refrigerant", "NAME",
         "refrigerant: gauge or absolute is then seen from pressures at rest (default: all known)"},
    Flag{"--system", "SHEET", "system sheet, for the refrigerant and the altitude"},
    Flag{"--all", "", "list every column and every proposal"},
    Flag{"--json", "", "print JSON (schema coilwright.inspect/1) instead of text"},
};

std::string sure(double confidence) {
  return std::to_string(std::lround(100.0 * confidence)) + " %";
}

std::string padded(std::string text, std::size_t width) {
  // Counts characters, not bytes: a continuation byte takes no column.
  const auto shown = static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80;
  }));
  if (shown < width) text.append(width - shown, ' ');
  return text;
}

std::string shortened(const std::string& text, std::size_t width) {
  if (text.size() <= width) return text;
  std::size_t cut = width - 3;
  while (cut > 0 && (static_cast<unsigned char>(text[cut]) & 0xC0U) == 0x80) --cut;
  return text.substr(0, cut) + "...";
}

/// @param signal  of a long table: it is no column and has no position
std::string column_line(const ColumnSurvey& column, bool signal) {
  std::string out = "  " + padded(signal ? "" : std::to_string(column.index + 1), 4) +
                    padded(shortened(column.header, 34), 36) +
                    padded(shortened(column.unit_text, 9), 10);
  if (column.role == "time") return out + "time\n";
  if (column.role == "empty") return out + "empty\n";
  if (column.role == "words") {
    out += "words:";
    for (std::size_t i = 0; i < column.words.size() && i < 4; ++i) {
      std::string word = column.words[i].first;
      std::replace(word.begin(), word.end(), '\n', ' ');
      out += (i > 0 ? ", " : " ") + shortened(word, 16);
    }
    return out + "\n";
  }
  if (column.numbers > 0 && column.role != "channel") {
    out += number_text(column.lowest, 5) + " .. " + number_text(column.median, 5) + " .. " +
           number_text(column.highest, 5);
  }
  if (!column.channel.empty()) out += "-> " + column.channel;
  if (column.texts > 0) out += ", " + std::to_string(column.texts) + " texts";
  return out + "\n";
}

/// " UTC+01:00" or " Europe/Berlin": what the times of a line are; nothing where it is not stated.
std::string shown_clock(const Clock& clock) {
  if (clock.kind == Clock::Kind::zone) return " " + clock.zone;
  if (clock.kind == Clock::Kind::unstated) return {};
  const int minutes = std::abs(clock.offset_minutes);
  char text[24];
  std::snprintf(text, sizeof text, " UTC%c%02d:%02d", clock.offset_minutes < 0 ? '-' : '+',
                minutes / 60, minutes % 60);
  return text;
}

void add_times(const FileSurvey& survey, std::string& out) {
  out += "  Clock    " + survey.clock.finding.reason + " (" +
         sure(survey.clock.finding.confidence) + ")\n";
  if (survey.clock_error) out += "           NOT DECIDED: " + survey.clock_error->text() + "\n";
  if (survey.rows == 0) return;
  if (survey.clock_error) {  // what stands as times are row numbers
    out += "  Rows     " + std::to_string(survey.rows) + ", their times not decided\n";
    return;
  }
  out += "  Rows     " + std::to_string(survey.rows) + ", " +
         format_instant(survey.first, survey.shown) + " to " +
         format_instant(survey.last, survey.shown) + shown_clock(survey.shown) + ", every " +
         number_text(survey.interval, 4) + " s\n";
  if (survey.gaps.count > 0) {
    out += "  Gaps     " + std::to_string(survey.gaps.count) + ", the longest " +
           format_duration(survey.gaps.longest) + " from " +
           format_instant(survey.gaps.longest_from, survey.shown) + ", " +
           format_duration(survey.gaps.total) + " in all\n";
  }
}

std::string survey_text(const FileSurvey& survey, bool all) {
  std::string out = survey.file + ": " + survey.format + ", shape " + survey.shape + "\n";
  for (const std::string& title : survey.titles) {
    out += "  Title    " + shortened(title, 80) + "\n";
    if (!all && &title == &survey.titles.front() + 2) break;
  }
  out += "  Form     ";
  for (std::size_t i = 0; i < survey.findings.size(); ++i) {
    out += (i > 0 ? "; " : "") + survey.findings[i].what + " (" +
           sure(survey.findings[i].confidence) + ")";
  }
  out += "\n";
  add_times(survey, out);
  constexpr std::size_t usual = 24;
  out += "  Columns  (position, header, unit; lowest .. middle .. highest as they stand)\n";
  std::size_t shown = 0;
  for (const ColumnSurvey& column : survey.columns) {
    if (!all && shown++ >= usual) {
      out += "  ... and " + std::to_string(survey.columns.size() - usual) + " more (--all)\n";
      break;
    }
    out += column_line(column, survey.shape == "long" && column.role != "time");
  }
  if (!survey.proposals.empty())
    out += "  Proposed (nothing of it is applied; a map switches it on)\n";
  shown = 0;
  for (const Proposal& proposal : survey.proposals) {
    if (!all && shown++ >= 16) {
      out += "  ... and " + std::to_string(survey.proposals.size() - 16) + " more (--all)\n";
      break;
    }
    out += "  " + padded(sure(proposal.confidence), 6) +
           (proposal.column.empty() ? "" : shortened(proposal.column, 30) + ": ") + proposal.what +
           " (" + proposal.evidence + ")\n";
  }
  return out;
}

/// "a.csv: text", "b.csv: text" -> "a.csv, b.csv: text".
std::vector<std::string> grouped_by_text(const std::vector<std::string>& all) {
  std::vector<std::pair<std::string, std::vector<std::string>>> groups;  // text, files
  for (const std::string& line : all) {
    const std::size_t at = line.find(": ");
    const std::string file = at == std::string::npos ? "" : line.substr(0, at);
    const std::string text = at == std::string::npos ? line : line.substr(at + 2);
    const auto same =
        std::find_if(groups.begin(), groups.end(), [&](const auto& g) { return g.first == text; });
    if (same == groups.end()) {
      groups.push_back({text, {file}});
    } else {
      same->second.push_back(file);
    }
  }
  std::vector<std::string> out;
  for (const auto& [text, files] : groups) {
    const std::string names =
        files.size() > 6 ? std::to_string(files.size()) + " files" : list_of(files);
    out.push_back(names.empty() ? text : names + ": " + text);
  }
  return out;
}

std::string import_text(const Import& import, bool all) {
  std::string out;
  for (const FileSurvey& survey : import.surveys) out += survey_text(survey, all) + "\n";
  std::string counters;
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (import.log.count_of(counter) == 0) continue;
    const CounterInfo& info = info_of(counter);
    counters += "  " + padded(std::string(info.name), 24) +
                padded(std::string(name_of(info.severity)), 10) +
                padded(std::to_string(import.log.count_of(counter)), 8) +
                std::string(info.meaning) + "\n";
  }
  if (!counters.empty()) out += "Set aside or doubted\n" + counters;
  std::size_t shown = 0;
  for (const Reject& reject : import.log.rejects()) {
    if (reject.counter == Counter::unknown_column) continue;
    if (!all && shown++ >= 6) break;
    out += "  " + reject.file + (reject.line == 0 ? "" : " line " + std::to_string(reject.line)) +
           (reject.column.empty() ? "" : ", " + shortened(reject.column, 24)) + ": \"" +
           shortened(reject.text, 40) + "\" " + reject.reason + "\n";
  }
  if (!import.assumptions.empty()) out += "Taken as read\n";
  for (const std::string& text : grouped_by_text(import.assumptions)) out += "  - " + text + "\n";
  return out;
}

/// What the pressures at rest are compared with: the refrigerant of the flag, else of the sheet,
/// else all; a map may pick one of all.
Status read_saturation(const Arguments& arguments, ImportOptions& options) {
  if (const auto file = arguments.value("--system")) {
    const Result<System> system = read_system(*file);
    if (!system) return system.error();
    options.saturation = saturation_of(system->refrigerant());
    if (!options.altitude && !options.barometric_pressure &&
        !system->is_assumed("site", "altitude")) {
      options.altitude = Metre{system->site().altitude_m};
    }
  }
  if (const auto name = arguments.value("--refrigerant")) {
    const auto refrigerant = fluid::find_refrigerant(*name);
    if (!refrigerant) return refrigerant.error();
    options.saturation = saturation_of(**refrigerant);
  }
  if (options.saturation.empty()) options.saturation = saturation_of_all();
  return Done{};
}

int run(const Arguments& arguments) {
  ImportOptions options;
  options.survey = true;
  for (const std::string& file : arguments.all("--map")) {
    Result<ChannelMap> map = read_channel_map(file);
    if (!map) return report_error(map.error());
    options.maps.push_back(std::move(*map));
  }
  if (const auto folder = arguments.value("--book")) {
    Result<std::vector<ChannelMap>> book = read_map_book(*folder);
    if (!book) return report_error(book.error());
    for (ChannelMap& map : *book) options.maps.push_back(std::move(map));
  }
  const Result<Site> site = read_site(arguments);
  if (!site) return report_error(site.error());
  options.altitude = site->altitude;
  options.barometric_pressure = site->barometric_pressure;
  if (Status s = read_saturation(arguments, options); !s) return report_error(s.error());
  const std::vector<std::filesystem::path> paths(arguments.positional.begin(),
                                                 arguments.positional.end());
  ProgressLine progress;
  options.progress = [&](const ImportProgress& p) { progress.show(p.file, p.read, p.total); };
  const Result<Import> import = import_recordings(paths, options);
  progress.clear();
  if (!import) return report_error(import.error());
  if (const auto file = arguments.value("--save-map")) {
    if (Status s = write_file(*file, map_text(*import)); !s) return report_error(s.error());
    std::fprintf(stderr, "Map written to %s: correct it, then use it with --map.\n", file->c_str());
  }
  print(arguments.has("--json") ? inspect_json(*import)
                                : import_text(*import, arguments.has("--all")));
  return ExitCode::ran;
}

}  // namespace

const Command inspect_command = {
    "inspect",
    "Say what the importer sees in a file: form, clock, columns, gaps, doubts; propose a map",
    "LOG",
    "recordings or directories with recordings",
    true,
    flags,
    "Nothing that is proposed is applied: --save-map writes it down for you to correct, and --map\n"
    "(of this command and of check) switches it on.\n"
    "Exit: 0 ran, 2 wrong usage or unreadable input.",
    run};

}  // namespace cw::cli
