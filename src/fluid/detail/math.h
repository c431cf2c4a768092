#pragma once

#include <bit>
#include <cstdint>

/// exp and log of our own: the C library's differ between systems in the last bit, and tables must
/// come out the same on every machine and under WebAssembly. Only additions, multiplications,
/// divisions and bit shifts are used, so IEEE 754 fixes every result (built without contraction).
namespace cw::fluid::detail {

/// Four doubles that the compiler keeps in vector registers where there are some. Passed by
/// reference only: how they travel by value depends on the instruction set. The alignment is
/// written out because it would be 16 outside the wide clones (CW_WIDE), which load 32 bytes
/// aligned.
using Quad [[gnu::vector_size(32), gnu::aligned(32)]] = double;
using QuadBits [[gnu::vector_size(32), gnu::aligned(32)]] = std::uint64_t;
static_assert(alignof(Quad) == 32);

#define CW_INLINE inline __attribute__((always_inline))

// Wider registers where the machine has them; the operations and their order are the same, so the
// results are too (no fused multiply-add). Not under sanitizers, whose runtime is not up yet when
// the loader chooses.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define CW_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define CW_WIDE
#endif

constexpr double ln2_high = 0x1.62e42fee00000p-1;  // 32 leading bits: k * ln2_high is exact
constexpr double ln2_low = 0x1.a39ef35793c76p-33;  // ln 2 - ln2_high
constexpr double log2_e = 1.4426950408889634074;
constexpr double round_shift = 0x1.8p52;  // adding it rounds to an integer in the low bits

/// p = e^r for |r| <= ln(2)/2, a double or a Quad: degree 11 through the Chebyshev points,
/// truncation 4e-18.
template <class Real>
CW_INLINE void exp_of_rest(const Real& r, Real& p) noexcept {
  const Real r2 = r * r;
  const Real r4 = r2 * r2;
  const Real low = (0.5 + 0.16666666666666680806 * r) +
                   r2 * (0.041666666666488095495 + 0.0083333333333196006109 * r);
  const Real mid = (0.0013888888952314774652 + 0.00019841269890047113707 * r) +
                   r2 * (2.4801485482328492419e-5 + 2.7557240918578969823e-6 * r);
  const Real high = 2.7632639639041029749e-7 + 2.5110037605963777712e-8 * r;
  p = 1.0 + (r + r2 * (low + r4 * (mid + r4 * high)));
}

/// p = (ln m - 2 f)/f^3 with f = (m - 1)/(m + 1) and z = f^2, |f| < 0.1716: truncation 3e-20.
template <class Real>
CW_INLINE void log_of_square(const Real& z, Real& p) noexcept {
  const Real z2 = z * z;
  p = (0.66666666666666666465 + 0.40000000000000876983 * z) +
      z2 * ((0.28571428570803611811 + 0.22222222391713917442 * z) +
            z2 * ((0.18181795640132906276 + 0.15386239702814658188 * z) +
                  z2 * (0.13268773138656885185 + 0.13086626147840102138 * z)));
}

/// out = e^x for each of four, -700 <= x <= 700. Relative error below 4.5e-16 (math_test.cc).
CW_INLINE void exp_quad(const Quad& x, Quad& out) noexcept {
  const Quad shifted = x * log2_e + round_shift;
  const Quad k = shifted - round_shift;
  const Quad r = (x - k * ln2_high) - k * ln2_low;
  Quad p;
  exp_of_rest(r, p);
  // 2^k: k sits in the low bits of `shifted`; move it to the exponent.
  const QuadBits scale = (reinterpret_cast<QuadBits>(shifted) << 52) + (std::uint64_t{0x3ff} << 52);
  out = p * reinterpret_cast<Quad>(scale);
}

/// e^x, the argument cut to -700..700; bit for bit as exp_quad.
inline double exp_of(double x) noexcept {
  x = x < -700.0 ? -700.0 : (x > 700.0 ? 700.0 : x);
  const double shifted = x * log2_e + round_shift;
  const double k = shifted - round_shift;
  const double r = (x - k * ln2_high) - k * ln2_low;
  double p;
  exp_of_rest(r, p);
  const std::uint64_t scale =
      (std::bit_cast<std::uint64_t>(shifted) << 52) + std::bit_cast<std::uint64_t>(1.0);
  return p * std::bit_cast<double>(scale);
}

/// Natural logarithm of a positive normal number; -inf, nan and subnormal input is the caller's
/// fault and gives a meaningless finite number. Relative error below 4e-16 (math_test.cc).
inline double log_of(double x) noexcept {
  constexpr std::uint64_t sqrt_half = 0x3fe6a09e667f3bcd;
  const auto bits = std::bit_cast<std::uint64_t>(x);
  const std::uint64_t shifted = bits - sqrt_half;
  const auto k = static_cast<double>(static_cast<std::int64_t>(shifted) >> 52);
  const double m = std::bit_cast<double>((shifted & ((std::uint64_t{1} << 52) - 1)) + sqrt_half);
  // ln m = 2 atanh f
  const double f = (m - 1.0) / (m + 1.0);
  const double z = f * f;
  double p;
  log_of_square(z, p);
  return k * ln2_high + (2.0 * f + (f * z * p + k * ln2_low));
}

/// out = ln(x) for each of four; bit for bit as log_of.
CW_INLINE void log_quad(const Quad& x, Quad& out) noexcept {
  constexpr std::uint64_t sqrt_half = 0x3fe6a09e667f3bcd;
  constexpr std::uint64_t mantissa = (std::uint64_t{1} << 52) - 1;
  const QuadBits shifted = reinterpret_cast<QuadBits>(x) - sqrt_half;
  // The exponent as a double without an arithmetic shift: biased by 2048, under the bits of 2^52.
  const QuadBits biased = ((shifted + (std::uint64_t{2048} << 52)) >> 52) | 0x4330000000000000;
  Quad k = reinterpret_cast<Quad>(biased) - (0x1p52 + 2048.0);
  k = k < -2048.0 ? k + 4096.0 : k;
  k = k > 2047.0 ? k - 4096.0 : k;
  const Quad m = reinterpret_cast<Quad>((shifted & mantissa) + sqrt_half);
  const Quad f = (m - 1.0) / (m + 1.0);
  const Quad z = f * f;
  Quad p;
  log_of_square(z, p);
  out = k * ln2_high + (2.0 * f + (f * z * p + k * ln2_low));
}

/// x^y for positive x.
inline double power_of(double x, double y) noexcept { return exp_of(y * log_of(x)); }

}  // namespace cw::fluid::detail
