#pragma once

#include <bit>
#include <cstdint>
#include <cstring>
#include <string_view>
#include <vector>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

// A function marked so is compiled twice, the second time for processors with AVX2 and BMI2, and
// the program takes the better one when it starts: the digits of half a year pass through few
// functions. Sanitizers run before such a choice can be made.
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define CW_FOR_NEWER_PROCESSORS __attribute__((target_clones("arch=haswell", "default")))
#else
#define CW_FOR_NEWER_PROCESSORS
#endif
#if defined(__GNUC__)
// What is called and not copied in keeps the older instructions.
#define CW_ALWAYS_INLINE inline __attribute__((always_inline))
#else
#define CW_ALWAYS_INLINE inline
#endif

namespace cw {

/// Finds all delimiters of a line at once. Walking from one delimiter to the next makes every cell
/// wait for the one before it; with all places known the cells are read side by side.
class CellMarks {
 public:
  explicit CellMarks(char delimiter) : delimiter_(delimiter) {}

  /// @param readable_end  bytes up to there may be looked at, beyond the line
  /// @returns  false when there is a quote in the line: its delimiters then say nothing
  CW_ALWAYS_INLINE bool find(std::string_view line, const char* readable_end) {
    if (places_.size() < line.size() + 2 + block) places_.resize(line.size() + 2 + block);
    std::uint32_t* const places = places_.data() + 1;
    count_ = 0;
    std::size_t at = 0;
    bool quoted = false;
#if defined(__SSE2__)
    const __m128i delimiters = _mm_set1_epi8(delimiter_);
    const __m128i quotes = _mm_set1_epi8('"');
    for (; at < line.size() && readable_end - (line.data() + at) >= 64; at += block) {
      std::uint64_t found = 0;
      std::uint64_t quote = 0;
      for (unsigned k = 0; k < 4; ++k) {
        const __m128i bytes =
            _mm_loadu_si128(reinterpret_cast<const __m128i*>(line.data() + at + 16 * k));
        const auto bits = [&](const __m128i& wanted) {
          return static_cast<std::uint64_t>(
                     static_cast<unsigned>(_mm_movemask_epi8(_mm_cmpeq_epi8(bytes, wanted))))
                 << 16U * k;
        };
        found |= bits(delimiters);
        quote |= bits(quotes);
      }
      if (line.size() - at < block) {
        const std::uint64_t inside = (std::uint64_t{1} << (line.size() - at)) - 1;
        found &= inside;
        quote &= inside;
      }
      quoted = quoted || quote != 0;
      take(found, at);
    }
#endif
    for (; at < line.size(); ++at) {
      if (line[at] == delimiter_) places[count_++] = static_cast<std::uint32_t>(at);
      quoted = quoted || line[at] == '"';
    }
    places[count_] = static_cast<std::uint32_t>(line.size());
    return !quoted;
  }

  /// Cells of the line: one more than delimiters.
  std::size_t cells() const noexcept { return count_ + 1; }
  /// Where cell k ends; the next one begins a character behind. ends()[-1] is one before the line.
  const std::uint32_t* ends() const noexcept { return places_.data() + 1; }
  /// Where cell k begins.
  std::uint32_t begin(std::size_t k) const noexcept { return places_[k] + 1U; }

 private:
  static constexpr std::size_t block = 64;

  /// Eight at a time without asking how many there are: what is too much is overwritten.
  CW_ALWAYS_INLINE void take(std::uint64_t found, std::size_t at) {
    const auto count = static_cast<std::size_t>(std::popcount(found));
    std::uint32_t* out = places_.data() + 1 + count_;
    const auto base = static_cast<std::uint32_t>(at);
    for (std::size_t taken = 0; taken < count; taken += 8) {
      for (unsigned k = 0; k < 8; ++k) {
        *out++ = base + static_cast<std::uint32_t>(std::countr_zero(found));
        found &= found - 1;
      }
    }
    count_ += count;
  }

  char delimiter_;
  // One before the line, then the delimiters; at least a block more than characters in the line.
  std::vector<std::uint32_t> places_{~std::uint32_t{0}};
  std::size_t count_ = 0;
};

}  // namespace cw
