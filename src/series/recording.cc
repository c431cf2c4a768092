#include "series/recording.h"

#include <algorithm>

namespace cw {

const Channel* Recording::find(std::string_view place, std::string_view quantity) const {
  for (const Channel& channel : channels) {
    if (channel.quantity->name == quantity && channel.place.text == place) return &channel;
  }
  return nullptr;
}

const Channel* Recording::find_upward(const Place& place, std::string_view quantity) const {
  if (const Channel* own = find(place.text, quantity)) return own;
  if (place.kind == PlaceKind::compressor) {
    if (const Channel* module = find(place.module(), quantity)) return module;
  }
  return find("system", quantity);
}

std::vector<Place> Recording::places(PlaceKind kind) const {
  std::vector<Place> out;
  for (const Channel& channel : channels) {
    if (channel.place.kind != kind) continue;
    if (std::find(out.begin(), out.end(), channel.place) == out.end()) out.push_back(channel.place);
  }
  std::sort(out.begin(), out.end(), place_before);
  return out;
}

const Channel* controlled_temperature_of(const Recording& recording, const Place& unit) {
  for (const char* name :
       {"controlled_temperature", "return_air_temperature", "room_temperature"}) {
    if (const Channel* channel = recording.find(unit.text, name)) return channel;
  }
  return nullptr;
}

void measure_interval(const Recording& recording, Channel& channel) {
  std::vector<std::int64_t> steps;
  std::int64_t last = 0;
  bool any = false;
  for (std::size_t i = 0; i < recording.size(); ++i) {
    if (is_missing(channel.values[i])) continue;
    if (any) steps.push_back(recording.time[i].ms - last);
    last = recording.time[i].ms;
    any = true;
    // A few thousand steps settle a median; a season of readings need not be walked.
    if (steps.size() >= 4096) break;
  }
  if (steps.empty()) {
    channel.interval = 0.0;
    return;
  }
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  channel.interval = static_cast<double>(*middle) * 1e-3;
}

}  // namespace cw
