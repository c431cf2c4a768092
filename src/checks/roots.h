#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "checks/check.h"

/// Findings that have one root: which follows from which, by the rules of data/roots.toml.
namespace cw {

/// Fills Finding::root and root_because of every watch and fault that follows from another one.
/// A root follows from nothing; none of the findings is changed otherwise.
void find_roots(std::vector<Finding>& findings);

/// A root with what follows from it.
struct Trouble {
  const Finding* root = nullptr;
  std::vector<const Finding*> followers;  ///< in the order of the catalogue, faults first
  Verdict verdict = Verdict::watch;       ///< the worst of them
};

/// Every watch and fault, each exactly once; faults first, then in the order of the catalogue.
std::vector<Trouble> troubles_of(const std::vector<Finding>& findings);

}  // namespace cw
