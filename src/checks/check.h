#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/unit_text.h"
#include "checks/hold.h"
#include "checks/limit_sheet.h"
#include "checks/verdict.h"
#include "phases/phases.h"
#include "series/recording.h"

namespace cw {

/// A window with what it means.
struct Evidence {
  Verdict verdict = Verdict::watch;
  Window window;
  std::optional<Dimension> dimension;  ///< of value and limit, where it is not the finding's
};

/// What one check says of one place.
struct Finding {
  std::string check;  ///< check id
  Place place;
  Verdict verdict = Verdict::unproven;
  std::string because;  ///< one or two plain sentences in the reader's units
  std::string proof;    ///< for unproven: the recording that would prove it; else empty
  std::string channel;  ///< name of the judged channel; empty when there is none
  Dimension dimension = Dimension::temperature;  ///< of the windows' value and limit
  std::vector<Evidence> evidence;
  double observed = 0.0;  ///< time that counted [s]
};

/// What every check may look at.
struct CheckContext {
  const Recording& recording;  ///< with derived channels
  const Phases& phases;
  const LimitSheet& limits;
  UnitSystem units = UnitSystem::si;  ///< for sentences
};

/// A check of the catalogue: its text in data/checks/<id>.toml, its logic in one file.
struct Check {
  std::string id;
  std::string title;  ///< for people, "Discharge temperature"
  std::string asks;   ///< the question
  std::string means;  ///< what a finding means, in half a sentence
  std::string why;
  std::string needs;  ///< channels and conditions
  std::string cannot_see;
  std::vector<Finding> (*run)(const CheckContext&) = nullptr;
};

/// All checks in the order of reports. Read once, then constant: thread-safe.
std::span<const Check> check_catalogue();

}  // namespace cw
