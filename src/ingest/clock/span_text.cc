#include "ingest/clock/span_text.h"

#include <array>

#include "base/text.h"
#include "ingest/clock/stamp_text.h"

namespace cw {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Where the first time of day in the text ends, AM or PM included; npos where there is none.
std::size_t end_of_time(std::string_view text) {
  std::size_t at = text.find(':');
  if (at == std::string_view::npos || at == 0 || !is_digit(text[at - 1])) return text.npos;
  const auto goes_on = [&](std::size_t i) {
    if (i >= text.size()) return false;
    if (is_digit(text[i]) || text[i] == ':') return true;
    return text[i] == '.' && i + 1 < text.size() && is_digit(text[i + 1]);
  };
  while (goes_on(at)) ++at;
  std::size_t half = at;
  while (half < text.size() && text[half] == ' ') ++half;
  for (const std::string_view mark : {"am", "pm"}) {
    if (equal_ignoring_case(text.substr(half, 2), mark)) return half + 2;
  }
  return at;
}

}  // namespace

std::optional<SpanText> split_span(std::string_view text) {
  text = trim(text);
  // The shortest is "6:00-6:05".
  const std::size_t at = text.size() < 9 || text.size() > 80 ? text.npos : end_of_time(text);
  if (at == text.npos) return std::nullopt;
  const std::string_view begin = text.substr(0, at);
  std::string_view end = trim(text.substr(at));
  constexpr std::array<std::string_view, 11> marks = {
      "-", "\xE2\x80\x93", "\xE2\x80\x94", "~",    "\xE3\x80\x9C", "\xEF\xBD\x9E",
      "/", "..",           "to ",          "bis ", "\xC3\xA0 "};
  for (const std::string_view mark : marks) {
    if (!end.starts_with(mark)) continue;
    end = trim(end.substr(mark.size()));
    StampFields first;
    StampFields second;
    const bool times = parse_stamp(begin, first) && first.has_time && !first.has_offset &&
                       parse_stamp(end, second) && second.has_time && !second.has_offset;
    if (times && first.zone.empty() && second.zone.empty()) return SpanText{begin, end};
    return std::nullopt;
  }
  return std::nullopt;
}

}  // namespace cw
