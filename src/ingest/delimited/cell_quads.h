#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

namespace cw {

/// Four neighbouring columns of numbers, whose cells are read side by side.
struct CellQuad {
  std::uint32_t first = 0;  ///< position of the first in the row; the others follow
  std::uint32_t slot = 0;   ///< where its value goes; those of the others follow
  double scale[4] = {}, offset[4] = {};
  double lowest[4] = {}, highest[4] = {};  ///< plausible [SI], both ends included
};

/// Reads the short numbers of four cells with the instructions that one cell would take, or of
/// eight where the processor can (AVX-512): nearly all of a wide log is these. What it does not
/// take is left to the way of a single cell.
class QuadReader {
 public:
  explicit QuadReader(char decimal) noexcept : QuadReader(decimal, has_eight()) {}
  /// @param eight  two quads at once; only where has_eight()
  QuadReader(char decimal, bool eight) noexcept : decimal_(decimal), eight_(eight) {}

  /// Has this processor the instructions (AVX2)? Without them nothing else here may be called.
  static bool is_available() noexcept;
  /// Has it those for eight cells at once, too?
  static bool has_eight() noexcept;

  /// Reads the cells of one line. A cell of up to eight characters that ShortNumber reads becomes
  /// scale * number + offset where that is plausible, an empty one is missing; the values are the
  /// same to the bit as of one cell at a time.
  ///
  /// @param line   of each cell that begins in it eight bytes can be read
  /// @param ends   where cells end, by position; ends[-1] is there and one before the line
  /// @param row    [n_column]; the slots of all quads are written, nothing useful for `others`
  /// @param others  room for four positions a quad; takes those that are left, in order
  /// @returns  how many are left
  std::size_t read(const char* line, const std::uint32_t* ends, std::span<const CellQuad> quads,
                   float* row, std::uint32_t* others) const noexcept;

 private:
  /// Two quads at once, as many of them as go in pairs.
  std::size_t read_pairs(const char* line, const std::uint32_t* ends,
                         std::span<const CellQuad> quads, float* row,
                         std::uint32_t* others) const noexcept;
  std::size_t read_fours(const char* line, const std::uint32_t* ends,
                         std::span<const CellQuad> quads, float* row,
                         std::uint32_t* others) const noexcept;

  char decimal_;
  bool eight_;
};

}  // namespace cw
