#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/check_report.h"
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
  static std::string percent(double p) {
    const long whole = std::lround(100.0 * p);
    const std::string text = p > 0.0 && whole < 1    ? "<1"
                             : p < 1.0 && whole > 99 ? ">99"
                                                     : std::to_string(whole);
    return std::string(text.size() < 4 ? 4 - text.size() : 0, ' ') + text + " %  ";
  }
  std::string point_text(const Point& p) const {
    const std::string off = p.relative ? std::to_string(std::lround(100.0 * p.uncertainty)) + " %"
                            : p.dimension == Dimension::temperature
                                ? value(p.uncertainty, Dimension::temperature_difference)
                                : value(p.uncertainty, p.dimension);
    return p.what + ": " + value(p.seen, p.dimension) + " seen, " + value(p.healthy, p.dimension) +
           " healthy (+-" + off + "), " + value(p.with_cause, p.dimension) + " with this cause";
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
  const auto place = parse_place(c.place);
  const bool whole = !place || place->kind == PlaceKind::system;
  wrapped("  " + percent(c.probability),
          c.text->title + (whole ? "" : ", " + place->label()) + ": " + severity_text(c, r_.units));
  for (const Point& p : c.speaks_for) wrapped("           for:     ", point_text(p));
  for (const Point& p : c.speaks_against) wrapped("           against: ", point_text(p));
  if (!c.signs.empty())
    wrapped("           checks:  ", "what they found fits: " + list_of(c.signs));
  if (!c.same_as.empty()) {
    constexpr std::size_t most = 4;
    std::vector<std::string> others = c.same_as;
    if (others.size() > most + 1) {
      others.resize(most);
      others.push_back(std::to_string(c.same_as.size() - most) + " more");
    }
    wrapped("           alike:   ", "these readings cannot tell it from " + list_of(others));
  }
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
    // The first three in full; what follows only if it counts.
    if (++shown > 3 && c.probability < 0.03) continue;
    cause(c);
  }
  if (!healthy_done) healthy();
  wrapped("  " + percent(d_.unknown), "something that is not in the list of causes");
  for (const auto& pair : d_.pairs) {
    wrapped("  ", "Of these, two at once: " + pair.first + " and " + pair.second + ", " +
                      percent(pair.probability).substr(2));
  }
  line();
}

void Writer::next() {
  if (d_.next.empty()) return;
  line("What would tell more, the most for the effort first");
  for (std::size_t k = 0; k < d_.next.size(); ++k) {
    const diagnose::NextTest& t = d_.next[k];
    const auto place = parse_place(t.place);
    wrapped("  " + std::to_string(k + 1) + ". ",
            (place && !t.place.empty() ? "(" + place->label() + ") " : std::string()) +
                t.test->what + " About " + format_duration(60.0 * t.test->effort_min) + "; tells " +
                number_text(std::round(100.0 * t.information) / 100.0, 3) + " bit.");
  }
  line();
}

void Writer::charge() {
  if (!d_.charge) return;
  const diagnose::ChargeEstimate& c = *d_.charge;
  line("Refrigerant");
  if (c.proven) {
    wrapped("  ", "Charge: " + value(c.kg, Dimension::mass) + ", 90 % between " +
                      value(c.low_kg, Dimension::mass) + " and " +
                      value(c.high_kg, Dimension::mass) + "; the sheet says " +
                      value(c.sheet_kg, Dimension::mass) + ". " + c.why);
  } else {
    wrapped("  ", "Charge: unproven; the sheet says " + value(c.sheet_kg, Dimension::mass) + ". " +
                      c.why);
  }
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
  const std::string machine = d_.days.front().fitted ? "as the machine is now"
                              : d_.generic           ? "a sound machine of this size"
                                                     : "a sound machine as the sheet says";
  line("On the design days, " + machine + ", all units calling");
  for (const diagnose::DesignDay& day : d_.days) {
    const std::string lead = std::string(day.cooling ? "Cooling" : "Heating") + " at " +
                             value(day.outdoor_K, Dimension::temperature) + ": ";
    if (!day.solved) {
      wrapped("  ", lead + "unproven, the twin finds no steady state there.");
      continue;
    }
    std::string text = lead + value(day.heat_W, Dimension::power);
    if (day.fitted && day.healthy_heat_W > 0.0) {
      text += ", " + std::to_string(std::lround(100.0 * day.heat_W / day.healthy_heat_W)) +
              " % of what it gives healthy";
    }
    text += "; discharge " + value(day.discharge_K, Dimension::temperature) + " (slows down at " +
            value(day.discharge_limit_K, Dimension::temperature) + ")";
    if (day.slowed) text += "; a limit slows the compressor down";
    text += day.accumulator_level > 1.0
                ? "; the accumulator overflows: liquid reaches the compressor"
                : "; accumulator " + std::to_string(std::lround(100.0 * day.accumulator_level)) +
                      " % full";
    wrapped("  ", text + ".");
  }
  line();
}

void Writer::rests_on() {
  line("What this rests on");
  std::string spans;
  const Clock& clock = r_.judgement.recording.clock;
  for (const Diagnosis::Seen& m : d_.moments) {
    spans += (spans.empty() ? "" : "; ") + format_instant(m.start, clock) + " to " +
             format_instant(m.end, clock).substr(11) + " (" + std::string(name_of(m.kind)) + ", " +
             value(m.outdoor_K, Dimension::temperature) + " outdoors, " +
             std::to_string(m.calling) + " units calling)";
  }
  wrapped("  - ", std::to_string(d_.readings) + " readings compared at: " + spans + ".");
  if (d_.generic) {
    wrapped("  - ",
            "No system sheet: the readings were compared with a generic machine of the recording's "
            "units and usual sizes. It can only tell what is far off. --system SHEET compares with "
            "this machine.");
  } else {
    wrapped("  - ", "The twin of the sheet \"" + d_.system +
                        "\": " + std::to_string(d_.assumptions.size()) +
                        " of its figures are assumed (coilwright sheet lists them).");
  }
  if (d_.compared_with_sound) {
    wrapped("  - ",
            "What the sound machine and its twin differed by in the earlier recording was "
            "taken off.");
  }
  wrapped("  - ",
          "Mean squared distance from a healthy machine: " + number_text(d_.healthy_misfit, 3) +
              " (about 1 where sheet, twin and sensors are as good as assumed).");
  wrapped("  - ", "How often a cause occurs at all: " + diagnose::cause_book().prior_source +
                      " (data/causes).");
  wrapped("  - ", "Probabilities were calibrated on: " + diagnose::cause_book().fitted_on + ".");
  for (const std::string& note : d_.notes) wrapped("  - ", note);
  if (!d_.not_calculated.empty()) {
    wrapped("  - ", "Not calculated, because the twin finds no steady state with it: " +
                        list_of(d_.not_calculated) + ".");
  }
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
