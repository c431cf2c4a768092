#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "checks/check.h"

namespace cw {

/// What a check surely needs to be recorded, from data/checks: a need a line. "a + b | c": both, or
/// the third alone. A quantity alone is that of the finding's place, "site.q" that of the air
/// around the machine, "indoor.q" and "outdoor.q" that of any place of the kind; "indoor: a" is
/// needed at places of that kind only. "calls": what shows whether a unit calls (track_calls).
/// Needs that hang on what the log shows (heating or cooling, two of five signals) are left out:
/// what is named is needed, but more may be. Read once, then constant: thread-safe. Empty for an
/// unknown check.
const std::vector<std::string>& records_of(std::string_view check);

/// The channels that an unproven finding surely needs and that the recording has not at its place,
/// by the `records` of its check (data/checks): "outdoor.1.discharge_pressure" each, or the
/// quantity alone where any place of its kind will do. Where one of several would do, the first is
/// named. In the order of the check's text, none twice. Empty does not mean that nothing is
/// missing: the finding's sentences say the rest. Empty for other verdicts, too, and for a check
/// that the catalogue has not. Thread-safe; allocates.
std::vector<std::string> missing_channels(const Finding& finding, const Recording& recording);

}  // namespace cw
