#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "base/version.h"
#include "checks/calls.h"
#include "report/check_report.h"
#include "report/detail/causes_section.h"
#include "report/detail/check_plots.h"
#include "report/detail/html.h"
#include "report/detail/style.h"
#include "report/detail/titles.h"

namespace cw {
namespace {

using detail::element;
using detail::list_element;

std::string badge(Verdict verdict) {
  const std::string word(name_of(verdict));
  return "<span class=\"v v-" + word + "\">" + word + "</span>";
}

/// Each root with what follows from it under it.
std::string wrong_list(const Answers& answers) {
  if (answers.wrong.empty()) return "<p>Nothing that this log shows.</p>";
  std::string out = "<ul>";
  for (const Answers::Wrong& wrong : answers.wrong) {
    out += "<li>" + html_text(wrong.text) +
           (wrong.follows.empty() ? "" : list_element(wrong.follows, "")) + "</li>";
  }
  return out + "</ul>";
}

std::string number_cell(double si, Dimension dimension, UnitSystem units) {
  return "<td class=\"n\">" +
         (std::isnan(si) ? std::string("&ndash;") : format_si_number(si, dimension, units)) +
         "</td>";
}

std::string_view title_of(const CheckReport& report) {
  return report.diagnosis == nullptr ? "Check of a recording" : "Check of a recording, with causes";
}

/// For the owner: no figures, one page.
std::string first_page(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  const OwnerPage page = owner_page(report);
  std::string out = "<header><p class=\"k\">" + std::string(title_of(report)) +
                    "</p><h1>Verdict: " + badge(judgement.verdict) + "</h1>" +
                    element("p", recording_line(report)) + "</header><section class=\"answers\">";
  out += element("h2", "Is it healthy?") + element("p", page.healthy);
  out += element("h2", "What does it mean?") +
         list_element(page.means, "Nothing that this log shows is wrong.");
  out += element("h2", "What is to be done?") + list_element(page.to_do, "Nothing.");
  out += element("h2", "How sure is that?") + list_element(page.sure, "");
  out += "</section><section>" + element("h2", "What the machine was doing") +
         svg_phase_band(judgement.recording, judgement.phases.system);
  return out + "<p class=\"s\">" + html_text(check_cautions().front()) + "</p></section>";
}

std::string causes(const CheckReport& report) {
  if (report.diagnosis == nullptr) return {};
  return detail::causes_section({report.judgement, *report.diagnosis, report.units}) + "\n";
}

/// For the technician: what and where with figures, and what is open.
std::string findings_page(const CheckReport& report) {
  const Answers answers = answer(report);
  std::string out = "<section class=\"page\">";
  out += element("h2", "What is wrong, and where?") + wrong_list(answers);
  out += element("h2", "What could not be judged?") +
         list_element(answers.unjudged, "Nothing: every main question had what it needs.");
  const std::string further = further_open_text(report.judgement);
  if (!further.empty()) {
    out += element("p", further + " The table of checks says what each of them needs.");
  }
  out += element("h2", "How the log was read") +
         list_element(report.judgement.phases.notes, "By its own flags throughout.");
  for (std::size_t k = 1; k < check_cautions().size(); ++k) {
    out += "<p class=\"s\">" + html_text(check_cautions()[k]) + "</p>";
  }
  return out + "</section>";
}

std::string check_row(const std::string& title, const std::string& places, Verdict verdict,
                      const std::string& because) {
  return "<tr><td>" + title + "</td>" + element("td", places) + "<td>" + badge(verdict) + "</td>" +
         element("td", because) + "</tr>";
}

std::string checks_table(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  std::string out =
      "<section>" + element("h2", "Checks") +
      "<table "
      "class=\"checks\"><thead><tr><th>Check</th><th>Where</th><th>Verdict</th><th>Because</th>"
      "</tr></thead><tbody>";
  for (const Check* asked : judgement.asked) {
    const Check& check = *asked;
    std::string title = html_text(check.title);
    for (const Verdict verdict : {Verdict::fault, Verdict::watch, Verdict::unproven, Verdict::ok}) {
      std::vector<FindingGroup> groups = grouped(judgement, verdict);
      std::erase_if(groups, [&](const FindingGroup& g) { return g.first->check != check.id; });
      // Many places that hold are one row: the table is for what stands out.
      constexpr std::size_t told_one_by_one = 3;
      if (verdict == Verdict::ok && groups.size() > told_one_by_one) {
        std::vector<std::string> places;
        for (const FindingGroup& group : groups) places.push_back(group.places.front());
        out += check_row(title, places_text(places), verdict, "No limit was held at any of them.");
        title.clear();
        continue;
      }
      for (const FindingGroup& group : groups) {
        const std::string open = verdict == Verdict::unproven ? " " + group.first->proof : "";
        out += check_row(title, places_text(group.places), verdict, group.first->because + open);
        title.clear();
      }
    }
  }
  return out + "</tbody></table></section>";
}

std::string finding_plots(const CheckReport& report) {
  std::string out;
  constexpr std::size_t most = 12;
  std::size_t drawn = 0;
  std::size_t left_out = 0;
  for (const Verdict verdict : {Verdict::fault, Verdict::watch}) {
    for (const Finding* finding : report.judgement.with(verdict)) {
      const Plot plot = detail::plot_of_finding(report.judgement, *finding);
      if (plot.lines.empty()) continue;
      if (drawn == most) {
        ++left_out;
        continue;
      }
      ++drawn;
      out += "<figure><figcaption>" + badge(verdict) + " " + html_text(plot.title) + ": " +
             html_text(finding->because) + "</figcaption>" +
             svg_plot(report.judgement.recording, plot, report.units) + "</figure>";
    }
  }
  if (out.empty()) return {};
  if (left_out > 0) {
    out += "<p>" + std::to_string(left_out) + " more findings are in the table above.</p>";
  }
  // The heading stays with the first picture.
  const std::size_t first = out.find("</figure>") + std::string_view("</figure>").size();
  return "<section><div class=\"keep\">" + element("h2", "Evidence") +
         "<p class=\"s\">Shaded: the time in which the limit was held. Dashed: the limit. The band "
         "below each plot shows the phases; start-up, defrost and recovery do not count.</p>" +
         out.substr(0, first) + "</div>" + out.substr(first) + "</section>";
}

std::string module_plots(const CheckReport& report) {
  std::string out;
  for (const Timeline& module : report.judgement.phases.modules) {
    for (const Plot& plot : detail::plots_of_module(report.judgement, module)) {
      out += "<figure>" + element("figcaption", plot.title) +
             svg_plot(report.judgement.recording, plot, report.units) + "</figure>";
    }
  }
  return out.empty() ? out : "<section>" + element("h2", "Outdoor modules") + out + "</section>";
}

/// One row of the table of indoor units.
struct UnitRow {
  Place place;
  Verdict verdict = Verdict::unproven;
  double gas_pipe = std::nan("");  // median while calling in steady work, K
  double off_by = std::nan("");    // largest distance from set point while calling, K
  double calling = 0.0;            // s
};

/// Heating, cooling or both at once: what the system did longest.
PhaseKind main_work(const Phases& phases) {
  std::size_t most = 0;
  PhaseKind out = PhaseKind::heating;
  for (const PhaseKind kind : {PhaseKind::heating, PhaseKind::cooling, PhaseKind::mixed}) {
    const auto& kinds = phases.system.kind_at;
    const auto n = static_cast<std::size_t>(std::count(kinds.begin(), kinds.end(), kind));
    if (n <= most) continue;
    most = n;
    out = kind;
  }
  return out;
}

UnitRow unit_row(const CheckContext& context, const Judgement& judgement, const Place& unit,
                 PhaseKind work) {
  UnitRow row;
  row.place = unit;
  bool any = false;
  for (const Finding& finding : judgement.findings) {
    if (finding.place != unit || finding.verdict == Verdict::unproven) continue;
    row.verdict = any ? std::max(row.verdict, finding.verdict) : finding.verdict;
    any = true;
  }
  const Recording& recording = judgement.recording;
  const CallTrack calls = track_calls(context, unit);
  const Channel* gas = recording.find(unit.text, "gas_pipe_temperature");
  Follower room(recording, controlled_temperature_of(recording, unit));
  Follower set_point(recording, recording.find(unit.text, "set_point"));
  std::vector<float> pipe;
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const float distance = set_point.at(i) - room.at(i);
    const bool counts =
        judgement.phases.system.kind_at[i] == work && calls.state[i] == CallTrack::State::yes;
    if (!counts) continue;
    if (i > 0) row.calling += seconds_between(recording.time[i - 1], recording.time[i]);
    if (gas != nullptr && !is_missing(gas->values[i])) pipe.push_back(gas->values[i]);
    const double off = std::abs(static_cast<double>(distance));
    if (!std::isnan(off) && !(row.off_by >= off)) row.off_by = off;
  }
  if (!pipe.empty()) {
    const auto middle = pipe.begin() + static_cast<std::ptrdiff_t>(pipe.size() / 2);
    std::nth_element(pipe.begin(), middle, pipe.end());
    row.gas_pipe = static_cast<double>(*middle);
  }
  return row;
}

std::string units_table(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  const CheckContext context = context_of(judgement, report.units);
  const PhaseKind work = main_work(judgement.phases);
  const std::string work_name = work == PhaseKind::mixed ? "heating and cooling at once"
                                                         : "steady " + std::string(name_of(work));
  std::vector<UnitRow> rows;
  for (const Place& unit : judgement.recording.places(PlaceKind::indoor)) {
    rows.push_back(unit_row(context, judgement, unit, work));
  }
  if (rows.empty()) return {};
  std::stable_sort(rows.begin(), rows.end(),
                   [](const UnitRow& a, const UnitRow& b) { return a.verdict > b.verdict; });
  const std::string degree(display_symbol(Dimension::temperature, report.units));
  const std::string difference(display_symbol(Dimension::temperature_difference, report.units));
  std::string out =
      "<section>" + element("h2", "Indoor units, the odd one out on top") +
      "<table class=\"fit\"><thead><tr><th>Unit</th><th>Verdict</th><th class=\"n\">Calling in " +
      work_name + "</th><th class=\"n\">Gas-side pipe while calling, median [" + degree +
      "]</th><th class=\"n\">Furthest from set point while calling [" + difference +
      "]</th></tr></thead><tbody>";
  for (const UnitRow& row : rows) {
    out += "<tr>" + element("td", row.place.label()) + "<td>" + badge(row.verdict) +
           "</td><td class=\"n\">" + format_duration(row.calling) + "</td>" +
           number_cell(row.gas_pipe, Dimension::temperature, report.units) +
           number_cell(row.off_by, Dimension::temperature_difference, report.units) + "</tr>";
  }
  return out + "</tbody></table></section>";
}

std::string defrosts_table(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  if (judgement.phases.defrosts.empty()) return {};
  const std::string degree(display_symbol(Dimension::temperature, report.units));
  std::string out =
      "<section>" + element("h2", "Defrosts") +
      "<table class=\"fit\"><thead><tr><th>Module</th><th>Start</th><th>Length</th><th>Since the "
      "last</th><th class=\"n\">Outdoor [" +
      degree +
      "]</th><th class=\"n\">Coil before</th><th class=\"n\">Coil peak</th>"
      "<th class=\"n\">Coil 10 to 20 min after</th></tr></thead><tbody>";
  constexpr std::size_t most = 60;
  std::size_t shown = 0;
  for (const Defrost& d : judgement.phases.defrosts) {
    if (++shown > most) break;
    out += "<tr>" + element("td", d.place.label()) +
           element("td", format_instant(d.start, judgement.recording.clock)) +
           element("td", format_duration(seconds_between(d.start, d.end))) +
           element("td", d.since_last ? format_duration(*d.since_last) : "-") +
           number_cell(d.outdoor_before, Dimension::temperature, report.units) +
           number_cell(d.coil_before, Dimension::temperature, report.units) +
           number_cell(d.coil_peak, Dimension::temperature, report.units) +
           number_cell(d.coil_after, Dimension::temperature, report.units) + "</tr>";
  }
  out += "</tbody></table>";
  if (judgement.phases.defrosts.size() > most) {
    out += "<p>" + std::to_string(judgement.phases.defrosts.size() - most) +
           " more, not listed here.</p>";
  }
  return out + "</section>";
}

std::string quality(const CheckReport& report) {
  const ImportLog& log = report.import.log;
  std::string out = "<section>" + element("h2", "Data quality and assumptions");
  std::string rows;
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (log.count_of(counter) == 0) continue;
    const CounterInfo& info = info_of(counter);
    rows += "<tr><td><code>" + std::string(info.name) + "</code></td><td class=\"n\">" +
            std::to_string(log.count_of(counter)) + "</td>" +
            element("td", name_of(info.severity)) + element("td", info.meaning) + "</tr>";
  }
  out += rows.empty()
             ? "<p>Nothing was set aside.</p>"
             : "<table><thead><tr><th>Counter</th><th class=\"n\">Times</th><th>Severity</th>"
               "<th>What it counts</th></tr></thead><tbody>" +
                   rows + "</tbody></table>";
  std::vector<std::string> assumptions = {refrigerant_sentence(report.judgement)};
  for (const std::string& text : report.import.assumptions) assumptions.push_back(text);
  for (const std::string& text : report.judgement.derived.notes) assumptions.push_back(text);
  if (!report.import.not_understood.empty()) {
    assumptions.push_back("Columns not understood: " + not_understood_text(report.import) + ".");
  }
  out += list_element(assumptions, "");
  const std::vector<std::string> system = system_lines(report);
  if (!system.empty()) out += element("h2", "System sheet") + list_element(system, "");
  return out + "</section>";
}

