#pragma once

#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// One finding out of several of the same check and place: the worst that was found, with its
/// words; else ok, with `ok_words` where there are some, when any was ok; else the first open one.
/// Measures and evidence of all are kept. `parts` must not be empty.
Finding worst_of(std::vector<Finding> parts, const std::string& ok_words);

}  // namespace cw
