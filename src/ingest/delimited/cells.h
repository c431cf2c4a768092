#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// Cuts one line into cells. A quoted cell is unwrapped ("" inside it is one quote) into `scratch`.
class CellCutter {
 public:
  CellCutter(std::string_view line, char delimiter, std::string& scratch) noexcept
      : rest_(line), delimiter_(delimiter), scratch_(scratch) {}

  /// The next cell; false after the last one. An empty line has one empty cell.
  bool next(std::string_view& cell) {
    if (done_) return false;
    if (!rest_.empty() && rest_.front() == '"') return next_quoted(cell);
    std::size_t at = 0;
    while (at < rest_.size() && rest_[at] != delimiter_) ++at;
    cell = rest_.substr(0, at);
    advance(at);
    return true;
  }

 private:
  void advance(std::size_t at) {
    if (at >= rest_.size()) {
      done_ = true;
      rest_ = {};
    } else {
      rest_.remove_prefix(at + 1);
    }
  }

  bool next_quoted(std::string_view& cell) {
    scratch_.clear();
    std::size_t at = 1;
    for (; at < rest_.size(); ++at) {
      if (rest_[at] != '"') {
        scratch_ += rest_[at];
      } else if (at + 1 < rest_.size() && rest_[at + 1] == '"') {
        scratch_ += '"';
        ++at;
      } else {
        ++at;
        break;
      }
    }
    while (at < rest_.size() && rest_[at] != delimiter_) ++at;
    cell = scratch_;
    advance(at);
    return true;
  }

  std::string_view rest_;
  char delimiter_;
  std::string& scratch_;
  bool done_ = false;
};

/// All cells of a line, blanks at the ends removed.
std::vector<std::string> cells_of(std::string_view line, char delimiter);

/// The delimiter of a header line: the one of , ; tab | that cuts it into most cells.
char delimiter_of(std::string_view header_line);

}  // namespace cw
