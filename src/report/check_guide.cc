#include "report/check_guide.h"

#include "base/text.h"

namespace cw {
namespace {

/// "watch_below" -> "watch below".
std::string spaced(std::string text) {
  for (char& c : text) {
    if (c == '_') c = ' ';
  }
  return text;
}

/// Texts of data/checks are wrapped for their file.
std::string one_line(std::string_view text) { return std::string(trim(text)); }

std::string lead(std::string_view label) {
  return std::string(label) + std::string(label.size() < 13 ? 13 - label.size() : 1, ' ');
}

}  // namespace

std::string asked_when(AskedIn mode) {
  switch (mode) {
    case AskedIn::heating:
      return "while the machine heats";
    case AskedIn::cooling:
      return "while the machine cools";
    case AskedIn::running:
      return "while the machine heats or cools";
    case AskedIn::recovery:
      return "while it heats and cools at once";
    case AskedIn::standstill:
      return "at standstill";
    case AskedIn::any:
      return "in any mode";
  }
  return "in any mode";
}

std::string check_explanation(const Check& check, const LimitSheet& limits) {
  std::string out = check.title + " (" + check.id + ")\n\n";
  out += lead("Asks:") + one_line(check.asks) + "\n";
  out += lead("Asked:") + asked_when(check.mode) +
         (check.main ? "; a main question: left open, it leaves the verdict open"
                     : "; besides the main questions: left open, it leaves the verdict alone") +
         (check.instant ? "" : "; needs a recording, one moment does not show it") + "\n";
  out += lead("Why:") + one_line(check.why) + "\n";
  out += lead("Needs:") + one_line(check.needs) + "\n";
  out += lead("Cannot see:") + one_line(check.cannot_see) + "\n\nLimits:\n";
  for (const Limit& limit : limits.all()) {
    if (!limit.key.starts_with(check.id + ".")) continue;
    out += "  " + limit.key.substr(check.id.size() + 1) + " = " + limit.text + "  (" +
           limit.source + ")";
    if (!limit.note.empty()) out += "  " + limit.note;
    out += "\n";
  }
  return out;
}

std::string check_guide_markdown() {
  std::string out =
      "# The checks, one by one\n\n"
      "Written by `coilwright check --guide` from the same texts and figures as `--explain ID`; a "
      "test holds\nthis page to them. How a reading becomes a verdict is in "
      "[checks.md](checks.md). An asterisk marks a main\nquestion: left open, it leaves the "
      "system's verdict open.\n";
  for (const AskedIn mode : {AskedIn::running, AskedIn::heating, AskedIn::cooling,
                             AskedIn::recovery, AskedIn::standstill, AskedIn::any}) {
    out += "\n## Asked " + asked_when(mode) + "\n";
    for (const Check& check : check_catalogue()) {
      if (check.mode != mode) continue;
      out += "\n### " + check.title + (check.main ? " *" : "") + "\n\n`" + check.id +
             "`: " + one_line(check.asks) + "\n\n" + one_line(check.why) + "\n\n**Needs** " +
             one_line(check.needs) + "\n\n**Cannot see** " + one_line(check.cannot_see) + "\n\n";
      out += "| limit | figure | source | note |\n|---|---|---|---|\n";
      for (const Limit& limit : LimitSheet::defaults().all()) {
        if (!limit.key.starts_with(check.id + ".")) continue;
        out += "| " + spaced(limit.key.substr(check.id.size() + 1)) + " | " + limit.text + " | " +
               limit.source + " | " + limit.note + " |\n";
      }
    }
  }
  return out;
}

}  // namespace cw
