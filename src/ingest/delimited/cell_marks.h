#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace cw {

/// Finds all delimiters of a line at once. Walking from one delimiter to the next makes every cell
/// wait for the one before it; with all places known the cells are read side by side.
class CellMarks {
 public:
  /// How much of a line is looked at with one instruction.
  enum class Blocks { narrow, wide, widest };
  static Blocks best_blocks() noexcept;  ///< of this processor

  explicit CellMarks(char delimiter) noexcept : CellMarks(delimiter, best_blocks()) {}
  /// @param blocks  best_blocks() or a narrower one
  CellMarks(char delimiter, Blocks blocks) noexcept : delimiter_(delimiter), blocks_(blocks) {}

  /// @param readable_end  bytes up to there may be looked at, beyond the line
  /// @returns  false when there is a quote in the line: its delimiters then say nothing
  bool find(std::string_view line, const char* readable_end);

  /// Cells of the line: one more than delimiters.
  std::size_t cells() const noexcept { return count_ + 1; }
  /// Where cell k ends; the next one begins a character behind. ends()[-1] is one before the line.
  const std::uint32_t* ends() const noexcept { return places_.data() + 1; }
  /// Where cell k begins.
  std::uint32_t begin(std::size_t k) const noexcept { return places_[k] + 1U; }

 private:
  static constexpr std::size_t block = 64;

  struct Found {
    std::uint32_t* out;  ///< behind the last place written
    std::size_t at = 0;  ///< bytes looked at
    bool quoted = false;
  };

  /// As many bytes of the line as go in blocks.
  Found find_in_blocks(std::string_view line, const char* readable_end, std::uint32_t* out) const;
  /// The same with the instructions of newer processors (AVX2, BMI).
  Found find_in_wide_blocks(std::string_view line, const char* readable_end,
                            std::uint32_t* out) const;

  /// With those that put places together themselves (AVX-512).
  Found find_in_widest_blocks(std::string_view line, const char* readable_end,
                              std::uint32_t* out) const;

  char delimiter_;
  Blocks blocks_;
  // One before the line, then the delimiters; at least a block more than characters in the line.
  std::vector<std::uint32_t> places_{~std::uint32_t{0}};
  std::size_t count_ = 0;
};

}  // namespace cw
