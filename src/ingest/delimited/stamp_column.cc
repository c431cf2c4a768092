#include "ingest/delimited/stamp_column.h"

#include "base/zone.h"

namespace cw {

StampColumn::StampColumn(const ChannelMap* map) {
  if (map == nullptr) return;
  if (map->zone) {
    clock_.kind = Clock::Kind::zone;
    clock_.zone = *map->zone;
  } else if (map->offset_minutes) {
    clock_.kind = Clock::Kind::offset;
    clock_.offset_minutes = *map->offset_minutes;
  }
}

std::optional<StampReading> StampColumn::parse(std::string_view text) {
  if (const auto iso = iso_.read(text)) return iso;
  return read_epoch(text);
}

StampColumn::Answer StampColumn::read(std::string_view text) {
  const std::optional<StampReading> stamp = parse(text);
  if (!stamp) {
    return {std::nullopt, Counter::bad_time_stamp,
            "no ISO 8601 time and no epoch seconds or milliseconds"};
  }
  if (first_) {
    first_ = false;
    offsets_in_file_ = stamp->has_offset;
    // What the map says of the zone rules the display; offsets in the file rule the instants.
    if (stamp->has_offset && clock_.kind == Clock::Kind::unstated) {
      clock_.kind = Clock::Kind::offset;
      clock_.offset_minutes = stamp->offset_minutes;
    }
  }
  if (stamp->has_offset != offsets_in_file_) {
    return {std::nullopt, Counter::bad_time_stamp,
            offsets_in_file_ ? "no offset, but the stamps before have one"
                             : "an offset, but the stamps before have none"};
  }
  if (stamp->has_offset) return {stamp->instant, {}, {}};
  switch (clock_.kind) {
    case Clock::Kind::unstated:
      return {stamp->instant, {}, {}};
    case Clock::Kind::offset:
      return {Instant{stamp->instant.ms - clock_.offset_minutes * std::int64_t{60000}}, {}, {}};
    case Clock::Kind::zone:
      return from_zone(stamp->instant);
  }
  return {stamp->instant, {}, {}};
}

StampColumn::Answer StampColumn::from_zone(Instant wall) {
  constexpr std::int64_t hour = 3600000;
  // Zones change at full quarter hours; within one wall-clock quarter the shift is constant unless
  // the quarter is repeated or skipped, and those are never cached.
  const std::int64_t quarter = wall.ms / (hour / 4);
  if (quarter == cached_hour_) {
    last_ = {wall.ms + cached_shift_};
    return {last_, {}, {}};
  }
  const Result<ZoneTimes> times = instants_in_zone(clock_.zone, wall);
  if (!times || times->instants.empty()) {
    return {std::nullopt, Counter::nonexistent_local_time,
            "this hour does not exist in " + clock_.zone};
  }
  // In the repeated autumn hour the order of the rows tells the first pass from the second.
  Instant chosen = times->instants.front();
  if (times->instants.size() == 2 && chosen <= last_) chosen = times->instants.back();
  if (times->instants.size() == 1) {
    cached_hour_ = quarter;
    cached_shift_ = chosen.ms - wall.ms;
  }
  last_ = chosen;
  return {chosen, {}, {}};
}

}  // namespace cw
