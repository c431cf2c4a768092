#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/toml_file.h"

/// What is wrong with a TOML file that a person wrote. Nothing stops at the first mistake: they are
/// collected in any order and told in that of the file.
namespace cw {

/// Line of a node in its file, from 1.
int toml_line(const toml::node& node) noexcept;

class TomlMistakes {
 public:
  /// @param file  as errors call it
  explicit TomlMistakes(std::string_view file) : file_(file) {}

  const std::string& file() const { return file_; }
  bool any() const { return !errors_.empty(); }
  /// "file:line" as errors have it.
  std::string where(int line) const { return file_ + ":" + std::to_string(line); }
  void add(const toml::node& at, ErrorCode code, std::string message, std::string fix);
  void add_at_line(int line, ErrorCode code, std::string message, std::string fix);
  /// An error that names its own place: that of another file.
  void add_foreign(const toml::node& at, Error error);
  std::vector<Error> sorted() const;

 private:
  struct Entry {
    int line = 0;
    Error error;
  };
  std::string file_;
  std::vector<Entry> errors_;
};

/// At most `most` bytes of what a person typed, whole characters only, so that a message stays a
/// sentence.
std::string short_text(std::string_view text, std::size_t most = 60);

}  // namespace cw
