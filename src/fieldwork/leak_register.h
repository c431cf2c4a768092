#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/instant.h"
#include "base/result.h"

/// The leak register: a dated list in a TOML file that a person can read and mend.
namespace cw::field {

enum class EntryKind { charge, addition, recovery, check, repair, verification };
std::string_view name_of(EntryKind kind) noexcept;

struct RegisterEntry {
  Instant day;  ///< 00:00 of the day
  EntryKind kind = EntryKind::addition;
  double mass = 0.0;  ///< [kg]; 0 for check, repair and verification
  std::string note;
};

/// "2026-01-10 addition 6lb flare at unit 3": day, kind, mass where the kind has one, a note.
/// @error parse, unit, out_of_range with what is wrong
Result<RegisterEntry> read_entry(std::string_view text, std::string_view where);

/// The entries of a register in the order of their days; none when the file does not exist.
/// @error parse with file and line: a register is never half read
Result<std::vector<RegisterEntry>> read_register(const std::filesystem::path& path);

/// The same from text; `name` is what errors call it.
Result<std::vector<RegisterEntry>> parse_register(std::string_view text, const std::string& name);

/// Adds an entry and writes the file whole or not at all.
/// @error inconsistent  the same entry stands there already
Status add_to_register(const std::filesystem::path& path, const RegisterEntry& entry);

/// The file's text.
std::string register_text(const std::vector<RegisterEntry>& entries);

/// "2026-01-10".
std::string day_text(Instant day);
/// The day so many months later; the last day of a shorter month.
Instant months_later(Instant day, int months);

}  // namespace cw::field
