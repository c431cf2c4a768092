#include "base/toml_guard.h"

#include <string>

namespace cw {
namespace {

class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {
    if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;
  }

  void run() {
    while (at_ < text_.size()) {
      skip_blanks();
      if (open_.empty() && peek() == '[' && !header_has_name() && !nameless_) nameless_ = line_;
      skip_line();
    }
  }

  // Lines of what was found first; to be asked after run().
  std::optional<int> nameless() const { return nameless_; }
  std::optional<int> brace() const { return brace_; }
  std::optional<int> letter() const { return letter_; }

 private:
  char peek(std::size_t ahead = 0) const {
    return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0';
  }

  void skip_blanks() {
    while (peek() == ' ' || peek() == '\t') ++at_;
  }

  bool header_has_name() {
    ++at_;
    skip_blanks();
    if (peek() == '[') {
      ++at_;
      skip_blanks();
    }
    const char c = peek();
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' ||
           c == '_' || c == '"' || c == '\'' || c == ']';
  }

  /// To behind the end of a line that stands outside all strings.
  void skip_line() {
    bool value = false;  // brackets of headers open no list
    char before = '\n';  // the last character that is no blank
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\n') {
        ++line_;
        ++at_;
        return;
      }
      if (c == '#') {
        while (at_ < text_.size() && text_[at_] != '\n') ++at_;
      } else if ((c == '"' || c == '\'') && begins_string_behind(before)) {
        skip_string(c);
        before = c;
      } else {
        if (c == '=') value = true;
        if (static_cast<unsigned char>(c) >= 0x80 && !letter_) letter_ = line_;
        if (value || !open_.empty()) count_bracket(c);
        if (c != ' ' && c != '\t') before = c;
        ++at_;
      }
    }
  }

  /// Behind anything else ("-\"\u01ff\"") a quote begins no string for the parser either.
  static bool begins_string_behind(char before) {
    return std::string_view("\n=[,{.").find(before) != std::string_view::npos;
  }

  void count_bracket(char c) {
    if (c == '[' || c == '{') open_ += c;
    if (c == '}' && !open_.empty() && open_.back() == '[' && !brace_) brace_ = line_;
    if ((c == ']' || c == '}') && !open_.empty()) open_.pop_back();
  }

  void skip_string(char quote) {
    const bool many_lines = peek(1) == quote && peek(2) == quote;
    at_ += many_lines ? 3 : 1;
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\\' && quote == '"') {
        if (peek(1) == '\n') ++line_;
        at_ += 2;
        continue;
      }
      if (c == '\n') {
        if (!many_lines) return;  // a broken string; the parser says so
        ++line_;
      }
      if (c == quote && (!many_lines || (peek(1) == quote && peek(2) == quote))) {
        at_ += many_lines ? 3 : 1;
        return;
      }
      ++at_;
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int line_ = 1;
  std::string open_;  // brackets and braces of the value that is open
  std::optional<int> nameless_, brace_, letter_;
};

Scanner scanned(std::string_view text) {
  Scanner scanner(text);
  scanner.run();
  return scanner;
}

}  // namespace

std::optional<int> nameless_header(std::string_view text) { return scanned(text).nameless(); }
std::optional<int> misplaced_brace(std::string_view text) { return scanned(text).brace(); }
std::optional<int> unquoted_letter(std::string_view text) { return scanned(text).letter(); }

}  // namespace cw
