#pragma once

#include <string>

#include "checks/check.h"

namespace cw {

/// "while the machine heats", "at standstill": when a question is asked.
std::string asked_when(AskedIn mode);

/// What `check --explain ID` prints: the question, why, needs, what it cannot see, and the limits
/// of the sheet with unit, source and note.
std::string check_explanation(const Check& check, const LimitSheet& limits);

/// The guide to all checks in Markdown, docs/user/check-guide.md: the same text as the
/// explanations.
std::string check_guide_markdown();

}  // namespace cw
