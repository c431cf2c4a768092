#include "ingest/key_value/key_value.h"

#include <algorithm>
#include <map>
#include <vector>

#include "base/text.h"
#include "base/unit_text.h"
#include "ingest/cell_text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/decimal.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

struct NamedValue {
  std::string_view name;
  std::string_view value;
};

struct NamedLine {
  std::string_view lead;  ///< what stands before the first name
  std::vector<NamedValue> values;
  std::string_view group;  ///< stands in front of all names; may be empty
};

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
}

bool is_between(char c) { return c == ' ' || c == '\t' || c == ',' || c == ';' || c == '|'; }

std::string_view without_ends(std::string_view text) {
  while (!text.empty() && is_between(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_between(text.back())) text.remove_suffix(1);
  if (text.size() > 1 && text.front() == '"' && text.back() == '"') {
    text = text.substr(1, text.size() - 2);
  }
  return text;
}

/// "name=value", between blanks, commas or semicolons; a value goes on to the next name.
NamedLine by_equal_signs(std::string_view line) {
  NamedLine out;
  bool quoted = false;
  std::size_t value = 0;  // where the last value begins
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') quoted = !quoted;
    if (quoted || line[i] != '=') continue;
    std::size_t from = i;
    while (from > value && !is_between(line[from - 1])) --from;
    if (from == i || !is_letter(line[from])) continue;
    const std::string_view before = line.substr(value, from - value);
    if (out.values.empty()) {
      out.lead = without_ends(before);
    } else {
      out.values.back().value = without_ends(before);
    }
    out.values.push_back({line.substr(from, i - from), {}});
    value = i + 1;
  }
  if (!out.values.empty()) out.values.back().value = without_ends(line.substr(value));
  return out;
}

/// "trend,place=roof outside=-5.2,hp=25.1 1768370400000000000": what is measured and its labels, a
/// blank, values between commas, a blank, and nanoseconds from 1970 (a database's line protocol).
/// Labels become part of the names: they tell signals apart.
NamedLine by_line_protocol(std::string_view line) {
  NamedLine out;
  const std::size_t first = line.find(' ');
  const std::size_t last = line.rfind(' ');
  if (first == std::string_view::npos || last <= first || line.find('"') != line.npos ||
      line.find('\\') != line.npos) {
    return out;
  }
  const std::string_view time = line.substr(last + 1);
  if (time.size() < 10 || time.find_first_not_of("0123456789") != time.npos) return out;
  std::string_view values = line.substr(first + 1, last - first - 1);
  if (values.find(' ') != values.npos || line.substr(0, first).find_first_of("=,") == line.npos) {
    return out;
  }
  out.group = line.substr(0, first);
  out.lead = time;
  while (!values.empty()) {
    const std::size_t comma = values.find(',');
    const std::string_view part = values.substr(0, comma);
    values = comma == values.npos ? std::string_view{} : values.substr(comma + 1);
    const std::size_t equal = part.find('=');
    if (equal == part.npos || equal == 0) return {};
    std::string_view value = part.substr(equal + 1);
    // "12i" is a whole number.
    const bool whole = value.size() > 1 && (value.back() == 'i' || value.back() == 'u') &&
                       value[value.size() - 2] >= '0' && value[value.size() - 2] <= '9';
    if (whole) value.remove_suffix(1);
    out.values.push_back({part.substr(0, equal), value});
  }
  return out;
}

/// The time at the front of a line, brackets around it removed; the rest goes on behind it.
std::string_view take_lead(std::string_view& line) {
  std::string_view best;
  std::size_t end = 0;
  StampFields fields;
  for (std::size_t i = 4; i <= std::min<std::size_t>(line.size(), 40); ++i) {
    if (i < line.size() && !is_between(line[i]) && line[i] != ']') continue;
    std::string_view front = line.substr(0, i);
    if (!front.empty() && front.front() == '[') front.remove_prefix(1);
    if (!parse_stamp(front, fields)) continue;
    best = front;
    end = i < line.size() && line[i] == ']' ? i + 1 : i;
  }
  line.remove_prefix(end);
  return best;
}

