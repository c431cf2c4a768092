#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "report/diagnose_report.h"

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
  const auto place = parse_place(cause.place);
  if (!place || place->kind == PlaceKind::system) return "";
  return ", " + place->label();
}

}  // namespace

std::string severity_text(const RankedCause& cause, UnitSystem units) {
  if (cause.by_table) return "how much is not known: the twin finds no state with it";
  const Dimension dimension = cause.kind->severity;
  const std::string best = amount(cause.severity, dimension, units);
  const std::string range = " (" + amount(cause.low, dimension, units) + " to " +
                            amount(cause.high, dimension, units) + ")";
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

}  // namespace cw
