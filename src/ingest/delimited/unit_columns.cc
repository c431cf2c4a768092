#include "ingest/delimited/unit_columns.h"

#include <algorithm>

#include "base/text.h"
#include "base/unit_text.h"
#include "ingest/header.h"

namespace cw {
namespace {

constexpr std::array unit_words = {"unit",
                                   "units",
                                   "uom",
                                   "einheit",
                                   "einheiten",
                                   "unidad",
                                   "unidades",
                                   "unidade",
                                   "eenheid",
                                   "enhet",
                                   "unit\xC3\xA9",
                                   "unit\xC3\xA0",
                                   "\xE5\x8D\x98\xE4\xBD\x8D",   // 単位
                                   "\xE5\x8D\x95\xE4\xBD\x8D"};  // 单位
constexpr std::size_t kept_texts = 1000;

/// Do numbers stand there?
bool holds_numbers(const Layout& layout, std::size_t column) {
  std::size_t filled = 0;
  std::size_t numbers = 0;
  for (const std::vector<std::string>& row : layout.rows) {
    if (column >= row.size() || row[column].empty()) continue;
    ++filled;
    numbers += is_number(row[column], layout.dialect) ? 1U : 0U;
  }
  return numbers > 0 && numbers * 2 > filled;
}

}  // namespace

bool is_called_unit(std::string_view header, std::string_view of) {
  const std::string low = to_lower(trim(without_twin(header)));
  if (std::find(unit_words.begin(), unit_words.end(), low) != unit_words.end()) return true;
  std::string name = to_lower(split_header(of).name);
  // "outside.unit" behind "outside.value".
  if (name.size() > 5 && name.ends_with("value")) name.resize(name.size() - 6);
  if (name.empty() || !low.starts_with(name)) return false;
  std::string_view rest = std::string_view(low).substr(name.size());
  while (!rest.empty() && std::string_view(" ._-/").find(rest.front()) != std::string_view::npos) {
    rest.remove_prefix(1);
  }
  return rest.size() < low.size() - name.size() &&
         std::find(unit_words.begin(), unit_words.end(), rest) != unit_words.end();
}

bool is_no_unit(std::string_view cell) {
  constexpr std::array words = {"bool", "boolean", "enum", "state", "on/off", "-", "n/a", "none"};
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return equal_ignoring_case(cell, word); });
}

void UnitTally::add(std::string_view cell, const Dialect& dialect) {
  if (cell.empty() || is_no_unit(cell)) return;
  auto found = kinds_.find(cell);
  if (found == kinds_.end()) {
    Kind kind = Kind::unknown;
    if (is_number(cell, dialect)) {
      kind = Kind::number;
    } else if (parse_unit(cell)) {
      const bool letter = cell.size() == 1 && cell != "%";
      kind = letter ? Kind::letter : Kind::unit;
    } else if (unknown_.size() < 3) {
      unknown_.emplace_back(cell);
    }
    // Units are few: behind so many texts nothing new is one.
    if (kinds_.size() >= kept_texts) {
      ++filled_;
      return;
    }
    found = kinds_.emplace(std::string(cell), kind).first;
  }
  ++filled_;
  units_ += found->second == Kind::unit || found->second == Kind::letter ? 1U : 0U;
  letters_ += found->second == Kind::letter ? 1U : 0U;
  numbers_ += found->second == Kind::number ? 1U : 0U;
}

bool UnitTally::holds_units() const {
  if (units_ == 0) return false;
  return units_ * 10 >= filled_ * 9 || (numbers_ == 0 && (units_ - letters_) * 2 >= filled_);
}

std::string UnitTally::unknown_text() const {
  std::string out;
  for (const std::string& text : unknown_) {
    out += (out.empty() ? "\"" : ", \"") + text.substr(0, 40) + "\"";
  }
  return out;
}

std::vector<UnitColumn> find_unit_columns(const Layout& layout) {
  std::vector<UnitColumn> out;
  if (!layout.has_header) return out;
  for (std::size_t i = 1; i < layout.headers.size(); ++i) {
    if (!is_called_unit(layout.headers[i], without_twin(layout.headers[i - 1]))) continue;
    if (names_time(layout.headers[i - 1]) || !holds_numbers(layout, i - 1)) continue;
    UnitTally tally;
    std::string first;
    for (const std::vector<std::string>& row : layout.rows) {
      if (i >= row.size()) continue;
      tally.add(row[i], layout.dialect);
      if (first.empty() && !is_number(row[i], layout.dialect) && parse_unit(row[i])) {
        first = row[i];
      }
    }
    if (tally.holds_units() && !first.empty()) out.push_back({i, i - 1, first});
  }
  return out;
}

std::optional<std::string> units_disagree(const ColumnPlan& plan, std::string_view unit,
                                          const std::string& unit_header) {
  const Result<Unit> said = parse_unit(unit);
  if (!said || plan.quantity == nullptr) return std::nullopt;
  const std::optional<Unit> fitting = said->as(plan.quantity->dimension);
  if (fitting && fitting->symbol == plan.unit.symbol) return std::nullopt;
  return "Column \"" + unit_header + "\" says \"" + std::string(unit) + "\" beside \"" +
         plan.header + "\", whose header or map says " + plan.unit_text +
         ": what stands in the row counts.";
}

}  // namespace cw
