#pragma once

#include <algorithm>
#include <cstring>
#include <string_view>

#include "base/text.h"

namespace cw {

/// Hands out lines and counts them. A line end is \n, \r\n or, in a text without any \n, \r.
class LineCutter {
 public:
  explicit LineCutter(std::string_view text) : LineCutter(text, end_of_line_in(text)) {}
  LineCutter(std::string_view text, char end_of_line) : text_(text), end_of_line_(end_of_line) {}

  static char end_of_line_in(std::string_view text) {
    // A file of some other system shows it in its first lines; a text without any \n is rare.
    return text.find('\n') == std::string_view::npos ? '\r' : '\n';
  }

  bool next(std::string_view& line) {
    if (at_ >= text_.size()) return false;
    const char* const begin = text_.data() + at_;
    const std::size_t left = text_.size() - at_;
    const void* const found = std::memchr(begin, end_of_line_, left);
    const std::size_t length =
        found == nullptr ? left : static_cast<std::size_t>(static_cast<const char*>(found) - begin);
    line = {begin, length};
    at_ += length + 1;
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    ++number_;
    return true;
  }

  /// Appends the next line to `line` (a quoted cell went over the line end). The view then covers
  /// both with the line end between them.
  bool extend(std::string_view& line) {
    std::string_view more;
    const char* const begin = line.data();
    if (!next(more)) return false;
    line = {begin, static_cast<std::size_t>(more.data() + more.size() - begin)};
    return true;
  }

  std::size_t number() const { return number_; }  ///< of the last line, 1-based
  std::size_t position() const { return std::min(at_, text_.size()); }
  char end_of_line() const { return end_of_line_; }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t number_ = 0;
  char end_of_line_ = '\n';
};

/// A line of nothing, or one that begins with the comment sign. "########;1,5" is none: a
/// spreadsheet writes so what does not fit into its column.
inline bool is_blank_or_comment(std::string_view line) {
  const std::string_view text = trim(line);
  if (text.empty()) return true;
  if (text.front() != '#') return false;
  const std::size_t end = text.find_first_not_of('#');
  const bool cell = end != std::string_view::npos && end >= 4 &&
                    std::string_view(",;\t|\x1f").find(text[end]) != std::string_view::npos;
  return !cell;
}

}  // namespace cw
