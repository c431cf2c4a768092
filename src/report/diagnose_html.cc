#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/detail/causes_section.h"
#include "report/detail/diagnose_words.h"
#include "report/detail/html.h"

namespace cw::detail {
namespace {

using diagnose::Diagnosis;
using diagnose::Point;
using diagnose::RankedCause;

class Section {
 public:
  explicit Section(const DiagnoseReport& report) : r_(report), d_(report.diagnosis) {}

  std::string run() {
    std::string out = "<section class=\"page\">" + element("h2", "Likely causes") +
                      element("p", diagnose_answer(r_));
    if (!d_.unproven.empty()) return out + "</section>";
    out += ranking() + "</section>" + details() + next() + refrigerant() + days() + basis();
    return out;
  }

 private:
  std::string value(double si, Dimension dimension) const {
    return format_si(si, dimension, r_.units);
  }
  static std::string place_cell(const std::string& place) {
    const std::string words = cause_place(place);
    return element("td", words.empty() ? "the whole system" : words);
  }
  static std::string share_cell(double probability);
  static std::string rank_row(double probability, const std::string& title,
                              const std::string& place, const std::string& severity);
  std::string ranking() const;
  std::string points(const char* title, const std::vector<Point>& list) const;
  std::string cause(const RankedCause& c) const;
  std::string details() const;
  std::string next() const;
  std::string refrigerant() const;
  std::string days() const;
  std::string basis() const;

  const DiagnoseReport& r_;
  const Diagnosis& d_;
};

/// The number, and a bar that says the same.
std::string Section::share_cell(double probability) {
  const long width = std::lround(100.0 * std::clamp(probability, 0.0, 1.0));
  return "<td class=\"n\">" + html_text(percent_text(probability)) +
         "</td><td class=\"bar\" aria-hidden=\"true\"><span style=\"width:" +
         std::to_string(width) + "%\"></span></td>";
}

std::string Section::rank_row(double probability, const std::string& title,
                              const std::string& place, const std::string& severity) {
  return "<tr>" + share_cell(probability) + element("td", title) + place + element("td", severity) +
         "</tr>";
}

std::string Section::ranking() const {
  struct Row {
    double probability;
    std::string html;
  };
  std::vector<Row> rows;
  for (const RankedCause& c : d_.causes) {
    rows.push_back({c.probability, rank_row(c.probability, c.text->title, place_cell(c.place),
                                            severity_text(c, r_.units))});
  }
  const auto beside = [&](double probability, const char* words) {
    rows.push_back({probability, rank_row(probability, words, element("td", ""), "")});
  };
  beside(d_.healthy, "nothing is wrong that these readings would show");
  beside(d_.unknown, "something that is not in the list of causes");
  std::stable_sort(rows.begin(), rows.end(),
                   [](const Row& a, const Row& b) { return a.probability > b.probability; });
  std::string out =
      "<table class=\"causes\"><thead><tr><th class=\"n\" colspan=\"2\">Probability</th>"
      "<th>Cause</th><th>Where</th><th>How much (5 % lie below and above)</th></tr></thead><tbody>";
  for (const Row& row : rows) out += row.html;
  out += "</tbody></table>";
  std::vector<std::string> pairs;
  for (const diagnose::RankedPair& pair : d_.pairs) pairs.push_back(pair_text(pair));
  return out + (pairs.empty() ? "" : list_element(pairs, ""));
}

std::string Section::points(const char* title, const std::vector<Point>& list) const {
  std::string out;
  for (const Point& p : list) {
    out += "<tr>" + element("td", title) + element("td", p.what) + "<td class=\"n\">" +
           html_text(value(p.seen, p.dimension)) + "</td><td class=\"n\">" +
           html_text(value(p.healthy, p.dimension) + " (" + spread_text(p, r_.units) + ")") +
           "</td><td class=\"n\">" + html_text(value(p.with_cause, p.dimension)) + "</td></tr>";
  }
  return out;
}

std::string Section::cause(const RankedCause& c) const {
  const std::string place = cause_place(c.place);
  std::string out = "<div class=\"keep\">" +
                    element("h3", percent_text(c.probability) + ": " + c.text->title +
                                      (place.empty() ? "" : ", " + place)) +
                    element("p", c.text->look);
  const std::string rows = points("for", c.speaks_for) + points("against", c.speaks_against);
  if (rows.empty()) {
    out += element("p", "No single reading speaks for or against it by more than a sigma.");
  } else {
    out +=
        "<table><thead><tr><th>Speaks</th><th>Reading</th><th class=\"n\">Seen</th>"
        "<th class=\"n\">Healthy (one sigma)</th><th class=\"n\">With this cause</th></tr>"
        "</thead><tbody>" +
        rows + "</tbody></table>";
  }
  const auto sentence = [&](const char* lead, const std::string& text) {
    if (!text.empty()) out += "<p class=\"s\">" + html_text(lead + text) + ".</p>";
  };
  sentence("Checks: ", signs_text(c));
  sentence("Alike: ", alike_text(c));
  return out + "</div>";
}

std::string Section::details() const {
  std::string out;
  std::size_t shown = 0;
  for (const RankedCause& c : d_.causes) {
    if (is_told_in_full(++shown, c.probability)) out += cause(c);
  }
  if (out.empty()) return out;
  return "<section>" + element("h2", "What speaks for and against them") + out + "</section>";
}

std::string Section::next() const {
  if (d_.next.empty()) return {};
  std::string out =
      "<section>" + element("h2", "What would tell more, the most for the effort first") + "<ol>";
  for (const diagnose::NextTest& t : d_.next) {
    out += "<li>" + html_text(test_text(t)) + " <span class=\"s\">" + html_text(test_effort(t)) +
           "</span></li>";
  }
  return out + "</ol></section>";
}

std::string Section::refrigerant() const {
  if (!d_.charge) return {};
  std::string out = "<section>" + element("h2", "Refrigerant") + element("p", charge_text(r_));
  if (!d_.stores.empty()) {
    out +=
        "<table class=\"fit keep\"><thead><tr><th>Where it was at the end of the hours compared, "
        "from the twin</th><th class=\"n\">Mass</th><th class=\"n\">From</th><th "
        "class=\"n\">To</th></tr></thead><tbody>";
    for (const diagnose::Store& s : d_.stores) {
      out += "<tr>" + element("td", s.place);
      for (const double kg : {s.kg, s.low_kg, s.high_kg}) {
        out += "<td class=\"n\">" + html_text(value(kg, Dimension::mass)) + "</td>";
      }
      out += "</tr>";
    }
    out += "</tbody></table>";
  }
  return out + "</section>";
}

std::string Section::days() const {
  if (d_.days.empty()) return {};
  std::vector<std::string> lines;
  for (const diagnose::DesignDay& day : d_.days) lines.push_back(day_text(day, r_.units));
  return "<section class=\"keep\">" + element("h2", days_title(d_)) + list_element(lines, "") +
         "</section>";
}

std::string Section::basis() const {
  return "<section>" + element("h2", "What the causes rest on") +
         list_element(basis_lines(r_), "") + "</section>";
}

}  // namespace

std::string causes_section(const DiagnoseReport& report) { return Section(report).run(); }

}  // namespace cw::detail