/// "name: value", separated by commas, semicolons or bars; names may have blanks in them.
NamedLine by_colons(std::string_view line) {
  NamedLine out;
  out.lead = take_lead(line);
  while (!line.empty()) {
    const std::size_t end = line.find_first_of(",;|\t");
    const std::string_view part = trim(line.substr(0, end));
    line = end == std::string_view::npos ? std::string_view{} : line.substr(end + 1);
    const std::size_t colon = part.find(": ");
    if (colon == std::string_view::npos || colon == 0 || !is_letter(part.front())) continue;
    std::string_view name = part.substr(0, colon);
    // "INFO outside": what a program says of itself stands in capitals before the first name.
    const std::size_t blank = name.find(' ');
    if (out.values.empty() && blank != std::string_view::npos &&
        std::all_of(name.begin(), name.begin() + static_cast<std::ptrdiff_t>(blank),
                    [](char c) { return c >= 'A' && c <= 'Z'; })) {
      name = trim(name.substr(blank));
    }
    out.values.push_back({name, without_ends(part.substr(colon + 2))});
  }
  return out;
}

using Reader = NamedLine (*)(std::string_view);

/// Of the first lines nearly all must name two values or more, the same ones again and again.
bool reads(Reader reader, std::string_view text, std::size_t fewest = 2) {
  LineCutter lines(text.substr(0, 1U << 18U));
  std::string_view line;
  std::size_t seen = 0;
  std::size_t named = 0;
  std::map<std::string_view, std::size_t> names;
  while (seen < 60 && lines.next(line)) {
    line = trim(line);
    if (line.empty() || line.front() == '#') continue;
    ++seen;
    const NamedLine found = reader(line);
    named += found.values.size() >= fewest ? 1U : 0U;
    for (const NamedValue& value : found.values) ++names[value.name];
  }
  const bool again = std::count_if(names.begin(), names.end(),
                                   [&](const auto& name) { return name.second * 2 > seen; }) >= 2;
  return seen >= 3 && named * 10 >= seen * 8 && (again || fewest < 2);
}

/// "-5.2C" is a number and its unit, where the letters are one.
UnitGrid::Cell cell_of(std::string_view value) {
  std::size_t end = value.size();
  while (end > 0 && (value[end - 1] < '0' || value[end - 1] > '9')) --end;
  double number = 0.0;
  const std::string_view unit = trim(value.substr(end));
  if (unit.empty() || end == 0 || !read_decimal(value.substr(0, end), number) ||
      !parse_unit(unit)) {
    return {std::string(value), ""};
  }
  return {std::string(value.substr(0, end)), std::string(unit)};
}

Result<ConvertedText> as_text(Reader reader, std::string_view text) {
  constexpr std::size_t most_columns = 20000;
  UnitGrid grid;
  grid.columns.push_back({"time", "time", "", false});
  std::map<std::string, std::size_t, std::less<>> index;
  LineCutter lines(text);
  std::string_view line;
  bool led = false;
  while (lines.next(line)) {
    line = trim(line);
    if (line.empty() || line.front() == '#') continue;
    NamedLine found = reader(line);
    grid.rows.emplace_back();
    grid.lines.push_back(static_cast<std::uint32_t>(lines.number()));
    // What stands in front is a time with other words behind it, or no time at all.
    const std::string_view whole = found.lead;
    const std::string_view stamp = found.group.empty() ? take_lead(found.lead) : std::string_view{};
    led = led || !whole.empty();
    grid.put(0, {std::string(stamp.empty() ? whole : stamp), ""});
    for (const NamedValue& value : found.values) {
      std::string name(value.name);
      if (!found.group.empty()) name = std::string(found.group) + " " + name;
      auto at = index.find(name);
      if (at == index.end()) {
        if (index.size() >= most_columns) continue;
        at = index.emplace(std::move(name), grid.columns.size()).first;
        grid.columns.push_back({at->first, at->first, "", false});
      }
      grid.put(at->second, cell_of(value.value));
    }
  }
  if (!led) {  // the time is one of the names
    grid.columns.erase(grid.columns.begin());
    for (auto& row : grid.rows) {
      row.erase(row.begin());
      for (UnitGrid::Entry& entry : row) --entry.column;
    }
  }
  return grid.text(text.size());
}

}  // namespace

std::optional<Result<ConvertedText>> key_values_as_text(std::string_view text) {
  if (reads(by_line_protocol, text, 1)) return as_text(by_line_protocol, text);
  for (const Reader reader : {Reader{by_equal_signs}, Reader{by_colons}}) {
    if (reads(reader, text)) return as_text(reader, text);
  }
  return std::nullopt;
}

}  // namespace cw
