#include "checks/judgement.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <thread>

#include "base/text.h"
#include "checks/calls.h"
#include "checks/roots.h"

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
    const Check* check = find_check(finding.check);
    const Verdict verdict = verdict_of(findings, finding.check);
    // What only adds to the main questions leaves nothing open.
    if (verdict == Verdict::unproven && check != nullptr && !check->main) continue;
    worst = std::max(worst, verdict);
  }
  return worst;
}

std::string_view name_of(Direction direction) noexcept {
  switch (direction) {
    case Direction::within:
      return "within";
    case Direction::below:
      return "below";
    case Direction::above:
      return "above";
    case Direction::unclear:
      return "unclear";
  }
  return "unclear";
}

Direction Measure::direction() const noexcept {
  // Comparisons with nan are false: an open end leaves nothing beyond it.
  if (std::isnan(value)) return Direction::unclear;
  if (value < expected_low - uncertainty) return Direction::below;
  if (value > expected_high + uncertainty) return Direction::above;
  const bool near = value < expected_low + uncertainty || value > expected_high - uncertainty;
  return near ? Direction::unclear : Direction::within;
}

std::vector<SteadyWindow> steady_windows(const Phases& phases) {
  constexpr double shortest = 1200.0;
  constexpr std::int64_t longest_ms = 7200000;
  constexpr std::size_t most = 12;
  std::vector<SteadyWindow> out;
  for (const Phase& phase : phases.system.phases) {
    const bool steady = phase.kind == PhaseKind::heating || phase.kind == PhaseKind::cooling ||
                        phase.kind == PhaseKind::mixed;
    if (!steady) continue;
    for (Instant from = phase.start; seconds_between(from, phase.end) >= shortest;) {
      const Instant to{std::min(phase.end.ms, from.ms + longest_ms)};
      out.push_back({from, to, phase.kind});
      from = to;
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const SteadyWindow& a, const SteadyWindow& b) {
    return a.end.ms - a.start.ms > b.end.ms - b.start.ms;
  });
  if (out.size() > most) out.resize(most);
  std::stable_sort(out.begin(), out.end(),
                   [](const SteadyWindow& a, const SteadyWindow& b) { return a.start < b.start; });
  return out;
}

CheckContext context_of(const Judgement& judgement, UnitSystem units) {
  CheckContext out{judgement.recording, judgement.phases, judgement.limits};
  out.units = units;
  out.windows = judgement.windows;
  if (judgement.system) out.system = &*judgement.system;
  return out;
}

namespace {

/// What the log and the system sheet do not have in common, in sentences.
void note_sheet(const Recording& recording, const System& system, std::vector<std::string>& notes) {
  const auto names = [&](PlaceKind kind, const auto& units, const char* one, const char* many) {
    std::vector<std::string> unlogged;
    std::vector<std::string> unknown;
    const std::vector<Place> places = recording.places(kind);
    for (const auto& unit : units) {
      const bool logged = std::any_of(places.begin(), places.end(),
                                      [&](const Place& p) { return p.text == unit.id; });
      if (!logged) unlogged.push_back(unit.id);
    }
    for (const Place& place : places) {
      const bool known = std::any_of(units.begin(), units.end(),
                                     [&](const auto& u) { return u.id == place.text; });
      if (!known) unknown.push_back(place.text);
    }
    const auto say = [&](const std::vector<std::string>& ids, const char* what) {
      if (ids.empty()) return;
      notes.push_back("System sheet: " + list_of(ids) + (ids.size() == 1 ? one : many) + what);
    };
    say(unlogged, " in the sheet and not in the log.");
    say(unknown, " in the log and not in the sheet.");
  };
  names(PlaceKind::outdoor, system.outdoor(), " is", " are");
  names(PlaceKind::branch, system.branches(), " is", " are");
  names(PlaceKind::indoor, system.indoor(), " is", " are");
}

/// Whether any unit calls by its own flag. [n_time] What is worked out from rooms and set points is
/// no proof of a call: a thermostat has a band of its own.
std::vector<bool> flagged_calls(const CheckContext& context) {
  std::vector<bool> out(context.recording.size(), false);
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    if (context.recording.find(unit.text, "call") == nullptr &&
        context.recording.find(unit.text, "cooling_call") == nullptr) {
      continue;
    }
    const CallTrack calls = track_calls(context, unit);
    for (std::size_t i = 0; i < out.size(); ++i) {
      if (calls.state[i] == CallTrack::State::yes) out[i] = true;
    }
  }
  return out;
}