std::string limits_table(const Judgement& judgement) {
  std::string out = "<section>" + element("h2", "Limits in force");
  const std::vector<std::string> changes = limit_changes(judgement);
  out += element("p", changes.front());
  if (changes.size() > 1) out += list_element({changes.begin() + 1, changes.end()}, "");
  out +=
      "<table class=\"small\"><thead><tr><th>Figure</th><th>Value</th><th>Source</th>"
      "<th>Note</th></tr></thead><tbody>";
  for (const Limit& limit : judgement.limits.all()) {
    const Check* check = find_check(limit.key.substr(0, limit.key.find('.')));
    const bool asked =
        std::find(judgement.asked.begin(), judgement.asked.end(), check) != judgement.asked.end();
    if (check != nullptr && !asked) continue;
    out +=
        std::string(limit.overridden ? "<tr class=\"ov\">" : "<tr>") + "<td><code>" +
        html_text(limit.key) + "</code></td>" +
        element("td", limit.text + (limit.overridden ? " (changed by " + limit.sheet + ")" : "")) +
        element("td", limit.source) + element("td", limit.note) + "</tr>";
  }
  return out + "</tbody></table></section>";
}

std::string footer(const CheckReport& report) {
  std::string out = "<footer><p class=\"s\">coilwright " + std::string(version()) + "; inputs";
  for (const RecordingFile& file : report.judgement.recording.files) {
    out += " " + html_text(file.name) + " (" + file.hash + ")";
  }
  return out + ". The same inputs, limits and version give the same verdict.</p></footer>";
}

}  // namespace

Paper usual_paper(UnitSystem units) { return units == UnitSystem::ip ? Paper::letter : Paper::a4; }

Result<Paper> read_paper(const std::optional<std::string>& text, UnitSystem units) {
  if (!text) return usual_paper(units);
  if (*text == "a4") return Paper::a4;
  if (*text == "letter") return Paper::letter;
  return Error{ErrorCode::invalid_argument, "\"" + *text + "\" is no paper", "--paper",
               "Use a4 or letter"};
}

std::string check_html(const CheckReport& report) {
  return "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
         "content=\"width=device-width,initial-scale=1\"><title>" +
         std::string(title_of(report)) + ": " + std::string(name_of(report.judgement.verdict)) +
         "</title><style>" + std::string(detail::report_style) +
         std::string(detail::page_rule(report.paper == Paper::letter)) +
         "</style></head><body><main>\n" + first_page(report) + "\n" + causes(report) +
         findings_page(report) + "\n" + checks_table(report) + "\n" + finding_plots(report) + "\n" +
         units_table(report) + "\n" + defrosts_table(report) + "\n" + module_plots(report) + "\n" +
         quality(report) + "\n" + limits_table(report.judgement) + "\n" + footer(report) +
         "</main></body></html>\n";
}

}  // namespace cw
