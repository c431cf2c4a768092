#include "checks/together.h"

#include <algorithm>

#include "base/contract.h"

namespace cw {

Finding worst_of(std::vector<Finding> parts, const std::string& ok_words) {
  CW_REQUIRE(!parts.empty());
  std::size_t chosen = 0;
  bool any_ok = false;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    any_ok = any_ok || parts[k].verdict == Verdict::ok;
    const bool found = parts[k].verdict > Verdict::unproven;
    if (found && parts[k].verdict > parts[chosen].verdict) chosen = k;
  }
  if (parts[chosen].verdict <= Verdict::unproven && any_ok) {
    const auto ok = std::find_if(parts.begin(), parts.end(),
                                 [](const Finding& f) { return f.verdict == Verdict::ok; });
    chosen = static_cast<std::size_t>(ok - parts.begin());
  }
  Finding out = parts[chosen];
  out.measures.clear();
  out.evidence.clear();
  for (const Finding& part : parts) {
    out.measures.insert(out.measures.end(), part.measures.begin(), part.measures.end());
    for (Evidence e : part.evidence) {
      if (part.dimension != out.dimension && !e.dimension) e.dimension = part.dimension;
      out.evidence.push_back(std::move(e));
    }
    out.observed = std::max(out.observed, part.observed);
  }
  std::stable_sort(
      out.evidence.begin(), out.evidence.end(),
      [](const Evidence& a, const Evidence& b) { return a.window.start < b.window.start; });
  if (out.verdict == Verdict::ok && !ok_words.empty()) out.because = ok_words;
  return out;
}

}  // namespace cw
