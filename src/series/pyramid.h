#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "base/instant.h"

namespace cw {

struct Channel;
struct Recording;

/// What a channel did in one piece of time; what a plot draws in one column of pixels.
struct Bucket {
  float lowest = 0.0F;      ///< SI; meaningless when empty
  float highest = 0.0F;     ///< SI
  float first = 0.0F;       ///< SI, of the earliest reading
  float last = 0.0F;        ///< SI, of the latest reading
  Instant first_time;       ///< when `first` was read
  Instant last_time;        ///< when `last` was read
  bool empty = true;        ///< no reading in this piece; that alone is no gap (see gap_before)
  bool gap_before = false;  ///< nothing is known just before `first`: lift the pen
  bool gap_inside = false;  ///< two readings inside are further apart than a gap's limit
};

/// Summaries of a column's rows in blocks of `block_rows`, of 16 such blocks, of 16 of these, ...:
/// with them a plot of a season costs as much as a plot of an hour. About 2.5 % of the column.
///
/// Constant once built: thread-safe. Refers to rows, so it belongs to one time axis and one column.
class Pyramid {
 public:
  static constexpr std::size_t block_rows = 256;
  static constexpr std::size_t fan_out = 16;

  /// Summary of some rows.
  struct Node {
    float lowest = 0.0F;
    float highest = 0.0F;
    std::uint32_t first = 1;       ///< row of the earliest reading
    std::uint32_t last = 0;        ///< row of the latest reading; before `first`: no reading
    std::uint32_t longest_ms = 0;  ///< longest time between two neighbouring readings [ms], capped

    bool empty() const noexcept { return last < first; }
    friend bool operator==(const Node&, const Node&) = default;
  };

  Pyramid() = default;
  /// @param time    strictly increasing, [n_time], fewer than 2^32
  /// @param values  [n_time], SI, missing where there is no reading
  Pyramid(std::span<const Instant> time, std::span<const float> values);
  static_assert(sizeof(Node) == 20);  // stored as it is
  /// From stored levels, lowest first. The caller has checked their sizes with level_sizes().
  explicit Pyramid(std::vector<std::vector<Node>> levels) : levels_(std::move(levels)) {}

  /// How many nodes each level of a column of so many rows has, lowest first.
  static std::vector<std::size_t> level_sizes(std::size_t rows);
  const std::vector<std::vector<Node>>& levels() const noexcept { return levels_; }

  /// Summary of the rows from..to-1. Costs O(block_rows + fan_out * levels), whatever the range.
  Node summary(std::span<const Instant> time, std::span<const float> values, std::size_t from,
               std::size_t to) const;

 private:
  std::vector<std::vector<Node>> levels_;
};

/// A channel between two instants in so many equal pieces of time, for plots.
///
/// Piece k holds the readings from `from` + k * (to - from) / buckets on; the last one those at
/// `to`, too. Uses the channel's pyramid where it has one and walks the rows otherwise, with the
/// same result. Where pieces are shorter than the logger's step many are empty: draw from `last` of
/// one to `first` of the next that is not empty, unless that one says gap_before. For the first
/// filled piece readings before `from` count; where the channel begins, gap_before is true.
///
/// @param channel  of this recording
/// @returns  [buckets]; all empty when `to` is before `from`
/// Thread-safe.
std::vector<Bucket> overview(const Recording& recording, const Channel& channel, Instant from,
                             Instant to, std::size_t buckets);

/// Builds the pyramid of every channel that has none. A season of 400 channels takes some tenths of
/// a second.
void add_pyramids(Recording& recording);

}  // namespace cw
