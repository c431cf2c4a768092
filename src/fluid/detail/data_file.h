#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace cw::fluid::detail {

/// The subset of TOML in which data/fluids is written: `[section.name]`, `key = 1.5`,
/// `key = "text"`, `key = [numbers, over, several, lines]` and comments. No exceptions, no streams,
/// so that it reads the embedded files under WebAssembly too.
class DataFile {
 public:
  /// @error parse  with file name and line
  static Result<DataFile> parse(std::string_view file_name, std::string_view text);

  const std::string& file_name() const { return file_name_; }
  bool has(std::string_view section, std::string_view key) const;
  /// @error not_found  with section and key
  Result<std::string> text(std::string_view section, std::string_view key) const;
  Result<double> number(std::string_view section, std::string_view key) const;
  /// The flat list cut into rows of `width`. @error parse  the list is not a multiple of it
  Result<std::vector<std::vector<double>>> rows(std::string_view section, std::string_view key,
                                                std::size_t width) const;
  std::vector<double> numbers_or_empty(std::string_view section, std::string_view key) const;

 private:
  struct Entry {
    std::string section;
    std::string key;
    std::string text;
    std::vector<double> numbers;
    int line = 0;
  };
  const Entry* find(std::string_view section, std::string_view key) const;
  Error missing(std::string_view section, std::string_view key) const;

  std::string file_name_;
  std::vector<Entry> entries_;
};

}  // namespace cw::fluid::detail
