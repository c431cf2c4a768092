#include "checks/ceiling.h"

#include <algorithm>

namespace cw {
namespace {

/// The highest frequency of the log stands for the ceiling only when the log shows the compressor
/// at clearly lower speeds too; a constant frequency says nothing.
double inferred_ceiling(const Channel& channel) {
  std::vector<float> running;
  for (const float f : channel.values) {
    if (f > 1.0F) running.push_back(f);
  }
  if (running.size() < 20) return 0.0;
  const auto low = running.begin() + static_cast<std::ptrdiff_t>(running.size() / 4);
  std::nth_element(running.begin(), low, running.end());
  const float lower_quartile = *low;
  // One spike is no ceiling: the speed that 2 % of the running time reaches or exceeds.
  const auto high = running.begin() + static_cast<std::ptrdiff_t>(running.size() * 98 / 100);
  std::nth_element(running.begin(), high, running.end());
  const float highest = *high;
  return highest >= 1.15F * lower_quartile ? static_cast<double>(highest) : 0.0;
}

/// One compressor with the limit that is its own.
struct Speed {
  Follower frequency;
  Follower limit;
  double inferred = 0.0;

  bool at(std::size_t i, double share) {
    const float stated = limit.at(i);
    const double ceiling = is_missing(stated) ? inferred : static_cast<double>(stated);
    return ceiling > 0.0 && static_cast<double>(frequency.at(i)) >= ceiling * share;
  }
};

}  // namespace

CeilingTrack track_ceiling(const CheckContext& context, const Place& module) {
  const Recording& recording = context.recording;
  const double share = 1.0 - context.limits.value("condensing-target.ceiling_within");
  std::vector<Speed> speeds;
  bool stated = false;
  for (const Channel& channel : recording.channels) {
    if (channel.quantity->name != "compressor_frequency" || channel.place.module() != module.text) {
      continue;
    }
    const Channel* limit = recording.find_upward(channel.place, "compressor_frequency_limit");
    stated = stated || limit != nullptr;
    speeds.push_back(
        {Follower(recording, &channel), Follower(recording, limit), inferred_ceiling(channel)});
  }
  const Channel* load = recording.find(module.text, "compressor_load");
  Follower load_at(recording, load);
  CeilingTrack out;
  out.known = stated || load != nullptr ||
              std::any_of(speeds.begin(), speeds.end(), [](auto& s) { return s.inferred > 0.0; });
  out.text = stated || load != nullptr
                 ? " with the compressor at its ceiling"
                 : " with the compressor at the highest frequency that the log shows (taken as its "
                   "ceiling)";
  out.at.resize(recording.size());
  for (std::size_t i = 0; i < out.at.size(); ++i) {
    bool full = load_at.at(i) >= static_cast<float>(share);
    for (Speed& speed : speeds) full = speed.at(i, share) || full;
    out.at[i] = full;
  }
  return out;
}

}  // namespace cw
