#include <algorithm>
#include <set>

#include "base/text.h"
#include "report/check_report.h"
#include "report/detail/titles.h"

/// The first page of a report: for the person who owns the machine and does not read figures.
namespace cw {
namespace {

/// "Outdoor module 2: signs of liquid in the compressor." Places with the same trouble together.
std::vector<std::string> troubles(const Judgement& judgement) {
  std::vector<std::string> out;
  for (const Check* check : judgement.asked) {
    for (const Verdict verdict : {Verdict::fault, Verdict::watch}) {
      std::vector<std::string> places;
      for (const Finding& f : judgement.findings) {
        if (f.check == check->id && f.verdict == verdict) places.push_back(f.place.label());
      }
      if (places.empty()) continue;
      out.push_back(std::string(name_of(verdict)) + ": " + places_text(places) + ": " +
                    check->means + ".");
    }
  }
  // Faults first, each in the order of the catalogue.
  std::stable_partition(out.begin(), out.end(),
                        [](const std::string& text) { return text.starts_with("fault"); });
  return out;
}

std::vector<std::string> to_do(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  std::vector<std::string> out;
  if (!judgement.with(Verdict::fault).empty()) {
    out.push_back(
        "Have a qualified person look at the machine soon, and hand over this report: "
        "the pages behind this one say where to look, with times and figures.");
  } else if (!judgement.with(Verdict::watch).empty()) {
    out.push_back(
        "Nothing here says that the machine must stop. Have the points above looked at "
        "with the next service, or sooner when rooms get uncomfortable, and keep a "
        "recording to compare.");
  } else if (judgement.judged_verdict == Verdict::ok) {
    out.push_back(
        "Nothing, as far as this recording shows. Keep it: it shows later what has "
        "changed.");
  }
  std::set<std::string> open;
  for (const FindingGroup& group : grouped(judgement, Verdict::unproven)) {
    const Check& check = detail::check_named(group.first->check);
    if (check.main && verdict_of(judgement.findings, check.id) == Verdict::unproven) {
      open.insert(check.title);
    }
  }
  if (!open.empty()) {
    out.push_back("Have a further recording made that answers what is open: " +
                  list_of({open.begin(), open.end()}) + ". What it must hold is said below.");
  }
  return out;
}

std::vector<std::string> how_sure(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  const Recording& recording = judgement.recording;
  std::vector<std::string> out;
  std::size_t asked = 0;
  std::size_t answered = 0;
  for (const Check* check : judgement.asked) {
    if (!check->main) continue;
    ++asked;
    if (verdict_of(judgement.findings, check->id) != Verdict::unproven) ++answered;
  }
  std::string first = std::to_string(answered) + " of " + std::to_string(asked) +
                      " main questions could be answered";
  if (recording.size() > 1) {
    const double span = seconds_between(recording.time.front(), recording.time.back());
    first += ", from " + format_duration(span) + " of readings";
    if (span < 6.0 * 3600.0) {
      first += ": a short time, which shows nothing of other weather or of the night";
    }
  }
  out.push_back(first + ".");
  out.push_back(
      "A finding is something that lasted, and by more than the sensors can be wrong. "
      "Most limits are common practice, not law; a sensor that is off can make a sound "
      "machine look ill, and the other way round.");
  return out;
}

}  // namespace

OwnerPage owner_page(const CheckReport& report) {
  OwnerPage out;
  out.healthy = answer(report).healthy;
  out.means = troubles(report.judgement);
  out.to_do = to_do(report);
  out.sure = how_sure(report);
  return out;
}

}  // namespace cw
