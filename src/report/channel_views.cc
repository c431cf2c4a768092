#include "report/channel_views.h"

#include <algorithm>
#include <bit>
#include <cstring>
#include <nlohmann/json.hpp>
#include <set>

#include "report/detail/json_number.h"
#include "series/pyramid.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;
static_assert(std::endian::native == std::endian::little, "series_bytes copies as it is");

const char* kind_text(PlaceKind kind) {
  switch (kind) {
    case PlaceKind::site:
      return "site";
    case PlaceKind::system:
      return "system";
    case PlaceKind::outdoor:
      return "outdoor";
    case PlaceKind::compressor:
      return "compressor";
    case PlaceKind::branch:
      return "branch";
    case PlaceKind::indoor:
      return "indoor";
  }
  return "";
}

Json clock_json(const Clock& clock) {
  Json out = {{"kind", clock.kind == Clock::Kind::unstated ? "unstated"
                       : clock.kind == Clock::Kind::offset ? "offset"
                                                           : "zone"}};
  if (clock.kind == Clock::Kind::offset) out["offset_minutes"] = clock.offset_minutes;
  if (clock.kind == Clock::Kind::zone) out["zone"] = clock.zone;
  return out;
}

Json channel_json(const Channel& channel, bool derived) {
  Json out = {{"name", channel.name()},
              {"place", channel.place.text},
              {"place_label", channel.place.label()},
              {"kind", kind_text(channel.place.kind)},
              {"quantity", channel.quantity->name},
              {"label", channel.quantity->label},
              {"dimension", name_of(channel.quantity->dimension)},
              {"interval_s", channel.interval},
              {"derived", derived},
              {"origin", channel.origin}};
  if (!channel.quantity->words.empty()) out["words"] = channel.quantity->words;
  return out;
}

template <class T>
void put(std::string& out, T value) {
  char bytes[sizeof value];
  std::memcpy(bytes, &value, sizeof value);
  out.append(bytes, sizeof bytes);
}

template <class Get>
void put_all(std::string& out, const std::vector<Bucket>& buckets, Get get) {
  for (const Bucket& bucket : buckets)
    put(out, bucket.empty ? decltype(get(bucket)){} : get(bucket));
}

Json phases_of(const Timeline& timeline) {
  Json out = Json::array();
  for (const Phase& phase : timeline.phases) {
    out.push_back({{"phase", name_of(phase.kind)},
                   {"start_ms", phase.start.ms},
                   {"end_ms", phase.end.ms},
                   {"why", phase.why}});
  }
  return out;
}

}  // namespace

std::string channels_json(const Judgement& judgement) {
  const Recording& recording = judgement.recording;
  Json out = {{"start_ms", nullptr}, {"end_ms", nullptr}, {"rows", recording.size()}};
  if (recording.size() > 0) {
    out["start_ms"] = recording.time.front().ms;
    out["end_ms"] = recording.time.back().ms;
  }
  out["clock"] = clock_json(recording.clock);
  const std::set<std::string> derived(judgement.derived.derived.begin(),
                                      judgement.derived.derived.end());
  std::vector<const Channel*> order;
  for (const Channel& channel : recording.channels) order.push_back(&channel);
  std::stable_sort(order.begin(), order.end(), [](const Channel* a, const Channel* b) {
    return place_before(a->place, b->place);
  });
  out["channels"] = Json::array();
  for (const Channel* channel : order) {
    out["channels"].push_back(channel_json(*channel, derived.count(channel->name()) > 0));
  }
  return detail::json_line(out);
}

std::string series_bytes(const Recording& recording, const std::vector<const Channel*>& channels,
                         Instant from, Instant to, std::size_t pieces) {
  std::string out = "CWS1";
  out.reserve(32 + channels.size() * (33 * pieces + 8));
  put(out, static_cast<std::uint32_t>(pieces));
  put(out, static_cast<std::uint32_t>(channels.size()));
  put(out, std::uint32_t{0});
  put(out, static_cast<double>(from.ms));
  put(out, static_cast<double>(to.ms));
  for (const Channel* channel : channels) {
    const std::vector<Bucket> buckets = overview(recording, *channel, from, to, pieces);
    put_all(out, buckets, [](const Bucket& b) { return static_cast<double>(b.first_time.ms); });
    put_all(out, buckets, [](const Bucket& b) { return static_cast<double>(b.last_time.ms); });
    put_all(out, buckets, [](const Bucket& b) { return b.lowest; });
    put_all(out, buckets, [](const Bucket& b) { return b.highest; });
    put_all(out, buckets, [](const Bucket& b) { return b.first; });
    put_all(out, buckets, [](const Bucket& b) { return b.last; });
    for (const Bucket& b : buckets) {
      out += static_cast<char>((b.empty ? 1 : 0) | (b.gap_before ? 2 : 0) | (b.gap_inside ? 4 : 0));
    }
    out.append((8 - out.size() % 8) % 8, '\0');
  }
  return out;
}

std::string phases_json(const Judgement& judgement) {
  Json out = {{"system", phases_of(judgement.phases.system)}, {"modules", Json::array()}};
  for (const Timeline& module : judgement.phases.modules) {
    out["modules"].push_back({{"place", module.place.text},
                              {"label", module.place.label()},
                              {"phases", phases_of(module)}});
  }
  out["defrosts"] = Json::array();
  for (const Defrost& defrost : judgement.phases.defrosts) {
    out["defrosts"].push_back({{"place", defrost.place.text},
                               {"start_ms", defrost.start.ms},
                               {"end_ms", defrost.end.ms}});
  }
  out["windows"] = Json::array();
  for (const SteadyWindow& window : judgement.windows) {
    out["windows"].push_back({{"start_ms", window.start.ms},
                              {"end_ms", window.end.ms},
                              {"phase", name_of(window.kind)}});
  }
  return detail::json_line(out);
}

}  // namespace cw
