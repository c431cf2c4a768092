#include "base/zone.h"

#include <date/tz.h>

#include <chrono>
#include <exception>

namespace cw {
namespace {

Error unknown_zone(std::string_view zone) {
  return {ErrorCode::not_found, "time zone \"" + std::string(zone) + "\" is not known", "",
          "Use an IANA name such as Europe/Oslo or America/Chicago (package tzdata carries them)"};
}

/// The library reports an unknown zone by an exception; it stops here.
const date::time_zone* locate(std::string_view zone) {
  try {
    return date::locate_zone(std::string(zone));
  } catch (const std::exception&) {
    return nullptr;
  }
}

using Milliseconds = std::chrono::milliseconds;

}  // namespace

Result<int> zone_offset_minutes(std::string_view zone, Instant instant) {
  const date::time_zone* found = locate(zone);
  if (found == nullptr) return unknown_zone(zone);
  const date::sys_time<Milliseconds> time{Milliseconds{instant.ms}};
  return static_cast<int>(found->get_info(time).offset.count() / 60);
}

Result<ZoneTimes> instants_in_zone(std::string_view zone, Instant wall) {
  const date::time_zone* found = locate(zone);
  if (found == nullptr) return unknown_zone(zone);
  const date::local_time<Milliseconds> local{Milliseconds{wall.ms}};
  const date::local_info info = found->get_info(local);
  ZoneTimes out;
  const auto add = [&](const date::sys_info& rule) {
    out.instants.push_back(
        {wall.ms - std::chrono::duration_cast<Milliseconds>(rule.offset).count()});
  };
  if (info.result == date::local_info::unique) {
    add(info.first);
  } else if (info.result == date::local_info::ambiguous) {
    add(info.first);
    add(info.second);
  }
  return out;
}

}  // namespace cw
