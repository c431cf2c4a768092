#include <algorithm>
#include <map>

#include "base/text.h"
#include "checks/roots.h"
#include "report/check_report.h"
#include "report/detail/titles.h"

namespace cw {
namespace {

std::string counted(std::size_t n, const std::string& one, const std::string& many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

/// "in heating and cooling ", by the phases of the log; empty when it shows neither.
std::string modes_seen(const Judgement& judgement) {
  std::vector<std::string> modes;
  const std::vector<PhaseKind>& kinds = judgement.phases.system.kind_at;
  for (const PhaseKind kind : {PhaseKind::heating, PhaseKind::cooling, PhaseKind::mixed}) {
    if (std::find(kinds.begin(), kinds.end(), kind) == kinds.end()) continue;
    modes.push_back(kind == PhaseKind::mixed ? "heat recovery" : std::string(name_of(kind)));
  }
  return modes.empty() ? "" : "in " + list_of(modes) + " ";
}

/// ", most likely from 2 roots", where there are fewer roots than findings.
std::string roots_text(const Judgement& judgement, std::size_t findings) {
  const std::size_t roots = troubles_of(judgement.findings).size();
  if (roots >= findings) return "";
  return ", most likely from " + (roots == 1 ? "one root" : std::to_string(roots) + " roots");
}

std::string healthy_answer(const Judgement& judgement) {
  const std::size_t faults = judgement.with(Verdict::fault).size();
  const std::size_t watches = judgement.with(Verdict::watch).size();
  const std::size_t oks = judgement.with(Verdict::ok).size();
  std::size_t open = 0;
  std::size_t asked = 0;
  for (const Check* check : judgement.asked) {
    if (!check->main) continue;
    ++asked;
    if (verdict_of(judgement.findings, check->id) == Verdict::unproven) ++open;
  }
  const std::vector<PhaseKind>& kinds = judgement.phases.system.kind_at;
  const bool rests = !kinds.empty() && std::all_of(kinds.begin(), kinds.end(), [](PhaseKind kind) {
    return kind == PhaseKind::off;
  });
  const std::string rest_text =
      rests ? " No compressor ran in this log: it shows a machine at rest, not whether it works."
            : "";
  const std::string questions = std::to_string(asked) + " main";
  const std::string open_text = open == 0 ? ""
                                          : " " + std::to_string(open) + " of " + questions +
                                                " questions could not be answered from this log.";
  if (faults > 0) {
    std::string out = "No: " + counted(faults, "fault", "faults");
    if (watches > 0) out += " and " + counted(watches, "thing to watch", "things to watch");
    return out + roots_text(judgement, faults + watches) + "." + open_text + rest_text;
  }
  if (watches > 0) {
    return "Not quite: " + counted(watches, "thing to watch", "things to watch") +
           roots_text(judgement, watches) + ", no fault." + open_text + rest_text;
  }
  if (oks == 0 || open == asked)
    return "This log cannot tell: none of the " + questions + " questions could be answered." +
           rest_text;
  if (open > 0)
    return "Nothing is wrong in what could be judged, but the log does not show all:" + open_text +
           rest_text;
  const bool all = std::none_of(
      judgement.findings.begin(), judgement.findings.end(), [](const Finding& finding) {
        return finding.verdict == Verdict::unproven && detail::check_named(finding.check).main;
      });
  return "Yes, " + modes_seen(judgement) + "as far as this log shows: all " + questions +
         " questions are answered well" + (all ? "." : " for the places that could be judged.");
}

/// Modules that rest throughout while another one runs.
std::vector<Place> idle_modules(const Phases& phases) {
  const auto rests = [](const Timeline& timeline) {
    return std::all_of(timeline.kind_at.begin(), timeline.kind_at.end(),
                       [](PhaseKind kind) { return kind == PhaseKind::off; });
  };
  std::vector<Place> out;
  if (rests(phases.system)) return out;
  for (const Timeline& module : phases.modules) {
    if (rests(module)) out.push_back(module.place);
  }
  return out;
}

}  // namespace

namespace detail {

const Check& check_named(std::string_view id) {
  const Check* found = find_check(id);
  CW_REQUIRE(found != nullptr);
  return *found;
}

}  // namespace detail

std::vector<FindingGroup> grouped(const Judgement& judgement, Verdict verdict) {
  std::vector<FindingGroup> out;
  std::map<std::string, std::size_t> index;
  for (const Finding& finding : judgement.findings) {
    if (finding.verdict != verdict) continue;
    // What a person should do is the same; only the place differs. Evidence keeps findings apart.
    const bool alike = finding.evidence.empty() && verdict == Verdict::unproven;
    const std::string key =
        alike ? finding.check + "\n" + finding.because : finding.check + "\n" + finding.place.text;
    const auto [at, fresh] = index.emplace(key, out.size());
    if (fresh) out.push_back({&finding, {}});
    out[at->second].places.push_back(finding.place.label());
  }
  return out;
}

std::string further_open_text(const Judgement& judgement) {
  std::vector<std::string> titles;
  for (const Check* check : judgement.asked) {
    if (!check->main && verdict_of(judgement.findings, check->id) == Verdict::unproven) {
      titles.push_back(check->title);
    }
  }
  if (titles.empty()) return {};
  return "Asked besides, without an answer in this log: " + list_of(titles) + ".";
}

namespace {

/// "1", "2", "3", "5" -> "1 to 3", "5".
std::vector<std::string> with_ranges(const std::vector<std::string>& ids) {
  const auto number = [](const std::string& id) {
    const bool digits =
        !id.empty() && id.size() < 7 &&
        std::all_of(id.begin(), id.end(), [](char c) { return c >= '0' && c <= '9'; });
    return digits ? std::stoi(id) : -10;
  };
  std::vector<std::string> out;
  for (std::size_t i = 0; i < ids.size();) {
    std::size_t end = i + 1;
    while (end < ids.size() && number(ids[end]) == number(ids[end - 1]) + 1) ++end;
    if (end - i < 3) {
      out.push_back(ids[i++]);
      continue;
    }
    out.push_back(ids[i] + " to " + ids[end - 1]);
    i = end;
  }
  return out;
}

}  // namespace

std::string places_text(const std::vector<std::string>& labels) {
  // "indoor unit 1", "indoor unit 2" -> "indoor units 1 and 2"; what has another stem, such as the
  // compressors of the next module, begins a group of its own.
  std::vector<std::string> groups;
  for (std::size_t i = 0; i < labels.size();) {
    const std::string stem = labels[i].substr(0, labels[i].rfind(' ') + 1);
    std::vector<std::string> ids;
    std::size_t end = i;
    for (; end < labels.size() && !stem.empty(); ++end) {
      if (labels[end].substr(0, labels[end].rfind(' ') + 1) != stem) break;
      ids.push_back(labels[end].substr(stem.size()));
    }
    if (ids.size() < 2) {
      groups.push_back(labels[i++]);
    } else {
      groups.push_back(stem.substr(0, stem.size() - 1) + "s " + list_of(with_ranges(ids)));
      i = end;
    }
  }
  // Within a group there are commas already.
  if (groups.size() == labels.size()) return list_of(labels);
  std::string out;
  for (const std::string& group : groups) out += (out.empty() ? "" : "; ") + group;
  return out;
}

namespace {

std::string finding_text(const Finding& finding) {
  return std::string(name_of(finding.verdict)) + ": " + finding.place.label() + ", " +
         detail::check_named(finding.check).means + ": " + finding.because;
}

}  // namespace

std::vector<std::string> Answers::wrong_lines() const {
  std::vector<std::string> out;
  for (const Wrong& one : wrong) {
    out.push_back(one.text);
    out.insert(out.end(), one.follows.begin(), one.follows.end());
  }
  return out;
}

Answers answer(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  Answers out;
  out.healthy = healthy_answer(judgement);
  for (const Trouble& trouble : troubles_of(judgement.findings)) {
    Answers::Wrong wrong{finding_text(*trouble.root), {}};
    for (const Finding* follower : trouble.followers) {
      wrong.follows.push_back(finding_text(*follower) + " It most likely follows from the above: " +
                              follower->root_because + ".");
    }
    out.wrong.push_back(std::move(wrong));
  }
  const std::vector<Place> idle = idle_modules(judgement.phases);
  for (const Place& module : idle) {
    out.unjudged.push_back("Of " + module.label() +
                           " nothing that needs it running: its compressor does not run in this "
                           "log. Record it at a time when it runs.");
  }
  for (const FindingGroup& group : grouped(judgement, Verdict::unproven)) {
    if (!detail::check_named(group.first->check).main) continue;
    const bool told = group.places.size() == 1 &&
                      std::find(idle.begin(), idle.end(), group.first->place) != idle.end();
    if (told) continue;
    out.unjudged.push_back(detail::check_named(group.first->check).title + ", " +
                           places_text(group.places) + ": " + group.first->because + " " +
                           group.first->proof);
  }
  std::size_t lost = 0;
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (info_of(counter).severity == Severity::data_loss)
      lost += report.import.log.count_of(counter);
  }
  if (lost > 0) {
    out.unjudged.push_back("Parts of the files could not be read (" +
                           counted(lost, "item", "items") + "): see data quality.");
  }
  return out;
}

std::string recording_line(const CheckReport& report) {
  const Recording& recording = report.judgement.recording;
  std::vector<std::string> names;
  for (const RecordingFile& file : recording.files) names.push_back(file.name);
  const std::size_t derived = report.judgement.derived.derived.size();
  std::string out = names.size() <= 4 ? list_of(names) : std::to_string(names.size()) + " files";
  if (recording.size() == 0) return out;
  out += ": " + counted(recording.size(), "reading", "readings") + " of " +
         counted(recording.channels.size() - derived, "channel", "channels") + ", " +
         format_instant(recording.time.front(), recording.clock) + " to " +
         format_instant(recording.time.back(), recording.clock);
  return out;
}

const std::vector<std::string>& check_cautions() {
  static const std::vector<std::string> cautions = {
      "A verdict computed from a log is a help for a qualified person, never an approval. "
      "Nameplate, "
      "installation documents, adopted codes and licensed practice decide.",
      "Before hands go near the machine: lock out, wait for the inverter's capacitors and prove "
      "dead; "
      "refrigerant lines are hot, cold and under pressure; refrigerant and nitrogen displace air."};
  return cautions;
}

}  // namespace cw
