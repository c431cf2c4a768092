#pragma once

#include <charconv>
#include <cstdint>
#include <string_view>

#include "base/text.h"

namespace cw {

/// Reads a whole cell as a decimal number; false when it is none (words, nan, inf, hex).
///
/// Up to 15 digits and 22 decimal places are exact by one division (both operands are exact
/// doubles: Clinger 1990, the fast path); everything else goes to std::from_chars. A recording is
/// nearly all short decimals, so this is what decides the import's speed.
inline bool read_decimal(std::string_view cell, double& value) noexcept {
  static constexpr double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                      1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                      1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  const char* at = cell.data();
  const char* const end = at + cell.size();
  if (at == end) return false;
  const bool negative = *at == '-';
  if (negative || *at == '+') ++at;
  std::uint64_t digits = 0;
  const char* const first = at;
  while (at != end && static_cast<unsigned char>(*at - '0') < 10) {
    digits = digits * 10 + static_cast<unsigned char>(*at - '0');
    ++at;
  }
  std::ptrdiff_t count = at - first;
  std::ptrdiff_t places = 0;
  if (at != end && *at == '.') {
    const char* const point = ++at;
    while (at != end && static_cast<unsigned char>(*at - '0') < 10) {
      digits = digits * 10 + static_cast<unsigned char>(*at - '0');
      ++at;
    }
    places = at - point;
    count += places;
  }
  if (at != end || count == 0 || count > 15) return read_number(cell, value);
  const double magnitude = static_cast<double>(digits) / powers[places];
  value = negative ? -magnitude : magnitude;
  return true;
}

}  // namespace cw
