#pragma once

#include <span>

namespace cw {

/// The strongest swing of a signal at equal steps.
struct Swing {
  double period = 0.0;     ///< [s]; 0 when there is none
  double amplitude = 0.0;  ///< peak to peak of the sine that carries it, unit of the signal
  double share = 0.0;      ///< of the variance that is in the swing, 0..1
};

/// Finds the strongest swing with a period between `shortest` and `longest` [s].
///
/// A straight line is taken off, a Hann window laid over it, and the periodogram evaluated at
/// twice the resolution of the record. A signal without variance has none.
/// @param values  without gaps, at least 16
/// @param step    between values [s]; shortest must be at least 2 steps
/// Thread-safe; allocates.
Swing strongest_swing(std::span<const double> values, double step, double shortest, double longest);

}  // namespace cw
