#include "report/readings_report.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/version.h"
#include "report/check_report.h"
#include "report/detail/style.h"
#include "report/svg_plot.h"

namespace cw {
namespace {

/// A row of the answer.
struct Row {
  Verdict verdict;
  std::string title;
  std::string place;
  std::string because;
};

std::string verdict_sentence(const Judgement& judgement) {
  switch (judgement.judged_verdict) {
    case Verdict::fault:
    case Verdict::watch:
      return "Something is beyond its limit at this moment. Whether it is held, and is a fault, "
             "only a recording shows.";
    case Verdict::ok:
      return "Nothing is beyond its limit at this moment. One moment proves no health: record at "
             "least half an hour of steady work and check that.";
    case Verdict::unproven:
      break;
  }
  return "These readings are too few to answer any question.";
}

/// What can be said, worst first; then what cannot.
std::vector<Row> rows_of(const Judgement& judgement, bool open) {
  std::vector<Row> out;
  for (const Verdict verdict : {Verdict::fault, Verdict::watch, Verdict::unproven, Verdict::ok}) {
    for (const Finding* finding : judgement.with(verdict)) {
      const bool missing_reading = verdict == Verdict::unproven && finding->measures.empty();
      if (missing_reading != open) continue;
      out.push_back(
          {verdict, find_check(finding->check)->title, finding->place.label(), finding->because});
    }
  }
  return out;
}

std::vector<std::string> open_titles(const Judgement& judgement) {
  std::vector<std::string> out;
  for (const Row& row : rows_of(judgement, true)) {
    std::string why = row.because.substr(0, row.because.size() - 1);
    constexpr std::string_view in_log = " in the log";
    if (why.ends_with(in_log)) why.resize(why.size() - in_log.size());
    const std::string text = row.title + " (" + why + ")";
    if (std::find(out.begin(), out.end(), text) == out.end()) out.push_back(text);
  }
  return out;
}

std::string values_line(const Judgement& judgement, const std::string& name, UnitSystem units) {
  for (const Channel& channel : judgement.recording.channels) {
    if (channel.name() != name) continue;
    const double v = static_cast<double>(channel.values[0]);
    const bool plain = channel.quantity->name == "pressure_ratio";  // nobody says 580 %
    return channel.place.label() + ", " + channel.quantity->label + " " +
           (plain ? number_text(v, 3) : format_si(v, channel.quantity->dimension, units));
  }
  return {};
}

/// What the person typed, one line each; that a unit counts as calling is said elsewhere.
std::vector<std::string> typed_lines(const ReadingsReport& report) {
  const Judgement& judgement = report.judgement;
  const std::vector<std::string>& derived = judgement.derived.derived;
  std::vector<std::string> out;
  for (const Channel& channel : judgement.recording.channels) {
    const bool worked_out =
        std::find(derived.begin(), derived.end(), channel.name()) != derived.end();
    if (worked_out || channel.quantity->dimension == Dimension::flag) continue;
    out.push_back(values_line(judgement, channel.name(), report.units));
  }
  return out;
}

std::string list_section(const std::string& title, const std::vector<std::string>& items) {
  if (items.empty()) return {};
  std::string out = "<section><h2>" + title + "</h2><ul class=\"two\">";
  for (const std::string& item : items) out += "<li>" + html_text(item) + "</li>";
  return out + "</ul></section>";
}

std::string mode_line(const ReadingsReport& report) {
  return "Stated mode " + std::string(name_of(report.judgement.phases.system.kind_at[0])) + ", " +
         report.judgement.refrigerant + ", gauge readings with the " + report.barometer +
         ", limit sheet \"" + report.judgement.limits.name() + "\". Indoor units count as calling.";
}

}  // namespace

std::string readings_text(const ReadingsReport& report) {
  const Judgement& judgement = report.judgement;
  std::string out = "Verdict of this moment: " + std::string(name_of(judgement.judged_verdict)) +
                    "\n\n" + verdict_sentence(judgement) + "\n\nWhat the readings say\n";
  for (const Row& row : rows_of(judgement, false)) {
    const std::string word(name_of(row.verdict));
    out += "  " + word + std::string(word.size() < 10 ? 10 - word.size() : 1, ' ') + row.title +
           ", " + row.place + ": " + row.because + "\n";
  }
  const std::vector<std::string> typed = typed_lines(report);
  if (!typed.empty()) out += "\nReadings as understood\n";
  for (const std::string& line : typed) out += "  " + line + "\n";
  if (!judgement.derived.derived.empty()) out += "\nWorked out\n";
  for (const std::string& name : judgement.derived.derived) {
    out += "  " + values_line(judgement, name, report.units) + "\n";
  }
  const std::vector<std::string> open = open_titles(judgement);
  if (!open.empty()) out += "\nNot asked for lack of a reading\n";
  for (const std::string& title : open) out += "  " + title + "\n";
  out += "\n" + mode_line(report) + "\n";
  for (const std::string& note : judgement.derived.notes) out += note + "\n";
  for (const std::string& caution : check_cautions()) out += caution + "\n";
  return out;
}

std::string readings_json(const ReadingsReport& report) {
  using Json = nlohmann::ordered_json;
  const auto rounded = [](double v) -> Json {
    double out = v;
    if (std::isnan(v) || !read_number(number_text(v, 6), out)) return nullptr;
    return out;
  };
  const Judgement& judgement = report.judgement;
  Json out;
  out["schema"] = "coilwright.readings/1";
  out["program"] = {{"name", "coilwright"}, {"version", version()}};
  out["verdict_of_the_moment"] = name_of(judgement.judged_verdict);
  out["meaning"] = verdict_sentence(judgement);
  out["mode"] = name_of(judgement.phases.system.kind_at[0]);
  out["refrigerant"] = judgement.refrigerant;
  out["limit_sheet"] = judgement.limits.name();
  Json values = Json::array();
  for (const Channel& channel : judgement.recording.channels) {
    values.push_back({{"channel", channel.name()},
                      {"value", rounded(static_cast<double>(channel.values[0]))},
                      {"unit", si_symbol(channel.quantity->dimension)},
                      {"origin", channel.origin}});
  }
  out["values"] = values;
  Json checks = Json::array();
  for (const Finding& finding : judgement.findings) {
    Json row = {{"id", finding.check},
                {"place", finding.place.text},
                {"verdict", name_of(finding.verdict)},
                {"because", finding.because}};
    for (const Measure& m : finding.measures) {
      row["measures"].push_back({{"name", m.name},
                                 {"value", rounded(m.value)},
                                 {"unit", si_symbol(m.dimension)},
                                 {"uncertainty", rounded(m.uncertainty)},
                                 {"expected_low", rounded(m.expected_low)},
                                 {"expected_high", rounded(m.expected_high)},
                                 {"direction", name_of(m.direction())}});
    }
    checks.push_back(std::move(row));
  }
  out["checks"] = checks;
  out["cautions"] = check_cautions();
  return out.dump(2) + "\n";
}

std::string readings_html(const ReadingsReport& report) {
  const Judgement& judgement = report.judgement;
  const auto cell = [](const std::string& text) { return "<td>" + html_text(text) + "</td>"; };
  std::string out =
      "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>Readings"
      "</title><style>" +
      std::string(detail::report_style) +
      std::string(detail::page_rule(usual_paper(report.units) == Paper::letter)) +
      "</style></head><body><main><header><h1>" +
      "Verdict of this moment: " + std::string(name_of(judgement.judged_verdict)) + "</h1><p>" +
      html_text(verdict_sentence(judgement)) + "</p><p>" + html_text(mode_line(report)) +
      "</p></header><section><h2>What the readings "
      "say</h2><table><thead><tr><th>Check</th><th>Where</th><th>Verdict</th>"
      "<th>Because</th></tr></thead><tbody>";
  for (const Row& row : rows_of(judgement, false)) {
    const std::string word(name_of(row.verdict));
    out += "<tr>" + cell(row.title) + cell(row.place) + "<td><span class=\"v v-" + word + "\">" +
           word + "</span></td>" + cell(row.because) + "</tr>";
  }
  std::vector<std::string> worked_out;
  for (const std::string& name : judgement.derived.derived) {
    worked_out.push_back(values_line(judgement, name, report.units));
  }
  out += "</tbody></table></section>" +
         list_section("Readings as understood", typed_lines(report)) +
         list_section("Worked out", worked_out) +
         list_section("Not asked for lack of a reading", open_titles(judgement)) + "<footer>";
  for (const std::string& caution : check_cautions()) {
    out += "<p class=\"s\">" + html_text(caution) + "</p>";
  }
  return out + "</footer></main></body></html>\n";
}

}  // namespace cw
