#include <algorithm>
#include <set>

#include "base/text.h"
#include "checks/roots.h"
#include "report/check_report.h"
#include "report/detail/diagnose_words.h"
#include "report/detail/titles.h"

/// The first page of a report: for the person who owns the machine and does not read figures.
namespace cw {
namespace {

/// "With it: the room does not hold its set point; the unit stands out from its peers."
std::string followers_text(const Trouble& trouble) {
  std::string out;
  std::set<std::string> told;
  for (const Finding* follower : trouble.followers) {
    if (!told.insert(follower->check).second) continue;
    out += (out.empty() ? " It most likely brings with it: " : "; ") +
           detail::check_named(follower->check).means;
  }
  return out.empty() ? out : out + ".";
}

/// "Outdoor module 2: signs of liquid in the compressor." Places with the same trouble together;
/// faults first, each in the order of the catalogue.
std::vector<std::string> troubles(const Judgement& judgement) {
  struct Told {
    std::string verdict, words;
    std::vector<std::string> places;
  };
  std::vector<Told> told;
  for (const Trouble& trouble : troubles_of(judgement.findings)) {
    const std::string verdict(name_of(trouble.verdict));
    const std::string words =
        detail::check_named(trouble.root->check).means + "." + followers_text(trouble);
    const auto same = std::find_if(told.begin(), told.end(), [&](const Told& t) {
      return t.verdict == verdict && t.words == words;
    });
    (same == told.end() ? told.emplace_back(Told{verdict, words, {}}) : *same)
        .places.push_back(trouble.root->place.label());
  }
  std::vector<std::string> out;
  for (const Told& t : told) {
    out.push_back(t.verdict + ": " + places_text(t.places) + ": " + t.words);
  }
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

/// What the causes add for the owner. The cause comes before what was found: it is what can be
/// mended.
void add_causes(const DiagnoseReport& report, OwnerPage& out) {
  const diagnose::Diagnosis& d = report.diagnosis;
  if (!d.unproven.empty()) {
    out.sure.push_back("No cause could be looked for: " + d.unproven);
    return;
  }
  out.healthy += " By comparison with a physical model of the machine: " + diagnose_answer(report);
  const diagnose::RankedCause* named = d.named();
  if (named != nullptr) {
    const std::string place = detail::cause_place(named->place);
    out.means.insert(out.means.begin(),
                     named->text->owner + (place.empty() ? "" : " It is about " + place + "."));
    out.to_do.insert(out.to_do.begin(), named->text->look);
  }
  // What hardly tells anything is no advice for an owner.
  constexpr double worth_doing = 0.1;  // bit
  if (!d.next.empty() && d.next.front().information > worth_doing) {
    const std::string lead = named != nullptr ? "To be surer first: " : "To know more: ";
    out.to_do.insert(out.to_do.begin() + (named != nullptr ? 1 : 0),
                     lead + detail::test_text(d.next.front()));
  }
  std::string sure = named == nullptr
                         ? "That nothing is wrong which these hours would show has " +
                               detail::percent_text(d.healthy) + "."
                         : "The cause has " + detail::percent_text(named->probability) +
                               "; that nothing is wrong after all has " +
                               detail::percent_text(d.healthy) + ".";
  sure += d.generic ? " The machine's own data were not at hand: it was compared with one of usual "
                      "size, which shows only what is far off."
                    : " Such figures were tuned on simulated machines, not on real ones: read them "
                      "as likely and less likely, not as odds to bet on.";
  out.sure.insert(out.sure.begin(), sure);
}

}  // namespace

OwnerPage owner_page(const CheckReport& report) {
  OwnerPage out;
  out.healthy = answer(report).healthy;
  out.means = troubles(report.judgement);
  out.to_do = to_do(report);
  out.sure = how_sure(report);
  if (report.diagnosis != nullptr) {
    add_causes({report.judgement, *report.diagnosis, report.units}, out);
  }
  return out;
}

}  // namespace cw