/// Says for how long units called while no compressor ran: nothing else on the first screen would.
void note_unanswered_calls(const CheckContext& context, Phases& phases) {
  const std::vector<bool> called = flagged_calls(context);
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

namespace {

Error stopped_error() { return {ErrorCode::invalid_argument, "the judging was stopped", "", ""}; }

/// The checks, several at once where the machine has the processors: they share nothing that
/// changes. Findings keep the order of the checks and know their roots.
Result<std::vector<Finding>> run_checks(const std::vector<const Check*>& asked,
                                        const CheckContext& context, const JudgeOptions& options) {
  std::vector<std::vector<Finding>> found(asked.size());
  std::atomic<std::size_t> next{0};
  std::atomic<std::size_t> done{0};
  const auto work = [&](bool tells) {
    for (std::size_t k = next++; k < found.size(); k = next++) {
      if (options.stop && options.stop()) return;
      if (tells && options.progress) {
        options.progress(asked[k]->title, done, found.size());
      }
      found[k] = asked[k]->run(context);
      ++done;
    }
  };
  // Short recordings are judged faster than a thread starts.
  constexpr std::size_t worth_a_thread = 20000;
  const std::size_t helpers =
      context.recording.size() < worth_a_thread
          ? 0
          : std::min<std::size_t>(std::max(1U, std::thread::hardware_concurrency()), 4) - 1;
  {
    std::vector<std::jthread> threads;
    for (std::size_t k = 0; k < helpers; ++k) threads.emplace_back([&] { work(false); });
    work(true);
  }
  if (options.stop && options.stop()) return stopped_error();
  std::vector<Finding> out;
  for (std::vector<Finding>& findings : found) {
    for (Finding& finding : findings) out.push_back(std::move(finding));
  }
  find_roots(out);
  return out;
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
  out.refrigerant_source = options.refrigerant_source;
  const auto tell = [&](std::string_view step, std::size_t done, std::size_t total) {
    if (options.progress) options.progress(step, done, total);
  };
  const auto stopped = [&] { return options.stop && options.stop(); };
  if (stopped()) return stopped_error();
  tell("derived channels", 0, 0);
  derive_channels(out.recording, **refrigerant, out.derived);
  if (stopped()) return stopped_error();
  tell("phases", 0, 0);
  PhaseOptions phase_options;
  phase_options.starting = options.limits.value("phases.starting");
  phase_options.recovering = options.limits.value("phases.recovering");
  phase_options.stated_mode = options.stated_mode;
  phase_options.reader = options.reader;
  out.phases = find_phases(out.recording, phase_options);
  out.windows = steady_windows(out.phases);
  if (options.system != nullptr) {
    out.system = *options.system;
    note_sheet(out.recording, *out.system, out.phases.notes);
  }
  CheckContext context = context_of(out, options.units);
  context.refrigerant = *refrigerant;
  if (stopped()) return stopped_error();
  tell("calls", 0, 0);
  const CallBook calls(context);
  context.calls = &calls;
  note_unanswered_calls(context, out.phases);
  for (const Check& check : check_catalogue()) {
    if (is_asked(check, context)) out.asked.push_back(&check);
  }
  Result<std::vector<Finding>> findings = run_checks(out.asked, context, options);
  if (!findings) return findings.error();
  out.findings = std::move(*findings);
  out.verdict = system_verdict(out.findings);
  for (const Finding& finding : out.findings) {
    if (finding.verdict == Verdict::unproven) continue;
    if (out.judged_verdict == Verdict::unproven) out.judged_verdict = finding.verdict;
    out.judged_verdict = std::max(out.judged_verdict, finding.verdict);
  }
  return out;
}

Result<std::vector<Finding>> findings_in(const Judgement& judgement, const CallBook& calls,
                                         const JudgeOptions& options) {
  const auto refrigerant = fluid::find_refrigerant(judgement.refrigerant);
  if (!refrigerant) return refrigerant.error();
  CheckContext context = context_of(judgement, options.units);
  context.refrigerant = *refrigerant;
  context.calls = &calls;
  return run_checks(judgement.asked, context, options);
}

}  // namespace cw
