#include "fluid/detail/data_file.h"

#include "base/text.h"

namespace cw::fluid::detail {
namespace {

std::string_view without_comment(std::string_view line) {
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') quoted = !quoted;
    if (line[i] == '#' && !quoted) return trim(line.substr(0, i));
  }
  return trim(line);
}

bool read_numbers(std::string_view text, std::vector<double>& numbers) {
  for (const std::string_view part : split(text, ',')) {
    const std::string_view item = trim(part);
    if (item.empty()) continue;
    double value = 0.0;
    if (!read_number(item, value)) return false;
    numbers.push_back(value);
  }
  return true;
}

}  // namespace

Result<DataFile> DataFile::parse(std::string_view file_name, std::string_view text) {
  DataFile file;
  file.file_name_ = file_name;
  std::string section;
  bool in_list = false;
  int line_number = 0;
  for (const std::string_view raw : split(text, '\n')) {
    ++line_number;
    std::string_view line = without_comment(raw);
    if (line.empty()) continue;
    const auto bad = [&](const char* what) {
      return Error{ErrorCode::parse, std::string(what) + ": \"" + std::string(line) + "\"",
                   file.file_name_ + ":" + std::to_string(line_number), ""};
    };
    if (!in_list) {
      if (line.front() == '[') {
        if (line.back() != ']') return bad("section without closing bracket");
        section = trim(line.substr(1, line.size() - 2));
        continue;
      }
      const std::size_t equals = line.find('=');
      if (equals == std::string_view::npos) return bad("expected key = value");
      Entry entry{section, std::string(trim(line.substr(0, equals))), "", {}, line_number};
      line = trim(line.substr(equals + 1));
      if (line.size() >= 2 && line.front() == '"' && line.back() == '"') {
        entry.text = line.substr(1, line.size() - 2);
      } else if (!line.empty() && line.front() == '[') {
        in_list = true;
        line.remove_prefix(1);
      } else if (!read_numbers(line, entry.numbers) || entry.numbers.size() != 1) {
        return bad("expected a number, a quoted text or a list");
      }
      file.entries_.push_back(std::move(entry));
    }
    if (in_list) {
      if (!line.empty() && line.back() == ']') {
        in_list = false;
        line.remove_suffix(1);
      }
      if (!read_numbers(line, file.entries_.back().numbers)) return bad("expected numbers");
    }
  }
  if (in_list) {
    return Error{ErrorCode::parse, "list without closing bracket", file.file_name_, ""};
  }
  return file;
}

const DataFile::Entry* DataFile::find(std::string_view section, std::string_view key) const {
  for (const Entry& entry : entries_) {
    if (entry.section == section && entry.key == key) return &entry;
  }
  return nullptr;
}

Error DataFile::missing(std::string_view section, std::string_view key) const {
  return Error{ErrorCode::not_found,
               "no " + std::string(key) + " in section [" + std::string(section) + "]", file_name_,
               ""};
}

bool DataFile::has(std::string_view section, std::string_view key) const {
  return find(section, key) != nullptr;
}

Result<std::string> DataFile::text(std::string_view section, std::string_view key) const {
  const Entry* entry = find(section, key);
  if (entry == nullptr || entry->text.empty()) return missing(section, key);
  return entry->text;
}

Result<double> DataFile::number(std::string_view section, std::string_view key) const {
  const Entry* entry = find(section, key);
  if (entry == nullptr || entry->numbers.size() != 1) return missing(section, key);
  return entry->numbers.front();
}

std::vector<double> DataFile::numbers_or_empty(std::string_view section,
                                               std::string_view key) const {
  const Entry* entry = find(section, key);
  return entry == nullptr ? std::vector<double>{} : entry->numbers;
}

Result<std::vector<std::vector<double>>> DataFile::rows(std::string_view section,
                                                        std::string_view key,
                                                        std::size_t width) const {
  const Entry* entry = find(section, key);
  if (entry == nullptr) return missing(section, key);
  if (entry->numbers.empty() || entry->numbers.size() % width != 0) {
    return Error{ErrorCode::parse,
                 std::string(key) + ": " + std::to_string(entry->numbers.size()) +
                     " numbers do not make rows of " + std::to_string(width),
                 file_name_ + ":" + std::to_string(entry->line), ""};
  }
  std::vector<std::vector<double>> out;
  for (auto it = entry->numbers.begin(); it != entry->numbers.end();) {
    const auto end = it + static_cast<std::ptrdiff_t>(width);
    out.emplace_back(it, end);
    it = end;
  }
  return out;
}

}  // namespace cw::fluid::detail
