#pragma once

#include <cmath>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/instant.h"
#include "series/column.h"
#include "series/place.h"
#include "series/quantity.h"

namespace cw {

/// A missing reading. Columns hold float32 SI values; NaN is the only non-finite value in them.
inline constexpr float missing = std::numeric_limits<float>::quiet_NaN();
inline bool is_missing(float value) noexcept { return std::isnan(value); }

class Pyramid;

/// One measured or derived quantity over the recording's time axis.
struct Channel {
  Place place;
  const Quantity* quantity = nullptr;  ///< never null; static storage
  Column values;                       ///< [n_time], SI, missing where there is no reading
  std::string origin;                  ///< "winter.csv, column 4 \"T_OUT\"" or a formula
  double interval = 0.0;  ///< median time between its readings [s]; 0 with fewer than 2
  std::shared_ptr<const Pyramid> pyramid;  ///< of `values`, for plots; null: not built (pyramid.h)

  std::string name() const { return place.text + "." + quantity->name; }
};

/// A file that went into a recording.
struct RecordingFile {
  std::string name;  ///< file name without directories
  std::string hash;  ///< content_hash of its bytes
  std::size_t bytes = 0;
  std::size_t rows = 0;  ///< data rows read
};

/// All channels of one system on one time axis.
///
/// Invariants: `time` strictly increases; every channel has time.size() values; a channel name
/// occurs once. Movable; const access is thread-safe.
struct Recording {
  std::vector<Instant> time;
  std::vector<Channel> channels;
  Clock clock;
  std::vector<RecordingFile> files;

  std::size_t size() const noexcept { return time.size(); }

  /// The channel, or null.
  const Channel* find(std::string_view place, std::string_view quantity) const;
  /// Of the place itself, else of the module it belongs to, else of the whole system, else null: a
  /// module with one compressor is often logged as one place, a common pressure as "system".
  const Channel* find_upward(const Place& place, std::string_view quantity) const;
  /// Every place of a kind that has at least one channel, in report order.
  std::vector<Place> places(PlaceKind kind) const;
};

/// A longer time without a reading is a gap: nothing is known of what happened in it. 2.5 intervals
/// let one lost sample pass and no more. Own choice.
inline constexpr double gap_factor = 2.5;

/// What an indoor unit compares with its set point: controlled_temperature where the log has it,
/// else return_air_temperature, else room_temperature. Null when there is none.
const Channel* controlled_temperature_of(const Recording& recording, const Place& unit);

/// Walks a channel along the time axis and gives the reading that stands at each time: the latest
/// one that is not older than the channel's gap limit. Loggers seldom stamp two signals alike.
class Follower {
 public:
  Follower(const Recording& recording, const Channel* channel) noexcept
      : recording_(&recording), channel_(channel) {
    if (channel != nullptr)
      limit_ms_ = static_cast<std::int64_t>(gap_factor * channel->interval * 1e3);
  }

  /// @param i  index on the time axis; must not decrease from call to call
  /// @returns  the reading in SI; missing without a channel or where the latest is too old
  float at(std::size_t i) noexcept {
    if (channel_ == nullptr) return missing;
    for (; next_ <= i; ++next_) {
      if (is_missing(channel_->values[next_])) continue;
      value_ = channel_->values[next_];
      time_ = recording_->time[next_];
    }
    if (is_missing(value_) || recording_->time[i].ms - time_.ms > limit_ms_) return missing;
    return value_;
  }

  explicit operator bool() const noexcept { return channel_ != nullptr; }

 private:
  const Recording* recording_;
  const Channel* channel_;
  std::int64_t limit_ms_ = 0;
  std::size_t next_ = 0;
  float value_ = missing;
  Instant time_;
};

/// Sets `interval` of a channel from its readings.
void measure_interval(const Recording& recording, Channel& channel);

/// Longest step between two readings of the channel that is not a gap [s].
inline double longest_step(const Channel& channel) { return gap_factor * channel.interval; }

}  // namespace cw
