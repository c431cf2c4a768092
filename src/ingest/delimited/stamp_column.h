#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>

#include "ingest/channel_map.h"
#include "ingest/counters.h"
#include "ingest/time_stamp.h"

namespace cw {

/// Reads the time column of one file and knows what clock it shows.
class StampColumn {
 public:
  struct Answer {
    std::optional<Instant> instant;
    Counter reason = Counter::bad_time_stamp;  ///< when there is no instant
    std::string message;
  };

  explicit StampColumn(const ChannelMap* map);

  Answer read(std::string_view text);

  /// The clock after all stamps were read.
  const Clock& clock() const { return clock_; }

 private:
  std::optional<StampReading> parse(std::string_view text);
  Answer from_zone(Instant wall);

  IsoStampReader iso_;
  Clock clock_;
  bool first_ = true;
  bool offsets_in_file_ = false;
  Instant last_{std::numeric_limits<std::int64_t>::min()};
  std::int64_t cached_hour_ = std::numeric_limits<std::int64_t>::min();
  std::int64_t cached_shift_ = 0;
};

}  // namespace cw
