#include "ingest/delimited/cell_quads.h"

#include <bit>
#include <limits>

#include "ingest/delimited/short_number.h"
#include "ingest/delimited/wide_instructions.h"

#if defined(CW_HAS_WIDE_INSTRUCTIONS)
#define CW_AVX2 __attribute__((target("avx2")))
#define CW_AVX512 __attribute__((target("avx2,avx512f,avx512bw,avx512cd,avx512dq,avx512vl")))
#endif

namespace cw {

#if defined(CW_HAS_WIDE_INSTRUCTIONS)

namespace {

long long word_at(const char* at) noexcept {
  return std::bit_cast<long long>(ShortNumber::load(at));
}

CW_AVX512 inline __m256i pair(const std::uint32_t* low, const std::uint32_t* high) noexcept {
  return _mm256_inserti128_si256(
      _mm256_castsi128_si256(_mm_loadu_si128(reinterpret_cast<const __m128i*>(low))),
      _mm_loadu_si128(reinterpret_cast<const __m128i*>(high)), 1);
}

CW_AVX512 inline __m512d pair(const double* low, const double* high) noexcept {
  return _mm512_insertf64x4(_mm512_castpd256_pd512(_mm256_loadu_pd(low)), _mm256_loadu_pd(high), 1);
}

}  // namespace

bool QuadReader::is_available() noexcept { return __builtin_cpu_supports("avx2") != 0; }

bool QuadReader::has_eight() noexcept {
  return __builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512bw") != 0 &&
         __builtin_cpu_supports("avx512cd") != 0 && __builtin_cpu_supports("avx512dq") != 0 &&
         __builtin_cpu_supports("avx512vl") != 0;
}

std::size_t QuadReader::read(const char* line, const std::uint32_t* ends,
                             std::span<const CellQuad> quads, float* row,
                             std::uint32_t* others) const noexcept {
  const std::size_t paired = eight_ ? quads.size() / 2 * 2 : 0;
  std::size_t left = 0;
  if (paired > 0) left = read_pairs(line, ends, quads.first(paired), row, others);
  if (paired < quads.size()) {
    left += read_fours(line, ends, quads.subspan(paired), row, others + left);
  }
  return left;
}

/// As read_fours(), in eight lanes; what is a mask of bytes there is one of bits here.
CW_AVX512 std::size_t QuadReader::read_pairs(const char* line, const std::uint32_t* ends,
                                             std::span<const CellQuad> quads, float* row,
                                             std::uint32_t* others) const noexcept {
  const __m512i zero = _mm512_setzero_si512();
  const __m512i one = _mm512_set1_epi64(1);
  const __m512i zeros = _mm512_set1_epi8('0');
  const __m512i decimals = _mm512_set1_epi8(decimal_);
  const __m512i first_byte = _mm512_set1_epi64(0xFF);
  const __m512i minus = _mm512_set1_epi64('-');
  const __m512i to_zero = _mm512_set1_epi64('-' ^ '0');
  const __m512i first_zero = _mm512_set1_epi64('0');
  const __m512i nine = _mm512_set1_epi8(9);
  const __m512i tens = _mm512_set1_epi16(0x010A);
  const __m512i hundreds = _mm512_set1_epi32(0x00010064);
  const __m512i sixty_four = _mm512_set1_epi64(64);
  const __m512d powers = _mm512_setr_pd(1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7);
  const __m512d sign = _mm512_set1_pd(-0.0);
  const __m512d none_read = _mm512_set1_pd(std::numeric_limits<double>::quiet_NaN());
  std::size_t left = 0;
  for (std::size_t q = 0; q + 1 < quads.size(); q += 2) {
    const CellQuad& a = quads[q];
    const CellQuad& b = quads[q + 1];
    const std::uint32_t* const at = ends - 1 + a.first;
    const std::uint32_t* const up = ends - 1 + b.first;
    const __m256i begins =
        _mm256_add_epi32(pair(ends - 1 + a.first, ends - 1 + b.first), _mm256_set1_epi32(1));
    const __m512i size =
        _mm512_cvtepu32_epi64(_mm256_sub_epi32(pair(ends + a.first, ends + b.first), begins));
    // A load that leaves the other lanes as they are; a gather is slow on some processors.
    __m512i words = _mm512_castsi128_si512(_mm_loadl_epi64(reinterpret_cast<const __m128i*>(
        line + (at[0] + 1U))));  // at[0] may be one before the line
    words = _mm512_mask_set1_epi64(words, 0x02, word_at(line + at[1] + 1));
    words = _mm512_mask_set1_epi64(words, 0x04, word_at(line + at[2] + 1));
    words = _mm512_mask_set1_epi64(words, 0x08, word_at(line + at[3] + 1));
    words = _mm512_mask_set1_epi64(words, 0x10, word_at(line + (up[0] + 1U)));
    words = _mm512_mask_set1_epi64(words, 0x20, word_at(line + up[1] + 1));
    words = _mm512_mask_set1_epi64(words, 0x40, word_at(line + up[2] + 1));
    words = _mm512_mask_set1_epi64(words, 0x80, word_at(line + up[3] + 1));
    const __mmask8 negative = _mm512_cmpeq_epi64_mask(_mm512_and_si512(words, first_byte), minus);
    words = _mm512_mask_xor_epi64(words, negative, words, to_zero);
    const __m512i bits = _mm512_slli_epi64(size, 3);
    __m512i digits = _mm512_or_si512(_mm512_sllv_epi64(words, _mm512_sub_epi64(sixty_four, bits)),
                                     _mm512_srlv_epi64(zeros, bits));
    const __m512i found = _mm512_movm_epi8(_mm512_cmpeq_epi8_mask(digits, decimals));
    const __mmask8 parted = _mm512_test_epi64_mask(found, found);
    const __m512i lowest_bit = _mm512_and_si512(found, _mm512_sub_epi64(zero, found));
    const __m512i upto = _mm512_maskz_sub_epi64(parted, _mm512_slli_epi64(lowest_bit, 8), one);
    const __m512i before = _mm512_and_si512(digits, _mm512_srli_epi64(upto, 8));
    digits = _mm512_or_si512(_mm512_andnot_si512(upto, digits), _mm512_slli_epi64(before, 8));
    digits = _mm512_mask_or_epi64(digits, parted, digits, first_zero);
    const __m512i values = _mm512_sub_epi8(digits, zeros);
    const std::uint64_t others_than_digits = _mm512_cmpgt_epu8_mask(values, nine);
    __m512i signs = _mm512_maskz_mov_epi64(negative, one);
    signs = _mm512_mask_add_epi64(signs, parted, signs, one);
    const __mmask8 sized = _mm512_mask_cmpgt_epi64_mask(
        _mm512_cmple_epi64_mask(size, _mm512_set1_epi64(8)), size, signs);
    const __m512i fours = _mm512_madd_epi16(_mm512_maddubs_epi16(values, tens), hundreds);
    const __m512i number = _mm512_add_epi64(_mm512_mul_epu32(fours, _mm512_set1_epi64(10000)),
                                            _mm512_srli_epi64(fours, 32));
    // Bytes behind the decimal sign; eight without one, of which the choice takes three bits.
    const __m512i places = _mm512_srli_epi64(_mm512_lzcnt_epi64(lowest_bit), 3);
    const __m512d magnitude =
        _mm512_div_pd(_mm512_cvtepi64_pd(number), _mm512_permutexvar_pd(places, powers));
    const __m512d raw = _mm512_mask_xor_pd(magnitude, negative, magnitude, sign);
    const __m512d si =
        _mm512_add_pd(_mm512_mul_pd(pair(a.scale, b.scale), raw), pair(a.offset, b.offset));
    const __mmask8 plausible =
        _mm512_mask_cmp_pd_mask(_mm512_cmp_pd_mask(si, pair(a.lowest, b.lowest), _CMP_GE_OQ), si,
                                pair(a.highest, b.highest), _CMP_LE_OQ);
    const __mmask8 empty = _mm512_testn_epi64_mask(size, size);
    const __m256 out = _mm512_cvtpd_ps(_mm512_mask_mov_pd(si, empty, none_read));
    _mm_storeu_ps(row + a.slot, _mm256_castps256_ps128(out));
    _mm_storeu_ps(row + b.slot, _mm256_extractf128_ps(out, 1));
    const unsigned good = (plausible & sized) | empty;
    if (good == 0xFFU && others_than_digits == 0) [[likely]]
      continue;
    for (std::uint32_t lane = 0; lane < 8; ++lane) {
      const bool number_there = (others_than_digits >> 8 * lane & 0xFFU) == 0;
      const bool taken =
          (empty >> lane & 1U) != 0 || ((plausible & sized) >> lane & 1U & number_there) != 0;
      others[left] = lane < 4 ? a.first + lane : b.first + lane - 4;
      left += taken ? 0U : 1U;
    }
  }
  return left;
}

/// The steps are those of ShortNumber::read(), in lanes of eight bytes.
CW_AVX2 std::size_t QuadReader::read_fours(const char* line, const std::uint32_t* ends,
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
bool QuadReader::has_eight() noexcept { return false; }

std::size_t QuadReader::read(const char*, const std::uint32_t*, std::span<const CellQuad>, float*,
                             std::uint32_t*) const noexcept {
  return 0;
}

#endif

}  // namespace cw
