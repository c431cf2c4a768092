#pragma once

#include <vector>

#include "diagnose/diagnose.h"

namespace cw::diagnose::detail {

/// Tests by expected information for the effort, the best first, at most `most`.
/// @param causes  with their probabilities; the rest up to one is "something else, or nothing"
std::vector<NextTest> next_tests(const std::vector<RankedCause>& causes, const CauseBook& book,
                                 std::size_t most);

}  // namespace cw::diagnose::detail
