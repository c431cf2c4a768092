#pragma once

#include <optional>
#include <string>
#include <vector>

#include "checks/check.h"
#include "derive/derive.h"

namespace cw {

struct JudgeOptions {
  std::string refrigerant = "R-410A";
  LimitSheet limits = LimitSheet::defaults();
  UnitSystem units = UnitSystem::si;
  std::optional<PhaseKind> stated_mode;  ///< heating or cooling, where the person knows it
};

/// The whole answer to "is this system healthy?" on one recording.
struct Judgement {
  Recording recording;  ///< with derived channels
  Phases phases;
  std::vector<Finding> findings;  ///< in the order of the catalogue, then by place
  LimitSheet limits;
  std::string refrigerant;
  DeriveNotes derived;
  Verdict verdict = Verdict::unproven;         ///< the worst of its parts, see system_verdict
  Verdict judged_verdict = Verdict::unproven;  ///< the worst of what could be judged

  std::vector<const Finding*> with(Verdict verdict) const;
};

/// The verdict of a check over all its places: its worst watch or fault; else ok when any place is
/// ok; else unproven. An indoor unit that never called does not leave the whole question open.
Verdict verdict_of(const std::vector<Finding>& findings, std::string_view check);

/// The worst verdict of all checks; a question that no place could answer leaves the system
/// unproven unless something worse was found.
Verdict system_verdict(const std::vector<Finding>& findings);

/// Derives, cuts into phases and runs every check of the catalogue.
/// @error not_found  unknown refrigerant
/// Thread-safe.
Result<Judgement> judge(Recording recording, const JudgeOptions& options);

}  // namespace cw
