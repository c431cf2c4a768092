#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/check_report.h"
#include "report/detail/diagnose_words.h"
#include "report/detail/wrapped_text.h"
#include "report/diagnose_report.h"

namespace cw {
namespace {

using diagnose::Diagnosis;
using diagnose::Point;
using diagnose::RankedCause;

class Writer {
 public:
  Writer(const DiagnoseReport& report, std::size_t width)
      : r_(report), d_(report.diagnosis), width_(std::max<std::size_t>(width, 40)) {}

  std::string run() {
    first_screen();
    if (!d_.unproven.empty()) {
      cautions();
      return std::move(out_);
    }
    causes();
    next();
    charge();
    days();
    rests_on();
    cautions();
    return std::move(out_);
  }

 private:
  void line(const std::string& text = {}) { out_ += text + "\n"; }
  /// Text behind `lead`, wrapped under itself.
  void wrapped(const std::string& lead, std::string_view text) {
    detail::append_wrapped(out_, lead, text, width_);
  }
  std::string value(double si, Dimension dimension) const {
    return format_si(si, dimension, r_.units);
  }
  /// In a column of its own.
  static std::string percent(double p) {
    const std::string text = detail::percent_text(p);
    return std::string(text.size() < 6 ? 6 - text.size() : 0, ' ') + text + "  ";
  }
  std::string point_text(const Point& p) const {
    return p.what + ": " + value(p.seen, p.dimension) + " seen, " + value(p.healthy, p.dimension) +
           " healthy (" + detail::spread_text(p, r_.units) + "), " +
           value(p.with_cause, p.dimension) + " with this cause";
  }
  void first_screen();
  void causes();
  void cause(const RankedCause& c);
  void next();
  void charge();
  void days();
  void rests_on();
  void cautions();

  const DiagnoseReport& r_;
  const Diagnosis& d_;
  std::size_t width_;
  std::string out_;
};

void Writer::first_screen() {
  line("Is something wrong, and what?");
  wrapped("  ", diagnose_answer(r_));
  if (const RankedCause* named = d_.named()) {
    line();
    line("What does it mean, and what is to be done?");
    wrapped("  ", named->text->owner);
    wrapped("  ", named->text->look);
  }
  line();
}

void Writer::cause(const RankedCause& c) {
  const std::string place = detail::cause_place(c.place);
  wrapped("  " + percent(c.probability),
          c.text->title + (place.empty() ? "" : ", " + place) + ": " + severity_text(c, r_.units));
  for (const Point& p : c.speaks_for) wrapped("           for:     ", point_text(p));
  for (const Point& p : c.speaks_against) wrapped("           against: ", point_text(p));
  const std::string signs = detail::signs_text(c);
  if (!signs.empty()) wrapped("           checks:  ", signs);
  const std::string alike = detail::alike_text(c);
  if (!alike.empty()) wrapped("           alike:   ", alike);
}

void Writer::causes() {
  line("Causes, by probability");
  bool healthy_done = false;
  const auto healthy = [&] {
    wrapped("  " + percent(d_.healthy), "nothing is wrong that these readings would show");
    healthy_done = true;
  };
  std::size_t shown = 0;
  for (const RankedCause& c : d_.causes) {
    if (!healthy_done && d_.healthy >= c.probability) healthy();
    if (detail::is_told_in_full(++shown, c.probability)) cause(c);
  }
  if (!healthy_done) healthy();
  wrapped("  " + percent(d_.unknown), "something that is not in the list of causes");
  for (const auto& pair : d_.pairs) wrapped("  ", detail::pair_text(pair));
  line();
}

void Writer::next() {
  if (d_.next.empty()) return;
  line("What would tell more, the most for the effort first");
  for (std::size_t k = 0; k < d_.next.size(); ++k) {
    wrapped("  " + std::to_string(k + 1) + ". ",
            detail::test_text(d_.next[k]) + " " + detail::test_effort(d_.next[k]));
  }
  line();
}

void Writer::charge() {
  if (!d_.charge) return;
  line("Refrigerant");
  wrapped("  ", detail::charge_text(r_));
  if (!d_.stores.empty()) {
    wrapped("  ", "Where it was at the end of the hours compared, from the twin:");
    for (const diagnose::Store& s : d_.stores) {
      line("    " + s.place + std::string(s.place.size() < 24 ? 24 - s.place.size() : 1, ' ') +
           value(s.kg, Dimension::mass) + "  (" + value(s.low_kg, Dimension::mass) + " to " +
           value(s.high_kg, Dimension::mass) + ")");
    }
  }
  line();
}

void Writer::days() {
  if (d_.days.empty()) return;
  line(detail::days_title(d_));
  for (const diagnose::DesignDay& day : d_.days) wrapped("  ", detail::day_text(day, r_.units));
  line();
}

void Writer::rests_on() {
  line("What this rests on");
  for (const std::string& text : detail::basis_lines(r_)) wrapped("  - ", text);
  line();
}

void Writer::cautions() {
  line("Cautions");
  for (const std::string& caution : check_cautions()) wrapped("  - ", caution);
}

}  // namespace

std::string diagnose_text(const DiagnoseReport& report, std::size_t width) {
  return Writer(report, width).run();
}

}  // namespace cw
