#include "checks/spectrum.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace cw {
namespace {

/// The values less their least-squares line.
std::vector<double> without_line(std::span<const double> values) {
  const auto n = static_cast<double>(values.size());
  const double middle = (n - 1.0) / 2.0;
  double mean = 0.0;
  for (const double v : values) mean += v / n;
  double moment = 0.0;
  double square = 0.0;
  for (std::size_t k = 0; k < values.size(); ++k) {
    const double x = static_cast<double>(k) - middle;
    moment += x * (values[k] - mean);
    square += x * x;
  }
  const double slope = square > 0.0 ? moment / square : 0.0;
  std::vector<double> out(values.begin(), values.end());
  for (std::size_t k = 0; k < out.size(); ++k) {
    out[k] -= mean + slope * (static_cast<double>(k) - middle);
  }
  return out;
}

/// Amplitude of the sine at `cycles` per record, corrected for the window's mean of 1/2: Goertzel's
/// recurrence, which needs one multiplication a value.
double sine_amplitude(const std::vector<double>& windowed, double cycles) {
  const double angle = 2.0 * std::numbers::pi * cycles / static_cast<double>(windowed.size());
  const double twice = 2.0 * std::cos(angle);
  double last = 0.0;
  double before = 0.0;
  for (const double v : windowed) {
    const double now = v + twice * last - before;
    before = last;
    last = now;
  }
  const double power = last * last + before * before - twice * last * before;
  return 4.0 * std::sqrt(std::max(power, 0.0)) / static_cast<double>(windowed.size());
}

}  // namespace

Swing strongest_swing(std::span<const double> values, double step, double shortest,
                      double longest) {
  Swing out;
  if (values.size() < 16) return out;
  std::vector<double> flat = without_line(values);
  double variance = 0.0;
  for (const double v : flat) variance += v * v / static_cast<double>(flat.size());
  if (variance <= 1e-12) return out;
  const auto n = static_cast<double>(flat.size());
  for (std::size_t k = 0; k < flat.size(); ++k) {
    const double phase = 2.0 * std::numbers::pi * (static_cast<double>(k) + 0.5) / n;
    flat[k] *= 0.5 * (1.0 - std::cos(phase));
  }
  const double span = n * step;
  double strongest = 0.0;
  double at = 0.0;
  for (double cycles = std::max(1.0, span / longest); cycles <= span / shortest; cycles += 0.5) {
    const double amplitude = sine_amplitude(flat, cycles);
    if (amplitude > strongest) {
      strongest = amplitude;
      at = cycles;
    }
  }
  if (strongest <= 0.0) return out;
  out.period = span / at;
  out.amplitude = 2.0 * strongest;
  // A sine of amplitude a has the variance a^2 / 2.
  out.share = std::min(1.0, strongest * strongest / 2.0 / variance);
  return out;
}

}  // namespace cw
