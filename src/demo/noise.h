#pragma once

#include <cstdint>

namespace cw::demo {

inline constexpr std::uint64_t demo_seed = 20260120;

/// Sensor noise that is the same on every machine: splitmix64 [Steele, Lea & Flood 2014] and a sum
/// of four uniform numbers in place of a normal distribution, so no call of the maths library.
class Noise {
 public:
  explicit Noise(std::uint64_t seed) : state_(seed) {}

  /// Uniform in 0..1.
  double uniform() {
    state_ += 0x9e3779b97f4a7c15U;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    z ^= z >> 31U;
    return static_cast<double>(z >> 11U) * 0x1.0p-53;
  }

  /// Mean 0, standard deviation `sigma`, never further out than 3.5 sigma.
  double around_zero(double sigma) {
    const double sum = uniform() + uniform() + uniform() + uniform() - 2.0;
    return sigma * 1.7320508 * sum;  // the variance of the sum is 1/3
  }

 private:
  std::uint64_t state_;
};

}  // namespace cw::demo
