#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// Cuts one line into cells. A quoted cell is unwrapped ("" inside it is one quote) into `scratch`;
/// so is ="...", which spreadsheets write to keep a number from being read as one.
/// The delimiter is one character, or ' ' for runs of blanks and tabs, or '\v' for a tab or a run
/// of two or more blanks.
class CellCutter {
 public:
  CellCutter(std::string_view line, char delimiter, std::string& scratch) noexcept
      : rest_(line), delimiter_(delimiter), scratch_(scratch) {
    if (by_blanks()) skip_blanks(true);
  }

  /// The next cell; false after the last one. An empty line has one empty cell.
  bool next(std::string_view& cell) {
    if (done_) return false;
    if (!rest_.empty() && rest_.front() == '"') return next_quoted(cell, 1);
    if (rest_.size() > 1 && rest_[0] == '=' && rest_[1] == '"') return next_quoted(cell, 2);
    const std::size_t at = end_of_cell(0);
    cell = rest_.substr(0, at);
    advance(at);
    return true;
  }

  /// Was the last quoted cell never closed? The line end is then part of the cell.
  bool open_quote() const { return open_; }

 private:
  bool by_blanks() const { return delimiter_ == ' ' || delimiter_ == '\v'; }
  static bool is_blank(char c) { return c == ' ' || c == '\t'; }

  std::size_t end_of_cell(std::size_t at) const {
    if (!by_blanks()) {
      while (at < rest_.size() && rest_[at] != delimiter_) ++at;
      return at;
    }
    for (; at < rest_.size(); ++at) {
      if (!is_blank(rest_[at])) continue;
      if (delimiter_ == ' ' || rest_[at] == '\t') break;
      if (at + 1 >= rest_.size() || is_blank(rest_[at + 1])) break;
    }
    return at;
  }

  void skip_blanks(bool front) {
    std::size_t n = 0;
    while (n < rest_.size() && is_blank(rest_[n])) ++n;
    // Blanks at the end of a line separate nothing.
    if (n == rest_.size() && !front) done_ = true;
    rest_.remove_prefix(n);
  }

  void advance(std::size_t at) {
    if (at >= rest_.size()) {
      done_ = true;
      rest_ = {};
    } else if (by_blanks()) {
      rest_.remove_prefix(at);
      skip_blanks(false);
    } else {
      rest_.remove_prefix(at + 1);
    }
  }

  bool next_quoted(std::string_view& cell, std::size_t at) {
    scratch_.clear();
    open_ = true;
    for (; at < rest_.size(); ++at) {
      if (rest_[at] != '"') {
        scratch_ += rest_[at];
      } else if (at + 1 < rest_.size() && rest_[at + 1] == '"') {
        scratch_ += '"';
        ++at;
      } else {
        ++at;
        open_ = false;
        break;
      }
    }
    at = end_of_cell(at);
    cell = scratch_;
    advance(at);
    return true;
  }

  std::string_view rest_;
  char delimiter_;
  std::string& scratch_;
  bool done_ = false;
  bool open_ = false;
};

/// All cells of a line, blanks at the ends removed.
std::vector<std::string> cells_of(std::string_view line, char delimiter);

/// The delimiter of a header line: the one of , ; tab | that cuts it into most cells.
char delimiter_of(std::string_view header_line);

}  // namespace cw
