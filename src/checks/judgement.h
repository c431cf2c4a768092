#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/reader.h"
#include "checks/check.h"
#include "derive/derive.h"
#include "system/system.h"

namespace cw {

struct JudgeOptions {
  std::string refrigerant = "R-410A";
  std::string refrigerant_source;  ///< "as the map a.toml says"; empty: nothing to say of it
  LimitSheet limits = LimitSheet::defaults();
  UnitSystem units = UnitSystem::si;
  Reader reader = Reader::command_line;  ///< of sentences that say what can be done
  std::optional<PhaseKind> stated_mode;  ///< heating or cooling, where the person knows it
  const System* system = nullptr;        ///< the system sheet, where there is one
  /// Told from time to time which step is at work and how many of how many are done; may be empty.
  /// Called from the calling thread only.
  std::function<void(std::string_view step, std::size_t done, std::size_t total)> progress;
  std::function<bool()> stop;  ///< may be empty; true ends the work with an error; any thread
};

/// The whole answer to "is this system healthy?" on one recording.
struct Judgement {
  Recording recording;  ///< with derived channels
  Phases phases;
  std::vector<Finding> findings;  ///< in the order of the catalogue, then by place
  LimitSheet limits;
  std::string refrigerant;
  std::string refrigerant_source;  ///< as JudgeOptions::refrigerant_source
  std::optional<System> system;    ///< the system sheet, where one was given
  DeriveNotes derived;
  std::vector<const Check*> asked;  ///< the checks whose work the recording shows, in order
  std::vector<SteadyWindow> windows;
  Verdict verdict = Verdict::unproven;         ///< the worst of its parts, see system_verdict
  Verdict judged_verdict = Verdict::unproven;  ///< the worst of what could be judged

  std::vector<const Finding*> with(Verdict verdict) const;
};

/// The verdict of a check over all its places: its worst watch or fault; else ok when any place is
/// ok; else unproven. An indoor unit that never called does not leave the whole question open.
Verdict verdict_of(const std::vector<Finding>& findings, std::string_view check);

/// The worst verdict of all checks; a main question that no place could answer leaves the system
/// unproven unless something worse was found. Findings of checks that the catalogue does not have
/// count as main.
Verdict system_verdict(const std::vector<Finding>& findings);

/// The longest stretches of steady heating, cooling or both at once of the whole system, at most 12
/// of at least 20 min and at most 2 h each, in time order.
std::vector<SteadyWindow> steady_windows(const Phases& phases);

/// What the checks look at in a judgement that is made: for reports that go on from it.
CheckContext context_of(const Judgement& judgement, UnitSystem units);

/// Derives, cuts into phases and runs every check of the catalogue.
/// @error not_found  unknown refrigerant
/// @error invalid_argument  stopped by JudgeOptions::stop
/// Thread-safe.
Result<Judgement> judge(Recording recording, const JudgeOptions& options);

/// The findings of a judgement once more, with their sentences in options.units: the checks alone
/// run, on the judgement's own recording, limits and sheet. Of the options, units, progress and
/// stop count.
/// @param calls  of the judgement's recording
/// @error as judge
/// Thread-safe.
Result<std::vector<Finding>> findings_in(const Judgement& judgement, const CallBook& calls,
                                         const JudgeOptions& options);

}  // namespace cw
