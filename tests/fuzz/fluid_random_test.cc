// The fuzz target's entries with a fixed stream of inputs: any bits, and numbers near enough to be
// answered.
#include <gtest/gtest.h>

#include <bit>
#include <limits>
#include <random>

#include "fluid_entries.h"

namespace cw::fluid {
namespace {

TEST(FluidRandom, AnyBits) {
  std::mt19937_64 random(1);
  for (int i = 0; i < 100000; ++i) {
    const auto choice = random();
    fuzz::feed(static_cast<std::uint8_t>(choice), static_cast<std::uint8_t>(choice >> 8),
               std::bit_cast<double>(random()), std::bit_cast<double>(random()));
  }
}

TEST(FluidRandom, SpecialNumbers) {
  using limits = std::numeric_limits<double>;
  const double special[] = {0.0,
                            -0.0,
                            1.0,
                            -1.0,
                            limits::quiet_NaN(),
                            limits::infinity(),
                            -limits::infinity(),
                            limits::min(),
                            limits::max(),
                            limits::lowest(),
                            limits::denorm_min(),
                            273.15,
                            101325.0,
                            0.5};
  for (unsigned fluid = 0; fluid < refrigerant_names().size(); ++fluid) {
    for (unsigned entry = 0; entry < 90; ++entry) {
      for (const double a : special) {
        for (const double b : special) {
          fuzz::feed(static_cast<std::uint8_t>(fluid), static_cast<std::uint8_t>(entry), a, b);
        }
      }
    }
  }
}

TEST(FluidRandom, PlausibleNumbers) {
  std::mt19937_64 random(2);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const auto number = [&](unsigned kind) {
    const double x = unit(random);
    switch (kind) {
      case 0:
        return 60.0 + 500.0 * x;  // T
      case 1:
        return std::pow(10.0, 8.0 * x);  // p
      case 2:
        return std::pow(10.0, 5.0 * x - 1.5);  // rho
      case 3:
        return -2e5 + 1e6 * x;  // h, u
      case 4:
        return -500.0 + 3500.0 * x;  // s
      default:
        return x < 0.1 ? 0.0 : x > 0.9 ? 1.0 : x;  // q
    }
  };
  // Kinds of the two numbers of every entry, in the order of fuzz::feed.
  const unsigned kinds[][2] = {{0, 1}, {0, 2}, {1, 3}, {1, 4}, {3, 4}, {1, 5},
                               {0, 5}, {2, 3}, {2, 3}, {1, 1}, {0, 0}, {1, 1},
                               {1, 1}, {1, 3}, {1, 0}, {1, 5}, {0, 5}, {2, 3}};
  for (unsigned i = 0; i < 30000; ++i) {
    const unsigned entry = i % 18;
    const double a = number(kinds[entry][0]);
    const double b = number(kinds[entry][1]);
    fuzz::feed(static_cast<std::uint8_t>(i / 18), static_cast<std::uint8_t>(entry), a, b);
  }
}

}  // namespace
}  // namespace cw::fluid
