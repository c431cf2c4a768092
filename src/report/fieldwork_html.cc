#include <algorithm>
#include <ctime>

#include "base/version.h"
#include "report/check_report.h"
#include "report/detail/style.h"
#include "report/fieldwork_report.h"
#include "report/svg_plot.h"

namespace cw {
namespace {

using field::Figure;

constexpr std::string_view sheet_style = R"css(
.verdict{border:2px solid;border-radius:3px;padding:.3em .7em;font-weight:700;display:inline-block;font-size:18px}
.verdict.alarm{color:#fff;background:var(--fault);border-color:var(--fault)}
.head{display:flex;gap:18px;justify-content:space-between;border-bottom:3px solid var(--ink);padding-bottom:6px}
.fill{display:grid;grid-template-columns:1fr 1fr;gap:4px 24px;margin:.8em 0}
.fill div{border-bottom:1px solid var(--soft);min-height:2em;color:var(--soft);font-size:13px;padding-top:.8em}
.src{color:var(--soft);font-size:12px}td.v1{white-space:nowrap;font-variant-numeric:tabular-nums;font-weight:600}
.f{margin:.5em 0;break-inside:avoid}.f p{margin:.1em 0}.f .e{font:13px "DejaVu Sans Mono",monospace;padding-left:1em}
.f b{font-weight:700}.sign{margin-top:1.6em;break-inside:avoid;display:grid;grid-template-columns:1fr 1fr;gap:2.4em 24px}
.sign div{border-top:1px solid var(--ink);padding-top:2px;font-size:13px;color:var(--soft)}
.box{min-width:11em}.decide{font-weight:600}
@media print{@page{margin:9mm 14mm 12mm}h1{font-size:16pt}h2{font-size:11pt;margin:.6em 0 .15em}
table{font-size:9pt}table.small{font-size:7.5pt}.f{margin:.3em 0}.f .e{font-size:8.5pt}.src{font-size:8pt}
td,th{padding:1px 8px 0 0}footer{font-size:8pt;margin-top:.6em}footer p{margin:.1em 0}
body{font-size:9pt;line-height:1.25}li{margin:.05em 0}p{margin:.2em 0}.fill{margin:.2em 0 .4em}.fill div{min-height:2.3em;padding-top:.9em}
table.figures td:first-child{width:34%}table.figures td.v1{width:17%}.sign{margin-top:1.2em;gap:2em 24px}
.pair{display:flex;gap:0 18px;font-size:8.5pt;line-height:1.22}.pair section{flex:1 1 0}.pair ul{padding-left:1.2em}}
)css";

std::string element(const std::string& tag, std::string_view text) {
  return "<" + tag + ">" + html_text(text) + "</" + tag + ">";
}

std::string list_section(const std::string& head, const std::vector<std::string>& items) {
  if (items.empty()) return {};
  std::string out = "<section class=\"keep\">" + element("h2", head) + "<ul>";
  for (const std::string& item : items) out += element("li", item);
  return out + "</ul></section>";
}

std::string interval(const Figure& figure, UnitSystem units, double barometer) {
  if (!figure.low && !figure.high) return {};
  const auto shown = [&](const std::optional<double>& value) {
    return value ? field::shown_number(*value, figure.dimension, figure.shown, units, barometer)
                 : std::string("no bound");
  };
  return "<br><span class=\"src\">" + html_text(shown(figure.low)) + " to " +
         html_text(shown(figure.high)) + " (95 %)</span>";
}

std::string figures_section(const std::string& head, const std::vector<Figure>& figures,
                            UnitSystem units, double barometer) {
  if (figures.empty()) return {};
  std::string out = "<section>" + element("h2", head) + "<table class=\"figures\"><tbody>";
  for (const Figure& figure : figures) {
    out += "<tr>" + element("td", figure.label) + "<td class=\"v1\">" +
           html_text(field::shown_text(figure, units, barometer)) +
           interval(figure, units, barometer) + "</td><td class=\"src\">" +
           html_text(figure.source) + "</td></tr>";
  }
  return out + "</tbody></table></section>";
}

bool is_number_column(const field::Table& table, std::size_t column) {
  return std::any_of(table.rows.begin(), table.rows.end(),
                     [&](const auto& row) { return std::holds_alternative<double>(row[column]); });
}

std::string table_section(const field::Table& table, UnitSystem units, double barometer) {
  constexpr std::size_t fits = 5;  // columns at full size on a sheet of A4
  std::string out = "<section>" + element("h2", table.title) +
                    (table.columns.size() > fits ? "<table class=\"small\">" : "<table>") +
                    "<thead><tr>";
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    const auto& column = table.columns[i];
    const bool number = is_number_column(table, i);
    const std::string unit =
        number ? field::shown_unit(column.dimension, column.shown, units) : std::string();
    out += (number ? "<th class=\"n\">" : "<th>") +
           html_text(column.label + (unit.empty() ? "" : " [" + unit + "]")) + "</th>";
  }
  out += "</tr></thead><tbody>";
  for (const auto& row : table.rows) {
    out += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const auto& column = table.columns[i];
      if (const double* value = std::get_if<double>(&row[i])) {
        out += "<td class=\"n\">" +
               html_text(
                   field::shown_number(*value, column.dimension, column.shown, units, barometer)) +
               "</td>";
      } else {
        const std::string& text = std::get<std::string>(row[i]);
        out += text.empty() ? "<td class=\"box\"></td>" : element("td", text);
      }
    }
    out += "</tr>";
  }
  return out + "</tbody></table></section>";
}

