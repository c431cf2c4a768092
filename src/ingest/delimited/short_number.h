#pragma once

#include <bit>
#include <cstdint>
#include <cstring>

namespace cw {

/// Reads numbers of up to eight characters ("-12.5", "-1013.25") by arithmetic on eight bytes at
/// once: a recording is nearly all of these, and a branch a character costs more than the digits.
/// QuadReader does the same for four at a time where the processor can.
class ShortNumber {
 public:
  explicit ShortNumber(char decimal) noexcept
      : decimals_(ones * static_cast<unsigned char>(decimal)) {}

  static std::uint64_t load(const char* at) noexcept {
    static_assert(std::endian::native == std::endian::little);
    std::uint64_t word = 0;
    std::memcpy(&word, at, 8);
    return word;
  }

  /// The cell in the first `length` (1..8) bytes of `word` as a number, exactly as read_decimal()
  /// gives it; false when it is anything but digits with a sign and a decimal sign.
  bool read(std::uint64_t word, unsigned length, double& value) const noexcept {
    const bool negative = (word & 0xFFU) == '-';
    std::uint64_t digits = right_aligned(word, length, negative);
    const std::uint64_t found = zero_bytes(digits ^ decimals_);
    const std::uint64_t mark = found & (0 - found);
    const std::uint64_t upto = found == 0 ? 0 : mark | (mark - 1);  // the sign's byte and all below
    digits = (digits & ~upto) | ((digits & (upto >> 8U)) << 8U) | (found == 0 ? 0U : '0');
    const auto places = static_cast<unsigned>(std::countl_zero(mark)) / 8;  // 8 without a sign
    if (!all_digits(digits)) return false;
    // A lone sign is no number.
    if (length == 1 && (negative || found != 0)) return false;
    if (length == 2 && negative && found != 0) return false;
    const double magnitude = static_cast<double>(number_of(digits)) / powers[places];
    // A branch on the sign would be wrong half the time around zero.
    value = std::bit_cast<double>(std::bit_cast<std::uint64_t>(magnitude) |
                                  static_cast<std::uint64_t>(negative) << 63U);
    return true;
  }

 private:
  static constexpr double powers[] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e0};
  static constexpr std::uint64_t tops = 0x8080808080808080ULL;

  /// The last character in the highest byte, zeros in front; a minus becomes a zero.
  static std::uint64_t right_aligned(std::uint64_t word, unsigned length, bool negative) noexcept {
    word ^= negative ? static_cast<std::uint64_t>('-' ^ '0') : 0U;
    // All eight bytes are more than one shift may take.
    return (word << (64 - 8 * length)) | (zeros >> 8U >> (8 * (length - 1)));
  }
  static bool all_digits(std::uint64_t digits) noexcept {
    return (((digits + 0x4646464646464646ULL) | (digits - zeros)) & tops) == 0;
  }
  /// Eight digits, the last in the highest byte.
  static std::uint32_t number_of(std::uint64_t digits) noexcept {
    std::uint64_t n = digits - zeros;
    n = (n * 10) + (n >> 8U);
    constexpr std::uint64_t mask = 0x000000FF000000FFULL;
    constexpr std::uint64_t mul1 = 0x000F424000000064ULL;  // 100 + (1000000 << 32)
    constexpr std::uint64_t mul2 = 0x0000271000000001ULL;  // 1 + (10000 << 32)
    n = (((n & mask) * mul1) + (((n >> 16U) & mask) * mul2)) >> 32U;
    return static_cast<std::uint32_t>(n);
  }

  static constexpr std::uint64_t ones = 0x0101010101010101ULL;
  static constexpr std::uint64_t zeros = 0x3030303030303030ULL;

  /// The high bit of the lowest zero byte is set (bits above it may be, too).
  static std::uint64_t zero_bytes(std::uint64_t x) noexcept {
    return (x - ones) & ~x & 0x8080808080808080ULL;
  }

  std::uint64_t decimals_;
};

}  // namespace cw
