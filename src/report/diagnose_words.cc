#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "base/text.h"
#include "report/check_report.h"
#include "report/detail/diagnose_words.h"

namespace cw {
namespace {

using diagnose::RankedCause;

/// What a severity is, in words around its number.
struct SeverityWords {
  std::string_view cause, before, after;
};
constexpr std::array severity_words = {
    SeverityWords{"undercharge", "", " of the charge is missing"},
    SeverityWords{"leak", "", " of the charge gone by the end of the recording"},
    SeverityWords{"overcharge", "", " of the charge too much"},
    SeverityWords{"non-condensables", "nitrogen of ", " of the charge's mass"},
    SeverityWords{"outdoor-airflow", "", " of the airflow lost"},
    SeverityWords{"frost-stays", "", " of the airflow lost by the longest time without a defrost"},
    SeverityWords{"reversing-valve-leak", "hot gas of ", " of the rated flow"},
    SeverityWords{"compressor-leak", "", " of the ideal flow lost inside"},
    SeverityWords{"compressor-friction", "", " more power"},
    SeverityWords{"outdoor-valve-closed", "open ", " less than it should be"},
    SeverityWords{"outdoor-valve-open", "open ", " more than it should be"},
    SeverityWords{"indoor-valve-closed", "open ", " less than it should be"},
    SeverityWords{"indoor-valve-open", "open ", " more than it should be"},
    SeverityWords{"indoor-valve-leak", "still ", " open when shut"},
    SeverityWords{"filter", "", " of the airflow lost"},
};

std::string amount(double si, Dimension dimension, UnitSystem units) {
  if (dimension == Dimension::ratio && std::abs(si) < 0.01) {
    std::string text = std::to_string(std::round(si * 1e4) / 100.0);
    return text.substr(0, text.find('.') + 3) + " %";
  }
  return format_si(si, dimension, units);
}

std::string share(double probability) {
  const double percent = 100.0 * probability;
  if (percent >= 99.0) return "over 99 %";
  if (percent < 1.0) return "under 1 %";
  return std::to_string(std::lround(percent)) + " %";
}

std::string at_place(const RankedCause& cause) {
  const std::string place = detail::cause_place(cause.place);
  return place.empty() ? place : ", " + place;
}

}  // namespace

std::string severity_text(const RankedCause& cause, UnitSystem units) {
  if (cause.by_table) return "how much is not known: the twin finds no state with it";
  const Dimension dimension = cause.kind->severity;
  const std::string best = amount(cause.severity, dimension, units);
  const std::string low = amount(cause.low, dimension, units);
  const std::string high = amount(cause.high, dimension, units);
  const std::string range =
      low == best && high == best ? std::string() : " (" + low + " to " + high + ")";
  for (const SeverityWords& words : severity_words) {
    if (words.cause != cause.kind->id) continue;
    return std::string(words.before) + best + range + std::string(words.after);
  }
  return "off by " + best + range;
}

std::string diagnose_answer(const DiagnoseReport& report) {
  const diagnose::Diagnosis& d = report.diagnosis;
  if (!d.unproven.empty()) return "Unproven: " + d.unproven;
  const RankedCause* named = d.named();
  if (d.far_from_twin()) {
    // The mean squared distance in its own measure: as a distance it can be pictured.
    const std::string far =
        "No cause in the list explains it: with every one of them the readings stay far from what "
        "the model of this machine says (how far they lie from what is expected: " +
        number_text(std::sqrt(d.left_misfit), 2) + ", 1 is as expected). ";
    return far + (report.judgement.system
                      ? "Compare the sheet with the machine first."
                      : "There is no system sheet: the model is of a usual machine of this size. "
                        "Give the sheet of this one first.");
  }
  if (named == nullptr && !d.outside.empty()) {
    const std::size_t n = d.outside.size();
    return "Unproven: " + (n == 1 ? std::string("a finding") : std::to_string(n) + " findings") +
           " of the checks " + (n == 1 ? "lies" : "lie") +
           " outside the hours that could be compared, and the causes behind were not looked for. "
           "In the hours compared, that nothing is wrong has " +
           share(d.healthy) + ".";
  }
  if (named == nullptr && !d.causes.empty() && d.causes.front().probability > d.healthy &&
      d.causes.front().probability > d.unknown) {
    return "No cause is sure enough to be named. The likeliest is " + d.causes.front().text->title +
           at_place(d.causes.front()) + " with " + share(d.causes.front().probability) +
           "; that nothing is wrong has " + share(d.healthy) + ".";
  }
  if (named == nullptr && d.healthy >= d.unknown) {
    const std::string first = "No cause is named: with " + share(d.healthy) +
                              " nothing is wrong that these readings would show.";
    if (d.causes.empty() || d.causes.front().probability < 0.05) return first;
    return first + " Next comes " + d.causes.front().text->title + at_place(d.causes.front()) +
           " with " + share(d.causes.front().probability) + ".";
  }
  if (named == nullptr) {
    return "Something is off (" + share(1.0 - d.healthy) +
           "), and no cause in the list explains it. Look at the readings that are furthest off, "
           "and at the sheet.";
  }
  const std::string what =
      named->text->title + at_place(*named) + " (" + share(named->probability) + ")";
  if (named->probability >= 0.8) return "Probably " + what + ".";
  if (named->probability >= 0.5) return "More likely than not " + what + ".";
  return "Something is probably wrong (" + share(1.0 - d.healthy) + "); first of several: " + what +
         ".";
}

namespace detail {

using diagnose::Diagnosis;

std::string percent_text(double p) {
  const long whole = std::lround(100.0 * p);
  return (p > 0.0 && whole < 1    ? "<1"
          : p < 1.0 && whole > 99 ? ">99"
                                  : std::to_string(whole)) +
         " %";
}

std::string cause_place(const std::string& text) {
  const auto place = parse_place(text);
  return place && place->kind != PlaceKind::system ? place->label() : std::string();
}

std::string spread_text(const diagnose::Point& p, UnitSystem units) {
  return "± " + (p.relative ? std::to_string(std::lround(100.0 * p.uncertainty)) + " %"
                 : p.dimension == Dimension::temperature
                     ? format_si(p.uncertainty, Dimension::temperature_difference, units)
                     : format_si(p.uncertainty, p.dimension, units));
}

std::string signs_text(const RankedCause& cause) {
  return cause.signs.empty() ? "" : "what they found fits: " + list_of(cause.signs);
}

std::string alike_text(const RankedCause& cause) {
  if (cause.same_as.empty()) return {};
  constexpr std::size_t most = 4;
  std::vector<std::string> others = cause.same_as;
  if (others.size() > most + 1) {
    others.resize(most);
    others.push_back(std::to_string(cause.same_as.size() - most) + " more");
  }
  return "these readings cannot tell it from " + list_of(others);
}

bool is_told_in_full(std::size_t place, double probability) {
  return place <= 3 || probability >= 0.03;
}

std::string pair_text(const diagnose::RankedPair& pair) {
  return "Of these, two at once: " + pair.first + " and " + pair.second + ", " +
         percent_text(pair.probability);
}

std::string test_text(const diagnose::NextTest& t) {
  const std::string place = t.place.empty() ? std::string() : cause_place(t.place);
  return (place.empty() ? place : "(" + place + ") ") + t.test->what;
}

std::string test_effort(const diagnose::NextTest& t) {
  return "About " + format_duration(60.0 * t.test->effort_min) + "; tells " +
         number_text(std::round(100.0 * t.information) / 100.0, 3) + " bit.";
}

std::string charge_text(const DiagnoseReport& report) {
  const diagnose::ChargeEstimate& c = *report.diagnosis.charge;
  const auto mass = [&](double kg) { return format_si(kg, Dimension::mass, report.units); };
  const std::string sheet = "; the sheet says " + mass(c.sheet_kg) + ". " + c.why;
  if (!c.proven) return "Charge: unproven" + sheet;
  return "Charge: " + mass(c.kg) + ", 90 % between " + mass(c.low_kg) + " and " + mass(c.high_kg) +
         sheet;
}

std::string days_title(const Diagnosis& d) {
  const std::string machine = !d.days.empty() && d.days.front().fitted ? "as the machine is now"
                              : d.generic ? "a sound machine of this size"
                                          : "a sound machine as the sheet says";
  return "On the design days, " + machine + ", all units calling";
}

std::string day_text(const diagnose::DesignDay& day, UnitSystem units) {
  const auto value = [&](double si, Dimension dimension) {
    return format_si(si, dimension, units);
  };
  std::string out = std::string(day.cooling ? "Cooling" : "Heating") + " at " +
                    value(day.outdoor_K, Dimension::temperature) + ": ";
  if (!day.solved) return out + "unproven, the twin finds no steady state there.";
  out += value(day.heat_W, Dimension::power);
  if (day.fitted && day.healthy_heat_W > 0.0) {
    out += ", " + std::to_string(std::lround(100.0 * day.heat_W / day.healthy_heat_W)) +
           " % of what it gives healthy";
  }
  out += "; discharge " + value(day.discharge_K, Dimension::temperature) + " (slows down at " +
         value(day.discharge_limit_K, Dimension::temperature) + ")";
  if (day.slowed) out += "; a limit slows the compressor down";
  out += day.accumulator_level > 1.0
             ? "; the accumulator overflows: liquid reaches the compressor"
             : "; accumulator " + std::to_string(std::lround(100.0 * day.accumulator_level)) +
                   " % full";
  return out + ".";
}

std::vector<std::string> rests_on_lines(const DiagnoseReport& report) {
  const Diagnosis& d = report.diagnosis;
  std::vector<std::string> out;
  out.push_back(
      d.generic
          ? "No system sheet: the readings were compared with a generic machine of the recording's "
            "units and usual sizes. It can only tell what is far off. With a system sheet they are "
            "compared with this machine."
          : "The twin of the sheet \"" + d.system + "\": " + std::to_string(d.assumptions.size()) +
                " of its figures are assumed (the sheet's own report lists them).");
  if (!report.judgement.refrigerant_source.empty()) {
    out.push_back(refrigerant_sentence(report.judgement));
  }
  if (d.compared_with_sound) {
    out.push_back(
        "What the earlier recording shows of this machine and its sensors was learnt: what is "
        "expected of the healthy machine is the twin with that. A fault that it had then already "
        "is taken for a property of it.");
  }
  out.push_back(
      "Mean squared distance from a healthy machine: " + number_text(d.healthy_misfit, 3) +
      " (about 1 where sheet, twin and sensors are as good as assumed).");
  out.push_back("How often a cause occurs at all: " + diagnose::cause_book().prior_source +
                " (data/causes).");
  out.push_back("Probabilities were calibrated on: " + diagnose::cause_book().fitted_on + ".");
  out.insert(out.end(), d.notes.begin(), d.notes.end());
  if (!d.not_calculated.empty()) {
    out.push_back("Not calculated, because the twin finds no steady state with it: " +
                  list_of(d.not_calculated) + ".");
  }
  return out;
}

std::vector<std::string> basis_lines(const DiagnoseReport& report) {
  const Diagnosis& d = report.diagnosis;
  std::string spans;
  const Clock& clock = report.judgement.recording.clock;
  for (const Diagnosis::Seen& m : d.moments) {
    spans += (spans.empty() ? "" : "; ") + format_instant(m.start, clock) + " to " +
             format_instant(m.end, clock).substr(11) + " (" + std::string(name_of(m.kind)) + ", " +
             format_si(m.outdoor_K, Dimension::temperature, report.units) + " outdoors, " +
             std::to_string(m.calling) + " units calling)";
  }
  std::vector<std::string> out = rests_on_lines(report);
  out.insert(out.begin(), std::to_string(d.readings) + " readings compared at: " + spans + ".");
  return out;
}

}  // namespace detail
}  // namespace cw