std::string formulas_section(const std::vector<field::Formula>& formulas) {
  if (formulas.empty()) return {};
  std::string out = "<section>" + element("h2", "Formulas with the numbers put in");
  for (const field::Formula& f : formulas) {
    out += "<div class=\"f\"><p><b>" + html_text(f.what) + "</b> <span class=\"src\">" +
           html_text(f.source) + "</span></p><p class=\"e\">" + html_text(f.symbols) +
           "</p><p class=\"e\">= " + html_text(f.numbers) + "</p>";
    if (!f.result.empty()) out += "<p class=\"e\">= <b>" + html_text(f.result) + "</b></p>";
    out += "</div>";
  }
  return out + "</section>";
}

std::string head_section(const field::FieldSheet& sheet, const std::string& date) {
  std::string out = "<header><div class=\"head\"><div>" + element("h1", sheet.title) +
                    "</div><div><p class=\"k\">Date</p><p><b>" + html_text(date) +
                    "</b></p></div></div><div class=\"fill\"><div>Site</div><div>System, serial "
                    "number</div><div>Instruments, calibration due</div><div>Weather, "
                    "remarks</div></div>";
  if (!sheet.verdict.empty()) {
    out += std::string("<p><span class=\"verdict") + (sheet.alarm ? " alarm" : "") + "\">" +
           html_text(sheet.verdict) + "</span></p>";
  }
  for (const std::string& sentence : sheet.because) out += element("p", sentence);
  return out + "</header>";
}

std::string signatures(const std::vector<std::string>& names) {
  std::string out = "<section class=\"sign\">";
  for (const std::string& name : names) {
    out += "<div>" + html_text(name) + ": name, signature, licence</div><div>Date, time</div>";
  }
  return out + "</section>";
}

}  // namespace

std::string local_day() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  ::localtime_r(&now, &local);
  char text[16];
  return std::strftime(text, sizeof text, "%Y-%m-%d", &local) > 0 ? text : "";
}

std::string field_html(const field::FieldSheet& sheet, UnitSystem units, const std::string& today) {
  const std::string& date = sheet.date.empty() ? today : sheet.date;
  std::string out =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
      "content=\"width=device-width,initial-scale=1\">" +
      element("title", sheet.title) + "<style>" + std::string(detail::report_style) +
      std::string(sheet_style) +
      std::string(detail::page_rule(usual_paper(units) == Paper::letter)) +
      "</style></head><body><main>\n";
  out += head_section(sheet, date);
  out += figures_section("Result", sheet.results, units, sheet.barometer);
  for (const field::Table& table : sheet.tables) {
    out += table_section(table, units, sheet.barometer);
  }
  out += figures_section("Entered", sheet.inputs, units, sheet.barometer);
  out += formulas_section(sheet.formulas);
  // Short lines beside each other on paper, where most sheets are to be one page.
  out += "<div class=\"pair\">" + list_section("What to do next", sheet.next) +
         list_section("What this cannot show", sheet.limits) + "</div>";
  // Nobody signs a sheet of paper on which nothing else stands.
  out += "<div class=\"keep\"><div class=\"pair\">" + list_section("Cautions", sheet.cautions) +
         list_section("Sources", sheet.sources) + "</div>";
  out += "<p class=\"decide\">" + html_text(field::who_decides()) + "</p>";
  out += signatures(sheet.signed_by);
  return out + "<footer><p class=\"s\">coilwright " + std::string(version()) + " " +
         html_text(sheet.procedure) +
         ". The same inputs and version give the same "
         "result.</p></footer></div></main></body></html>\n";
}

}  // namespace cw
