#include "diagnose/detail/next_tests.h"

#include <algorithm>
#include <cmath>

namespace cw::diagnose::detail {
namespace {

double bits(double p) {
  return p <= 0.0 || p >= 1.0 ? 0.0 : -p * std::log2(p) - (1.0 - p) * std::log2(1.0 - p);
}

/// A test is done at one place: causes of its list at other places answer "no".
NextTest expect(const TestText& test, const std::vector<RankedCause>& causes) {
  NextTest out{&test, {}, 0.0};
  const RankedCause* lead = nullptr;
  for (const RankedCause& c : causes) {
    if (test.yes.find(c.kind->id) != test.yes.end()) {
      lead = &c;
      break;
    }
  }
  if (lead == nullptr) return out;
  double total = 0.0;
  for (const RankedCause& c : causes) total += c.probability;
  const double scale = total > 1.0 ? 1.0 / total : 1.0;
  const double rest = std::max(1.0 - scale * total, 0.0);
  double yes = rest * test.otherwise;
  double inner = rest * bits(test.otherwise);
  for (const RankedCause& c : causes) {
    const auto found = test.yes.find(c.kind->id);
    const bool here = found != test.yes.end() && c.place == lead->place;
    const double p = here ? found->second : test.otherwise;
    yes += scale * c.probability * p;
    inner += scale * c.probability * bits(p);
  }
  out.information = std::max(bits(yes) - inner, 0.0);
  if (lead->place != "system") out.place = lead->place;
  return out;
}

}  // namespace

std::vector<NextTest> next_tests(const std::vector<RankedCause>& causes, const CauseBook& book,
                                 std::size_t most) {
  std::vector<NextTest> out;
  for (const TestText& test : book.tests) {
    NextTest next = expect(test, causes);
    if (next.information > 0.02) out.push_back(next);
  }
  // Bits for the root of the minutes: a day's work must tell much more than a look, not 60 times
  // more. Own choice.
  const auto worth = [](const NextTest& t) {
    return t.information / std::sqrt(t.test->effort_min);
  };
  std::stable_sort(out.begin(), out.end(),
                   [&](const NextTest& a, const NextTest& b) { return worth(a) > worth(b); });
  if (out.size() > most) out.resize(most);
  return out;
}

}  // namespace cw::diagnose::detail
