#pragma once

#include <bit>
#include <cstdint>
#include <cstring>

namespace cw {

/// Reads numbers of up to seven characters ("-12.5", "1013.25") by arithmetic on eight bytes at
/// once: a recording is nearly all of these, and a branch a character costs more than the digits.
class ShortNumber {
 public:
  ShortNumber(char delimiter, char decimal) noexcept
      : delimiters_(ones * static_cast<unsigned char>(delimiter)),
        decimals_(ones * static_cast<unsigned char>(decimal)) {}

  /// Length of the cell at `at`, of which eight bytes can be read; 8 when its end is not there.
  unsigned length(std::uint64_t word) const noexcept {
    return static_cast<unsigned>(std::countr_zero(zero_bytes(word ^ delimiters_))) / 8;
  }

  static std::uint64_t load(const char* at) noexcept {
    static_assert(std::endian::native == std::endian::little);
    std::uint64_t word = 0;
    std::memcpy(&word, at, 8);
    return word;
  }

  /// The cell in the first `length` (1..7) bytes of `word` as a number, exactly as read_decimal()
  /// gives it; false when it is anything but digits with a sign and a decimal sign.
  bool read(std::uint64_t word, unsigned length, double& value) const noexcept {
    static constexpr double powers[] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e0};
    const bool negative = (word & 0xFFU) == '-';
    word ^= negative ? static_cast<std::uint64_t>('-' ^ '0') : 0U;
    // Right-aligned: the last digit in the highest byte, zeros in front.
    const unsigned shift = 64 - 8 * length;
    std::uint64_t digits = (word << shift) | (zeros >> (8 * length));
    const std::uint64_t found = zero_bytes(digits ^ decimals_);
    const std::uint64_t mark = found & (0 - found);
    const std::uint64_t upto = found == 0 ? 0 : mark | (mark - 1);  // the sign's byte and all below
    digits = (digits & ~upto) | ((digits & (upto >> 8U)) << 8U) | '0';
    const auto places = static_cast<unsigned>(std::countl_zero(mark)) / 8;  // 8 without a mark
    const std::uint64_t over = digits + 0x4646464646464646ULL;
    const std::uint64_t under = digits - zeros;
    if (((over | under) & 0x8080808080808080ULL) != 0) return false;
    // A lone sign is no number.
    if (length == 1 && (negative || found != 0)) return false;
    if (length == 2 && negative && found != 0) return false;
    std::uint64_t n = under;
    n = (n * 10) + (n >> 8U);
    constexpr std::uint64_t mask = 0x000000FF000000FFULL;
    constexpr std::uint64_t mul1 = 0x000F424000000064ULL;  // 100 + (1000000 << 32)
    constexpr std::uint64_t mul2 = 0x0000271000000001ULL;  // 1 + (10000 << 32)
    n = (((n & mask) * mul1) + (((n >> 16U) & mask) * mul2)) >> 32U;
    const double magnitude = static_cast<double>(static_cast<std::uint32_t>(n)) / powers[places];
    value = negative ? -magnitude : magnitude;
    return true;
  }

 private:
  static constexpr std::uint64_t ones = 0x0101010101010101ULL;
  static constexpr std::uint64_t zeros = 0x3030303030303030ULL;

  /// The high bit of the lowest zero byte is set (bits above it may be, too).
  static std::uint64_t zero_bytes(std::uint64_t x) noexcept {
    return (x - ones) & ~x & 0x8080808080808080ULL;
  }

  std::uint64_t delimiters_;
  std::uint64_t decimals_;
};

}  // namespace cw
