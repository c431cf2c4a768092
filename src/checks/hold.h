#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "base/instant.h"
#include "series/recording.h"

namespace cw {

/// What a sample is to a hold.
enum class Mask : std::uint8_t {
  counts,  ///< the check looks at it
  pauses,  ///< masked out: neither counts nor ends a hold (start-up, defrost, recovery)
  ends,    ///< ends a hold (compressor off, unit not calling, unknown)
};

/// One reading of the judged quantity.
struct Sample {
  Instant time;
  double value = 0.0;  ///< SI
  double limit = 0.0;  ///< SI; differs from sample to sample where the target is logged
  Mask mask = Mask::ends;
  bool beyond = false;  ///< value is on the wrong side of limit
};

/// A time in which a limit was held.
struct Window {
  Instant start;       ///< first reading beyond the limit
  Instant end;         ///< last reading beyond it
  double value = 0.0;  ///< the worst reading, SI
  double limit = 0.0;  ///< the limit at that reading, SI
  double held = 0.0;   ///< time beyond the limit without masked time [s]
};

/// Storage rounds a reading to float32; a reading counts as beyond a limit only when it is so by
/// more than this: 2e-3 (K, for temperatures) or 2e-6 of the limit, whichever is more. 300 K in
/// float32 steps by 3e-5 K, and a conversion from degF adds as much; no sensor resolves either
/// (docs/adr/0004).
inline double comparison_tolerance(double limit) { return std::max(2e-3, 2e-6 * std::abs(limit)); }

enum class Side { above, below };

/// Is `value` on the wrong side of `limit` by more than the tolerance?
inline bool is_beyond(double value, double limit, Side side) {
  const double tolerance = comparison_tolerance(limit);
  return side == Side::above ? value > limit + tolerance : value < limit - tolerance;
}

/// Finds every window in which readings stayed beyond the limit for at least `hold`.
///
/// A window runs from the first to the last reading beyond the limit. Masked readings inside it
/// take no part: the time across them does not count. It is ended by a reading within the limit, by
/// a mask that ends, by a step between readings longer than `longest_step` (a gap), and by masked
/// time longer than `longest_pause`. A single reading that differs from both its neighbours neither
/// starts nor ends a window: one reading is no trend.
///
/// @param samples       in time order
/// @param hold          [s]; a window of exactly this length counts
/// @param longest_step  [s]
/// @param longest_pause [s]
std::vector<Window> find_held(const std::vector<Sample>& samples, double hold, double longest_step,
                              double longest_pause, Side side);

/// What the check could see.
struct Observed {
  double total = 0.0;    ///< counted time [s]
  double longest = 0.0;  ///< longest counted time without an end, as a hold would count it [s]
  std::size_t readings = 0;
};
Observed observe(const std::vector<Sample>& samples, double longest_step, double longest_pause);

}  // namespace cw
