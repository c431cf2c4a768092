#include "fieldwork/leak_register.h"

#include <algorithm>
#include <array>
#include <cstdio>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "fieldwork/form.h"

namespace cw::field {
namespace {

constexpr std::array kinds = {EntryKind::charge, EntryKind::addition, EntryKind::recovery,
                              EntryKind::check,  EntryKind::repair,   EntryKind::verification};

bool has_mass(EntryKind kind) {
  return kind == EntryKind::charge || kind == EntryKind::addition || kind == EntryKind::recovery;
}

const Range masses{1e-3, 5e3, "an entry moves grams to tonnes of refrigerant",
                   "Give the mass with its unit, for example 6lb or 2.7kg"};

Result<EntryKind> kind_named(std::string_view text, std::string_view where) {
  for (const EntryKind kind : kinds) {
    if (equal_ignoring_case(text, name_of(kind))) return kind;
  }
  return Error{ErrorCode::parse, "\"" + std::string(text) + "\" is no kind of entry",
               std::string(where),
               "Use charge, addition, recovery, check, repair or verification, as in "
               "\"2026-01-10 addition 6lb flare at unit 3\""};
}

std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    const auto code = static_cast<unsigned char>(c);
    if (code < 0x20 || code == 0x7F) {
      out += ' ';
    } else {
      out += c;
    }
  }
  return out + "\"";
}

Result<RegisterEntry> entry_of(const toml::table& table, const std::string& name) {
  if (Status s = refuse_unknown_keys(table, {"date", "kind", "mass", "note"}, name); !s) {
    return s.error();
  }
  const std::string where = place_of(table, name);
  RegisterEntry out;
  const toml::node* date = table.get("date");
  if (date == nullptr) {
    return Error{ErrorCode::parse, "an entry has no date", where, "Add date = 2026-01-10"};
  }
  std::string text = date->value_or(std::string{});
  if (const auto local = date->value_exact<toml::date>()) {
    char buffer[16];
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d", static_cast<int>(local->year),
                  static_cast<int>(local->month), static_cast<int>(local->day));
    text = buffer;
  }
  const Result<Instant> day = read_date(text, where);
  if (!day) return day.error();
  out.day = *day;
  const Result<EntryKind> kind = kind_named(table["kind"].value_or(std::string_view{}), where);
  if (!kind) return kind.error();
  out.kind = *kind;
  if (has_mass(out.kind)) {
    const Result<double> mass =
        read_quantity(table["mass"].value_or(std::string_view{}), Dimension::mass, masses, where);
    if (!mass) return mass.error();
    out.mass = *mass;
  }
  out.note = table["note"].value_or(std::string{});
  return out;
}

bool same(const RegisterEntry& a, const RegisterEntry& b) {
  return a.day == b.day && a.kind == b.kind && a.note == b.note &&
         number_text(a.mass, 6) == number_text(b.mass, 6);
}

}  // namespace

std::string_view name_of(EntryKind kind) noexcept {
  switch (kind) {
    case EntryKind::charge:
      return "charge";
    case EntryKind::addition:
      return "addition";
    case EntryKind::recovery:
      return "recovery";
    case EntryKind::check:
      return "check";
    case EntryKind::repair:
      return "repair";
    case EntryKind::verification:
      break;
  }
  return "verification";
}

std::string day_text(Instant day) {
  const CivilTime civil = civil_of(day);
  char buffer[32];
  std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d", civil.year, civil.month, civil.day);
  return buffer;
}

Instant months_later(Instant day, int months) {
  CivilTime civil = civil_of(day);
  const int index = civil.month - 1 + months;
  civil.year += index / 12;
  civil.month = index % 12 + 1;
  for (;; --civil.day) {  // 31 January and a month is 28 or 29 February
    if (const auto later = instant_of(civil)) return *later;
  }
}

Result<RegisterEntry> read_entry(std::string_view text, std::string_view where) {
  std::vector<std::string_view> words;
  for (const std::string_view word : split(trim(text), ' ')) {
    if (!word.empty()) words.push_back(word);
  }
  if (words.size() < 2) {
    return Error{ErrorCode::parse, "\"" + std::string(text) + "\" is no register entry",
                 std::string(where),
                 "Write for example \"2026-01-10 addition 6lb flare at unit 3\""};
  }
  RegisterEntry out;
  const Result<Instant> day = read_date(words[0], where);
  if (!day) return day.error();
  out.day = *day;
  const Result<EntryKind> kind = kind_named(words[1], where);
  if (!kind) return kind.error();
  out.kind = *kind;
  std::size_t next = 2;
  if (has_mass(out.kind)) {
    if (words.size() < 3) {
      return Error{ErrorCode::parse, "the entry has no mass", std::string(where),
                   std::string(masses.fix)};
    }
    const Result<double> mass = read_quantity(words[2], Dimension::mass, masses, where);
    if (!mass) return mass.error();
    out.mass = *mass;
    next = 3;
  }
  for (; next < words.size(); ++next) {
    out.note += (out.note.empty() ? "" : " ") + std::string(words[next]);
  }
  return out;
}

Result<std::vector<RegisterEntry>> read_register(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (text) return parse_register(*text, path.string());
  if (text.error().code == ErrorCode::not_found) return std::vector<RegisterEntry>{};
  return text.error();
}

Result<std::vector<RegisterEntry>> parse_register(std::string_view text, const std::string& name) {
  std::vector<RegisterEntry> out;
  const Result<toml::table> table = parse_toml(text, name);
  if (!table) return table.error();
  if (Status s = refuse_unknown_keys(*table, {"entry"}, name); !s) return s.error();
  const toml::node* entries = table->get("entry");
  if (entries == nullptr) return out;
  if (!entries->is_array_of_tables()) {
    return Error{ErrorCode::parse, "\"entry\" is no list of entries", place_of(*entries, name),
                 "Begin each entry with [[entry]]"};
  }
  for (const toml::node& node : *entries->as_array()) {
    Result<RegisterEntry> entry = entry_of(*node.as_table(), name);
    if (!entry) return entry.error();
    out.push_back(std::move(*entry));
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const auto& a, const auto& b) { return a.day < b.day; });
  return out;
}

std::string register_text(const std::vector<RegisterEntry>& entries) {
  std::string out =
      "# Leak register. One [[entry]] a line of the record: date, kind (charge, addition, "
      "recovery,\n"
      "# check, repair, verification), mass where refrigerant moved, note. Written whole or not at "
      "all.\n";
  for (const RegisterEntry& entry : entries) {
    out += "\n[[entry]]\ndate = " + day_text(entry.day) + "\nkind = \"" +
           std::string(name_of(entry.kind)) + "\"\n";
    if (has_mass(entry.kind)) out += "mass = \"" + number_text(entry.mass, 7) + " kg\"\n";
    if (!entry.note.empty()) out += "note = " + quoted(entry.note) + "\n";
  }
  return out;
}

Status add_to_register(const std::filesystem::path& path, const RegisterEntry& entry) {
  Result<std::vector<RegisterEntry>> entries = read_register(path);
  if (!entries) return entries.error();
  for (const RegisterEntry& other : *entries) {
    if (!same(other, entry)) continue;
    return Error{ErrorCode::inconsistent, "the same entry stands in the register already",
                 "--record", "Add a note that tells the two apart, if there were two"};
  }
  const auto place = std::upper_bound(
      entries->begin(), entries->end(), entry,
      [](const RegisterEntry& a, const RegisterEntry& b) { return a.day < b.day; });
  entries->insert(place, entry);
  return write_file(path, register_text(*entries));
}

}  // namespace cw::field
