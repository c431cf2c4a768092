#include "ingest/delimited/cell_marks.h"

#include <array>
#include <bit>

#include "ingest/delimited/wide_instructions.h"

#if defined(CW_HAS_WIDE_INSTRUCTIONS)
// What is called and not copied in keeps the older instructions.
#define CW_ALWAYS_INLINE inline __attribute__((always_inline))
#define CW_WIDE __attribute__((target("avx2,bmi,popcnt")))
#define CW_WIDEST __attribute__((target("avx2,bmi,popcnt,avx512f,avx512bw,avx512vbmi2")))
#endif

namespace cw {

#if defined(CW_HAS_WIDE_INSTRUCTIONS)

namespace {

/// Eight places at a time without asking how many there are: what is too much is overwritten.
CW_ALWAYS_INLINE std::uint32_t* take(std::uint64_t found, std::size_t at, std::uint32_t* out) {
  const auto count = static_cast<std::size_t>(std::popcount(found));
  std::uint32_t* const end = out + count;
  const auto base = static_cast<std::uint32_t>(at);
  for (std::size_t taken = 0; taken < count; taken += 8) {
    for (unsigned k = 0; k < 8; ++k) {
      *out++ = base + static_cast<std::uint32_t>(std::countr_zero(found));
      found &= found - 1;
    }
  }
  return end;
}

/// The bits of a block that lie in the line.
CW_ALWAYS_INLINE std::uint64_t inside(std::size_t left) {
  return left >= 64 ? ~std::uint64_t{0} : (std::uint64_t{1} << left) - 1;
}

}  // namespace

CellMarks::Found CellMarks::find_in_blocks(std::string_view line, const char* readable_end,
                                           std::uint32_t* out) const {
  Found found{out};
  const __m128i delimiters = _mm_set1_epi8(delimiter_);
  const __m128i quotes = _mm_set1_epi8('"');
  const char* const data = line.data();
  for (; found.at < line.size() && readable_end - (data + found.at) >= 64; found.at += block) {
    std::uint64_t marks = 0;
    std::uint64_t quote = 0;
    for (unsigned k = 0; k < 4; ++k) {
      const __m128i bytes =
          _mm_loadu_si128(reinterpret_cast<const __m128i*>(data + found.at + 16 * k));
      const auto bits = [&](const __m128i& wanted) {
        return static_cast<std::uint64_t>(
                   static_cast<unsigned>(_mm_movemask_epi8(_mm_cmpeq_epi8(bytes, wanted))))
               << 16U * k;
      };
      marks |= bits(delimiters);
      quote |= bits(quotes);
    }
    const std::uint64_t in_line = inside(line.size() - found.at);
    found.quoted = found.quoted || (quote & in_line) != 0;
    found.out = take(marks & in_line, found.at, found.out);
  }
  return found;
}

CW_WIDE CellMarks::Found CellMarks::find_in_wide_blocks(std::string_view line,
                                                        const char* readable_end,
                                                        std::uint32_t* out) const {
  Found found{out};
  const __m256i delimiters = _mm256_set1_epi8(delimiter_);
  const __m256i quotes = _mm256_set1_epi8('"');
  std::uint64_t quote = 0;
  const char* const data = line.data();
  for (; found.at < line.size() && readable_end - (data + found.at) >= 64; found.at += block) {
    const auto* const bytes = reinterpret_cast<const __m256i*>(data + found.at);
    const __m256i low = _mm256_loadu_si256(bytes);
    const __m256i high = _mm256_loadu_si256(bytes + 1);
    const auto low_bits =
        static_cast<std::uint32_t>(_mm256_movemask_epi8(_mm256_cmpeq_epi8(low, delimiters)));
    const auto high_bits =
        static_cast<std::uint32_t>(_mm256_movemask_epi8(_mm256_cmpeq_epi8(high, delimiters)));
    const auto low_quotes =
        static_cast<std::uint32_t>(_mm256_movemask_epi8(_mm256_cmpeq_epi8(low, quotes)));
    const auto high_quotes =
        static_cast<std::uint32_t>(_mm256_movemask_epi8(_mm256_cmpeq_epi8(high, quotes)));
    const std::uint64_t in_line = inside(line.size() - found.at);
    quote |= (std::uint64_t{high_quotes} << 32U | low_quotes) & in_line;
    found.out = take((std::uint64_t{high_bits} << 32U | low_bits) & in_line, found.at, found.out);
  }
  found.quoted = quote != 0;
  return found;
}

CW_WIDEST CellMarks::Found CellMarks::find_in_widest_blocks(std::string_view line,
                                                            const char* readable_end,
                                                            std::uint32_t* out) const {
  alignas(64) static constexpr std::array<char, 64> counted = [] {
    std::array<char, 64> all{};
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<char>(i);
    return all;
  }();
  Found found{out};
  const __m512i delimiters = _mm512_set1_epi8(delimiter_);
  const __m512i quotes = _mm512_set1_epi8('"');
  const __m512i places = _mm512_load_si512(counted.data());
  std::uint64_t quote = 0;
  const char* const data = line.data();
  for (; found.at < line.size() && readable_end - (data + found.at) >= 64; found.at += block) {
    const __m512i bytes = _mm512_loadu_si512(data + found.at);
    const std::uint64_t in_line = inside(line.size() - found.at);
    quote |= _mm512_cmpeq_epi8_mask(bytes, quotes) & in_line;
    const std::uint64_t marks = _mm512_cmpeq_epi8_mask(bytes, delimiters) & in_line;
    const auto count = static_cast<std::size_t>(std::popcount(marks));
    __m512i taken = _mm512_maskz_compress_epi8(marks, places);
    const __m512i base = _mm512_set1_epi32(static_cast<int>(found.at));
    // Sixteen at a time; what is too much is overwritten.
    for (std::size_t k = 0; k < count; k += 16) {
      _mm512_storeu_si512(
          found.out + k,
          _mm512_add_epi32(base, _mm512_cvtepu8_epi32(_mm512_castsi512_si128(taken))));
      taken = _mm512_shuffle_i64x2(taken, taken, 0x39);
    }
    found.out += count;
  }
  found.quoted = quote != 0;
  return found;
}

CellMarks::Blocks CellMarks::best_blocks() noexcept {
  if (__builtin_cpu_supports("avx2") == 0 || __builtin_cpu_supports("bmi") == 0 ||
      __builtin_cpu_supports("popcnt") == 0) {
    return Blocks::narrow;
  }
  const bool widest = __builtin_cpu_supports("avx512f") != 0 &&
                      __builtin_cpu_supports("avx512bw") != 0 &&
                      __builtin_cpu_supports("avx512vbmi2") != 0;
  return widest ? Blocks::widest : Blocks::wide;
}

#else

CellMarks::Found CellMarks::find_in_blocks(std::string_view, const char*,
                                           std::uint32_t* out) const {
  return {out};
}

CellMarks::Found CellMarks::find_in_wide_blocks(std::string_view, const char*,
                                                std::uint32_t* out) const {
  return {out};
}

CellMarks::Found CellMarks::find_in_widest_blocks(std::string_view, const char*,
                                                  std::uint32_t* out) const {
  return {out};
}

CellMarks::Blocks CellMarks::best_blocks() noexcept { return Blocks::narrow; }

#endif

bool CellMarks::find(std::string_view line, const char* readable_end) {
  if (places_.size() < line.size() + 2 + block) places_.resize(line.size() + 2 + block);
  std::uint32_t* const places = places_.data() + 1;
  Found found = blocks_ == Blocks::widest ? find_in_widest_blocks(line, readable_end, places)
                : blocks_ == Blocks::wide ? find_in_wide_blocks(line, readable_end, places)
                                          : find_in_blocks(line, readable_end, places);
  for (; found.at < line.size(); ++found.at) {
    if (line[found.at] == delimiter_) *found.out++ = static_cast<std::uint32_t>(found.at);
    found.quoted = found.quoted || line[found.at] == '"';
  }
  *found.out = static_cast<std::uint32_t>(line.size());
  count_ = static_cast<std::size_t>(found.out - places);
  return !found.quoted;
}

}  // namespace cw
