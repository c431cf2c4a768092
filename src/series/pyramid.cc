#include "series/pyramid.h"

#include <algorithm>
#include <limits>

#include "base/contract.h"
#include "series/recording.h"

namespace cw {
namespace {

using Node = Pyramid::Node;
using Times = std::span<const Instant>;
using Values = std::span<const float>;

std::uint32_t capped_ms(std::int64_t ms) {
  constexpr std::int64_t most = std::numeric_limits<std::uint32_t>::max();
  return static_cast<std::uint32_t>(std::min(ms, most));
}

/// Adds what lies behind `all`.
void add(Node& all, const Node& next, Times time) {
  if (next.empty()) return;
  if (all.empty()) {
    all = next;
    return;
  }
  all.lowest = std::min(all.lowest, next.lowest);
  all.highest = std::max(all.highest, next.highest);
  const std::uint32_t between = capped_ms(time[next.first].ms - time[all.last].ms);
  all.longest_ms = std::max({all.longest_ms, next.longest_ms, between});
  all.last = next.last;
}

Node summary_of_rows(Times time, Values values, std::size_t from, std::size_t to) {
  while (from < to && is_missing(values[from])) ++from;
  if (from == to) return {};
  float lowest = values[from];
  float highest = values[from];
  std::size_t last = from;
  std::int64_t longest_ms = 0;
  for (std::size_t i = from + 1; i < to; ++i) {
    const float value = values[i];
    if (is_missing(value)) continue;
    lowest = std::min(lowest, value);
    highest = std::max(highest, value);
    longest_ms = std::max(longest_ms, time[i].ms - time[last].ms);
    last = i;
  }
  return {lowest, highest, static_cast<std::uint32_t>(from), static_cast<std::uint32_t>(last),
          capped_ms(longest_ms)};
}

/// Is there a reading before the row, not more than the limit before `now`?
bool reading_just_before(Times time, Values values, std::size_t row, std::int64_t limit_ms,
                         Instant now) {
  while (row-- > 0 && now.ms - time[row].ms <= limit_ms) {
    if (!is_missing(values[row])) return true;
  }
  return false;
}

}  // namespace

std::vector<std::size_t> Pyramid::level_sizes(std::size_t rows) {
  std::vector<std::size_t> out;
  std::size_t size = (rows + block_rows - 1) / block_rows;
  while (size > 0) {
    out.push_back(size);
    if (size == 1) break;
    size = (size + fan_out - 1) / fan_out;
  }
  return out;
}

Pyramid::Pyramid(Times time, Values values) {
  CW_REQUIRE(time.size() == values.size());
  CW_REQUIRE(time.size() < std::numeric_limits<std::uint32_t>::max());
  for (const std::size_t size : level_sizes(values.size())) {
    std::vector<Node> level(size);
    for (std::size_t k = 0; k < size; ++k) {
      if (levels_.empty()) {
        level[k] = summary_of_rows(time, values, k * block_rows,
                                   std::min((k + 1) * block_rows, values.size()));
        continue;
      }
      const std::vector<Node>& below = levels_.back();
      const std::size_t end = std::min((k + 1) * fan_out, below.size());
      for (std::size_t i = k * fan_out; i < end; ++i) add(level[k], below[i], time);
    }
    levels_.push_back(std::move(level));
  }
}

Node Pyramid::summary(Times time, Values values, std::size_t from, std::size_t to) const {
  if (levels_.empty() || to - from < 2 * block_rows) return summary_of_rows(time, values, from, to);
  std::size_t block = (from + block_rows - 1) / block_rows;
  const std::size_t last_block = to / block_rows;
  Node out = summary_of_rows(time, values, from, std::min(block * block_rows, to));
  while (block < last_block) {
    // The largest summary that begins here and does not reach beyond the end.
    std::size_t level = 0;
    std::size_t width = 1;
    while (level + 1 < levels_.size() && block % (width * fan_out) == 0 &&
           block + width * fan_out <= last_block) {
      width *= fan_out;
      ++level;
    }
    add(out, levels_[level][block / width], time);
    block += width;
  }
  add(out, summary_of_rows(time, values, std::max(block * block_rows, from), to), time);
  return out;
}

std::vector<Bucket> overview(const Recording& recording, const Channel& channel, Instant from,
                             Instant to, std::size_t buckets) {
  std::vector<Bucket> out(buckets);
  if (buckets == 0 || to < from) return out;
  const Times time(recording.time);
  const Values values(channel.values);
  static const Pyramid none;
  const Pyramid& pyramid = channel.pyramid == nullptr ? none : *channel.pyramid;
  const auto limit_ms = static_cast<std::int64_t>(longest_step(channel) * 1e3);
  const auto row_at = [&](Instant instant) {
    return static_cast<std::size_t>(std::lower_bound(time.begin(), time.end(), instant) -
                                    time.begin());
  };
  const auto end_row =
      static_cast<std::size_t>(std::upper_bound(time.begin(), time.end(), to) - time.begin());
  // The edge of a piece in whole milliseconds without overflow at the ends of the calendar.
  const double span = static_cast<double>(to.ms) - static_cast<double>(from.ms);
  const auto edge = [&](std::size_t k) {
    const double share = static_cast<double>(k) / static_cast<double>(buckets);
    return Instant{from.ms + static_cast<std::int64_t>(span * share)};
  };
  std::size_t row = row_at(from);
  const Bucket* before = nullptr;
  for (std::size_t k = 0; k < buckets; ++k) {
    const std::size_t end = k + 1 == buckets ? end_row : row_at(edge(k + 1));
    if (end <= row) continue;
    const Node node = pyramid.summary(time, values, row, end);
    row = end;
    if (node.empty()) continue;
    Bucket& bucket = out[k];
    bucket.lowest = node.lowest;
    bucket.highest = node.highest;
    bucket.first = values[node.first];
    bucket.last = values[node.last];
    bucket.first_time = time[node.first];
    bucket.last_time = time[node.last];
    bucket.empty = false;
    bucket.gap_inside = node.longest_ms > limit_ms;
    bucket.gap_before = before == nullptr ? !reading_just_before(time, values, node.first, limit_ms,
                                                                 bucket.first_time)
                                          : bucket.first_time.ms - before->last_time.ms > limit_ms;
    before = &bucket;
  }
  return out;
}

void add_pyramids(Recording& recording) {
  for (Channel& channel : recording.channels) {
    if (channel.pyramid == nullptr) {
      channel.pyramid = std::make_shared<const Pyramid>(recording.time, Values(channel.values));
    }
  }
}

}  // namespace cw
