#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <vector>

namespace cw {

/// Collects rows and hands them to columns in blocks. Writing each cell straight into its own
/// column touches as many cache lines as there are columns; a block of rows that fits the cache,
/// turned over at once, does not.
class RowBlock {
 public:
  explicit RowBlock(std::size_t columns) : columns_(columns), buffer_(block_rows * columns) {}

  /// The row being filled: [n_column].
  float* row() { return buffer_.data() + used_ * columns_.size(); }

  void next_row() {
    if (++used_ == block_rows) flush();
  }

  void flush() {
    const std::size_t width = columns_.size();
    // A cache line of each row at a time: 16 columns are gathered before the next line is touched.
    constexpr std::size_t together = 16;
    std::array<float, block_rows * together> gathered;
    for (std::size_t from = 0; from < width; from += together) {
      const std::size_t count = std::min(together, width - from);
      for (std::size_t r = 0; r < used_; ++r) {
        const float* const row = buffer_.data() + r * width + from;
        for (std::size_t c = 0; c < count; ++c) gathered[c * block_rows + r] = row[c];
      }
      for (std::size_t c = 0; c < count; ++c) {
        const float* const begin = gathered.data() + c * block_rows;
        columns_[from + c].insert(columns_[from + c].end(), begin, begin + used_);
      }
    }
    used_ = 0;
  }

  void reserve(std::size_t rows) {
    for (std::vector<float>& column : columns_) column.reserve(rows);
  }

  /// Adds another block's column behind this one's.
  void append(std::size_t column, std::vector<float>&& more) {
    std::vector<float>& mine = columns_[column];
    if (mine.empty() && mine.capacity() < more.size()) {
      mine = std::move(more);
    } else {
      mine.insert(mine.end(), more.begin(), more.end());
      std::vector<float>().swap(more);
    }
  }

  std::vector<float> take(std::size_t column) { return std::move(columns_[column]); }

 private:
  static constexpr std::size_t block_rows = 64;

  std::vector<std::vector<float>> columns_;
  std::vector<float> buffer_;  // [block_rows x n_column]
  std::size_t used_ = 0;
};

}  // namespace cw
