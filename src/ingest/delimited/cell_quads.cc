#include "ingest/delimited/cell_quads.h"

#include <bit>
#include <limits>

#include "ingest/delimited/short_number.h"

#if defined(__GNUC__) && defined(__x86_64__)
#include <immintrin.h>
#define CW_HAS_QUADS 1
#define CW_AVX2 __attribute__((target("avx2")))
#endif

namespace cw {

#if defined(CW_HAS_QUADS)

namespace {

long long word_at(const char* at) noexcept {
  return std::bit_cast<long long>(ShortNumber::load(at));
}

}  // namespace

bool QuadReader::is_available() noexcept { return __builtin_cpu_supports("avx2") != 0; }

/// The steps are those of ShortNumber::read(), in lanes of eight bytes.
CW_AVX2 std::size_t QuadReader::read(const char* line, const std::uint32_t* ends,
                                     std::span<const CellQuad> quads, float* row,
                                     std::uint32_t* others) const noexcept {
  const __m256i zero = _mm256_setzero_si256();
  const __m256i one = _mm256_set1_epi64x(1);
  const __m256i ones = _mm256_set1_epi8(1);
  const __m256i zeros = _mm256_set1_epi8('0');
  const __m256i decimals = _mm256_set1_epi8(decimal_);
  const __m256i first_zero = _mm256_set1_epi64x('0');
  const __m256i even = _mm256_setr_epi32(0, 2, 4, 6, 0, 2, 4, 6);
  // Exact as floats.
  const __m256 powers = _mm256_setr_ps(1e0F, 1e1F, 1e2F, 1e3F, 1e4F, 1e5F, 1e6F, 1e7F);
  const __m256d none_read = _mm256_set1_pd(std::numeric_limits<double>::quiet_NaN());
  std::size_t left = 0;
  for (const CellQuad& quad : quads) {
    const std::uint32_t* const end = ends + quad.first;
    const __m128i begins = _mm_add_epi32(_mm_loadu_si128(reinterpret_cast<const __m128i*>(end - 1)),
                                         _mm_set1_epi32(1));
    const __m256i size = _mm256_cvtepu32_epi64(
        _mm_sub_epi32(_mm_loadu_si128(reinterpret_cast<const __m128i*>(end)), begins));
    __m256i words = _mm256_set_epi64x(word_at(line + end[2] + 1), word_at(line + end[1] + 1),
                                      word_at(line + end[0] + 1), word_at(line + (end[-1] + 1U)));
    const __m256i negative =
        _mm256_and_si256(_mm256_cmpeq_epi8(words, _mm256_set1_epi64x('-')), one);
    // The sign becomes a zero: two bits make '0' of '-' and three more.
    words = _mm256_xor_si256(
        words, _mm256_and_si256(_mm256_sub_epi64(zero, negative), _mm256_set1_epi64x('-' ^ '0')));
    const __m256i bits = _mm256_slli_epi64(size, 3);
    __m256i digits =
        _mm256_or_si256(_mm256_sllv_epi64(words, _mm256_sub_epi64(_mm256_set1_epi64x(64), bits)),
                        _mm256_srlv_epi64(zeros, bits));
    const __m256i found = _mm256_cmpeq_epi8(digits, decimals);
    const __m256i whole = _mm256_cmpeq_epi64(found, zero);
    const __m256i lowest_bit = _mm256_and_si256(found, _mm256_sub_epi64(zero, found));
    // The decimal sign's byte and all below.
    const __m256i upto =
        _mm256_andnot_si256(whole, _mm256_sub_epi64(_mm256_slli_epi64(lowest_bit, 8), one));
    const __m256i before = _mm256_and_si256(digits, _mm256_srli_epi64(upto, 8));
    digits = _mm256_or_si256(
        _mm256_or_si256(_mm256_andnot_si256(upto, digits), _mm256_slli_epi64(before, 8)),
        _mm256_andnot_si256(whole, first_zero));
    const __m256i values = _mm256_sub_epi8(digits, zeros);
    const __m256i nine = _mm256_set1_epi8(9);
    const __m256i are_digits = _mm256_cmpeq_epi64(
        _mm256_cmpeq_epi8(_mm256_max_epu8(values, nine), nine), _mm256_set1_epi64x(-1));
    // A lone sign is no number.
    const __m256i signs = _mm256_add_epi64(negative, _mm256_add_epi64(whole, one));
    const __m256i sized = _mm256_and_si256(_mm256_cmpgt_epi64(size, signs),
                                           _mm256_cmpgt_epi64(_mm256_set1_epi64x(9), size));
    const __m256i pairs = _mm256_maddubs_epi16(values, _mm256_set1_epi16(0x010A));
    const __m256i fours = _mm256_madd_epi16(pairs, _mm256_set1_epi32(0x00010064));
    const __m256i number = _mm256_add_epi64(_mm256_mul_epu32(fours, _mm256_set1_epi64x(10000)),
                                            _mm256_srli_epi64(fours, 32));
    // Bytes behind the decimal sign; eight without one, of which the choice takes three bits.
    const __m256i places = _mm256_sad_epu8(_mm256_andnot_si256(upto, ones), zero);
    const __m128i count = _mm256_castsi256_si128(_mm256_permutevar8x32_epi32(number, even));
    const __m128 power = _mm256_castps256_ps128(
        _mm256_permutevar8x32_ps(powers, _mm256_permutevar8x32_epi32(places, even)));
    const __m256d magnitude = _mm256_div_pd(_mm256_cvtepi32_pd(count), _mm256_cvtps_pd(power));
    const __m256d raw =
        _mm256_or_pd(magnitude, _mm256_castsi256_pd(_mm256_slli_epi64(negative, 63)));
    const __m256d si = _mm256_add_pd(_mm256_mul_pd(_mm256_loadu_pd(quad.scale), raw),
                                     _mm256_loadu_pd(quad.offset));
    const __m256d plausible =
        _mm256_and_pd(_mm256_cmp_pd(si, _mm256_loadu_pd(quad.lowest), _CMP_GE_OQ),
                      _mm256_cmp_pd(si, _mm256_loadu_pd(quad.highest), _CMP_LE_OQ));
    const __m256d empty = _mm256_castsi256_pd(_mm256_cmpeq_epi64(size, zero));
    const __m256d good = _mm256_or_pd(
        empty, _mm256_and_pd(plausible, _mm256_castsi256_pd(_mm256_and_si256(are_digits, sized))));
    _mm_storeu_ps(row + quad.slot, _mm256_cvtpd_ps(_mm256_blendv_pd(si, none_read, empty)));
    const auto mask = static_cast<unsigned>(_mm256_movemask_pd(good));
    if (mask == 0xFU) [[likely]]
      continue;
    for (std::uint32_t lane = 0; lane < 4; ++lane) {
      others[left] = quad.first + lane;
      left += (mask >> lane & 1U) == 0 ? 1U : 0U;
    }
  }
  return left;
}

#else

bool QuadReader::is_available() noexcept { return false; }

std::size_t QuadReader::read(const char*, const std::uint32_t*, std::span<const CellQuad>, float*,
                             std::uint32_t*) const noexcept {
  return 0;
}

#endif

}  // namespace cw
