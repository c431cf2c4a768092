#include "ingest/delimited/mail_text.h"

#include <algorithm>

#include "base/text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/lines.h"

namespace cw {

bool is_mail(std::string_view text) {
  constexpr std::size_t head = 8192;  // bytes in which its head lines stand
  LineCutter lines(text.substr(0, head));
  std::string_view line;
  bool from = false;
  bool coded = false;
  while (lines.next(line)) {
    const std::string low = to_lower(line.substr(0, 60));
    from = from || low.starts_with("from: ") || low.starts_with("received: ");
    coded =
        coded || low.starts_with("mime-version:") || low.starts_with("content-transfer-encoding:");
    if (from && coded) return true;
    // The first line of a mail is a head line: "Name: value".
    const std::size_t colon = line.find(':');
    if (lines.number() == 1 && (colon == std::string_view::npos || colon == 0 ||
                                line.substr(0, colon).find_first_of(" ,;\t") != line.npos)) {
      return false;
    }
  }
  return false;
}

std::optional<std::string> without_reply_marks(std::string_view text) {
  const auto marked = [](std::string_view line) { return !line.empty() && line.front() == '>'; };
  // ">30.0" is a reading beyond a sensor's range.
  const auto is_answer = [](std::string_view line) {
    const std::size_t end = line.find_first_not_of('>');
    return end == std::string_view::npos || line[end] == ' ' || line[end] == '\r';
  };
  // "> 30.0" in a first column of readings is none either: behind the marks of a row stands a time.
  const auto is_stamped = [](std::string_view line) {
    line.remove_prefix(std::min(line.find_first_not_of("> "), line.size()));
    StampFields f;
    return parse_stamp(line.substr(0, line.find_first_of(",;\t|")), f);
  };
  LineCutter head(text.substr(0, 1U << 16U));
  std::string_view line;
  std::size_t all = 0;
  std::size_t with = 0;
  std::size_t stamped = 0;
  while (head.next(line)) {
    if (trim(line).empty()) continue;
    ++all;
    with += marked(line) ? 1U : 0U;
    stamped += marked(line) && is_stamped(line) ? 1U : 0U;
    if (marked(line) && !is_answer(line)) return std::nullopt;
  }
  if (with < 3 || with * 2 < all || stamped * 2 < with) return std::nullopt;
  std::string out;
  out.reserve(text.size());
  LineCutter lines(text);
  while (lines.next(line)) {
    while (marked(line)) {
      line.remove_prefix(1);
      if (!line.empty() && line.front() == ' ') line.remove_prefix(1);
    }
    out.append(line);
    out += '\n';
  }
  // A text that is cut off ends within a line.
  if (!out.empty() && text.back() != '\n' && text.back() != '\r') out.pop_back();
  return out;
}

}  // namespace cw
