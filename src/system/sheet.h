#pragma once

#include <filesystem>
#include <optional>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "system/system.h"

/// Reading a system sheet (TOML; every key is in docs/user/sheet.md).
namespace cw {

/// Most errors that one reading reports; the rest are counted.
inline constexpr std::size_t most_sheet_errors = 20;

/// What reading a sheet gave: a system, or everything that is wrong with the sheet. Each error
/// names file:line, what is wrong, and how to mend it.
struct SheetReading {
  std::optional<System> system;
  std::vector<Error> errors;    ///< in the order of the sheet, at most most_sheet_errors
  std::size_t more_errors = 0;  ///< beyond them
};

/// Reads a sheet from text; `name` is what errors call it. Never throws, whatever the text.
/// Thread-safe.
SheetReading read_sheet_text(std::string_view text, std::string_view name);

/// Reads a sheet from a file; a file that cannot be read is one error.
SheetReading read_sheet(const std::filesystem::path& path);

/// The same with one Error for callers that want a Result: of several errors the message carries
/// the first and how many more there are.
/// @error parse, unit, not_found, unreadable, out_of_range, inconsistent
Result<System> parse_system(std::string_view text, std::string_view name);
Result<System> read_system(const std::filesystem::path& path);

}  // namespace cw
