#include "checks/judgement.h"
#include "checks/calls.h"

#include <algorithm>

namespace cw {

std::string_view name_of(Verdict verdict) noexcept {
  switch (verdict) {
    case Verdict::ok:
      return "ok";
    case Verdict::unproven:
      return "unproven";
    case Verdict::watch:
      return "watch";
    case Verdict::fault:
      return "fault";
  }
  return "unproven";
}

std::vector<const Finding*> Judgement::with(Verdict wanted) const {
  std::vector<const Finding*> out;
  for (const Finding& finding : findings) {
    if (finding.verdict == wanted) out.push_back(&finding);
  }
  return out;
}

Verdict verdict_of(const std::vector<Finding>& findings, std::string_view check) {
  Verdict worst = Verdict::unproven;
  bool any_ok = false;
  for (const Finding& finding : findings) {
    if (finding.check != check) continue;
    if (finding.verdict == Verdict::ok) any_ok = true;
    if (finding.verdict > Verdict::unproven) worst = std::max(worst, finding.verdict);
  }
  if (worst > Verdict::unproven) return worst;
  return any_ok ? Verdict::ok : Verdict::unproven;
}

Verdict system_verdict(const std::vector<Finding>& findings) {
  Verdict worst = findings.empty() ? Verdict::unproven : Verdict::ok;
  for (const Finding& finding : findings) {
    worst = std::max(worst, verdict_of(findings, finding.check));
  }
  return worst;
}

namespace {

/// Says for how long units called while no compressor ran: nothing else on the first screen would.
void note_unanswered_calls(const CheckContext& context, Phases& phases) {
  if (!calls_are_logged(context)) return;
  const std::vector<bool> called = anyone_calls(context);
  double total = 0.0;
  for (std::size_t i = 1; i < called.size(); ++i) {
    const bool off = phases.system.kind_at[i] == PhaseKind::off &&
                     phases.system.kind_at[i - 1] == PhaseKind::off;
    if (off && called[i] && called[i - 1]) {
      total += seconds_between(context.recording.time[i - 1], context.recording.time[i]);
    }
  }
  constexpr double worth_saying = 1800.0;
  if (total < worth_saying) return;
  phases.notes.push_back(
      "No compressor ran for " + format_duration(total) +
      " while indoor units called. If nobody stopped the machine, it has tripped or "
      "was held off: read its own fault memory.");
}

}  // namespace

Result<Judgement> judge(Recording recording, const JudgeOptions& options) {
  const Result<const fluid::Refrigerant*> refrigerant =
      fluid::find_refrigerant(options.refrigerant);
  if (!refrigerant) return refrigerant.error();
  Judgement out;
  out.recording = std::move(recording);
  out.limits = options.limits;
  out.refrigerant = std::string((*refrigerant)->name());
  derive_channels(out.recording, **refrigerant, out.derived);
  PhaseOptions phase_options;
  phase_options.starting = options.limits.value("phases.starting");
  phase_options.recovering = options.limits.value("phases.recovering");
  phase_options.stated_mode = options.stated_mode;
  out.phases = find_phases(out.recording, phase_options);
  const CheckContext context{out.recording, out.phases, out.limits, options.units};
  note_unanswered_calls(context, out.phases);
  for (const Check& check : check_catalogue()) {
    for (Finding& finding : check.run(context)) out.findings.push_back(std::move(finding));
  }
  out.verdict = system_verdict(out.findings);
  for (const Finding& finding : out.findings) {
    if (finding.verdict == Verdict::unproven) continue;
    if (out.judged_verdict == Verdict::unproven) out.judged_verdict = finding.verdict;
    out.judged_verdict = std::max(out.judged_verdict, finding.verdict);
  }
  return out;
}

}  // namespace cw
