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
    bool bare = false;   // in a value without quotes, which goes on to a blank or a separator
    char before = '\n';  // the last character that is no blank
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\n') {
        ++line_;
        ++at_;
        return;
      }
      bare = bare ? !ends_bare_value(c) : begins_bare_value(c, before);
      if (c == '#') {
        while (at_ < text_.size() && text_[at_] != '\n') ++at_;
      } else if (!bare && (c == '"' || c == '\'') && begins_string_behind(before)) {
        skip_string(c);
        before = c;
      } else {
        if (c == '=') value = true;
        note_letter(c);
        if (!bare && (value || !open_.empty())) count_bracket(c);
        if (c != ' ' && c != '\t') before = c;
        ++at_;
      }
    }
  }

  /// Behind anything else ("-\"\u01ff\"") a quote begins no string for the parser either.
  static bool begins_string_behind(char before) {
    return std::string_view("\n=[,{.").find(before) != std::string_view::npos;
  }

  static bool ends_bare_value(char c) {
    return std::string_view(" \t,]}#").find(c) != std::string_view::npos;
  }

  /// Whether c is the first character of a number, date or word where a value is due. What follows
  /// in it, quotes and brackets too ("2-j[\"\u01ff"), the parser looks through for its end.
  bool begins_bare_value(char c, char before) const {
    const bool in_list = !open_.empty() && open_.back() == '[';
    const bool due = before == '=' ||
                     (in_list && std::string_view("\n[,").find(before) != std::string_view::npos);
    return due && !ends_bare_value(c) &&
           std::string_view("\"'[{").find(c) == std::string_view::npos;
  }

  void note_letter(char c) {
    if (static_cast<unsigned char>(c) >= 0x80 && !letter_) letter_ = line_;
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
        skip_escape(many_lines);
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

  /// Past a backslash, what it stands for, and in a text of several lines the blanks that it takes
  /// with it. The parser takes a letter there for a blank of another alphabet.
  void skip_escape(bool many_lines) {
    ++at_;
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
    if (!many_lines || !blank(peek())) {
      if (at_ >= text_.size()) return;
      note_letter(peek());
      if (peek() != '\n') ++at_;  // a line's end is the caller's
      return;
    }
    for (; at_ < text_.size() && blank(peek()); ++at_) {
      if (peek() == '\n') ++line_;
    }
    note_letter(peek());
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
