#pragma once

#include <cstdint>
#include <string_view>

/// Chance that is the same on every machine: whole numbers and sums only, no library distribution.
namespace cw::scenario::detail {

/// SplitMix64 (Steele, Lea and Flood 2014, doi:10.1145/2660193.2660195), public-domain constants
/// from memory.
inline std::uint64_t next_random(std::uint64_t& state) noexcept {
  state += 0x9E3779B97F4A7C15ULL;
  std::uint64_t z = state;
  z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31U);
}

/// Uniform in [0, 1).
inline double uniform(std::uint64_t& state) noexcept {
  return static_cast<double>(next_random(state) >> 11U) * 0x1.0p-53;
}

/// Mean 0, variance 1: the sum of twelve uniform numbers less 6. Never beyond 6.
inline double normal(std::uint64_t& state) noexcept {
  double sum = -6.0;
  for (int i = 0; i < 12; ++i) sum += uniform(state);
  return sum;
}

/// A stream of its own for a name, so that another channel does not change this one.
inline std::uint64_t stream_of(std::uint64_t seed, std::string_view name) noexcept {
  std::uint64_t state = seed;
  std::uint64_t hash = next_random(state);
  for (const char c : name) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  return hash;
}

}  // namespace cw::scenario::detail
