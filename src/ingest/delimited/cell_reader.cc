#include "ingest/delimited/cell_reader.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "ingest/decimal.h"
#include "series/recording.h"

namespace cw {
namespace {

constexpr std::size_t kept_words = 40;

}  // namespace

bool is_missing_mark(std::string_view cell) {
  constexpr std::array marks = {"nan",          "null",        "na",       "n/a",    "#n/a",
                                "none",         "-",           "--",       "---",    "?",
                                "nil",          "n.a.",        "-nan",     "inf",    "-inf",
                                "+inf",         "#value!",     "#ref!",    "#num!",  "#div/0!",
                                "no data",      "nodata",      "missing",  "#name?", "----",
                                "1.#qnan",      "-1.#ind",     "infinity", "****",   "undefined",
                                "\xE2\x80\x93",  // the dashes of typography
                                "\xE2\x80\x94", "\xE2\x88\x92"};
  // "#VALEUR!", "#\xC2\xA1VALOR!", "#NOM?": what a spreadsheet writes for an error, in any
  // language.
  if (cell.size() > 2 && cell.size() < 24 && cell.front() == '#') {
    if (cell.back() == '!' || cell.back() == '?') return true;
    const std::string_view word = cell.substr(1);
    for (const char* mark : {"nv", "n/d", "n/v", "nd", "n/b", "i/t"}) {
      if (equal_ignoring_case(word, mark)) return true;
    }
  }
  return std::any_of(marks.begin(), marks.end(),
                     [&](const char* mark) { return equal_ignoring_case(cell, mark); });
}

std::string_view without_good_status(std::string_view cell) {
  for (const std::string_view mark : {"{ok}", "(ok)", "[ok]"}) {
    if (cell.size() <= mark.size()) continue;
    const std::size_t at = cell.size() - mark.size();
    if (equal_ignoring_case(cell.substr(at), mark)) return trim(cell.substr(0, at));
  }
  return cell;
}

CellReader::CellReader(const TablePlan& plan, const Dialect& dialect, std::string file)
    : plan_(plan), dialect_(dialect), file_(std::move(file)), words_(plan.columns.size()) {}

bool CellReader::is_plain(std::size_t slot) const {
  const ColumnPlan& column = plan_.columns[slot];
  if (!column.sentinels.empty()) return false;
  if (column.quantity == nullptr) return true;
  return column.quantity->dimension != Dimension::flag &&
         column.quantity->dimension != Dimension::state;
}

void CellReader::undo_row() {
  log_.undo_row();
  for (const auto& [slot, word] : row_words_) {
    if (--word->second == 0) words_[slot].erase(word);
  }
  row_words_.clear();
}

float CellReader::refuse(Counter counter, std::string_view cell, std::size_t slot, std::size_t line,
                         std::string reason) {
  log_.add(
      {counter, file_, line, plan_.columns[slot].header, std::string(cell), std::move(reason)});
  return missing;
}

float CellReader::read(std::string_view cell, std::size_t slot, std::size_t line) {
  cell = trim(cell);
  if (cell.empty()) return missing;
  double raw = 0.0;
  const bool plain = dialect_.decimal == '.' && dialect_.thousands == '\0';
  // A number that reads as it stands is one in every dialect without a decimal comma.
  if (plain && read_decimal(cell, raw)) return convert(raw, cell, slot, line);
  if (cell.back() != '%' && read_dialect_number(cell, dialect_, raw)) {
    return convert(raw, cell, slot, line);
  }
  if (read_with_unit(cell, slot, raw)) return convert(raw, cell, slot, line);
  return read_word(cell, slot, line);
}

/// "23.5 degC" in a column whose unit is degC: the unit that the column has anyway, or another that
/// measures the same.
bool CellReader::read_with_unit(std::string_view cell, std::size_t slot, double& raw) const {
  const unsigned char front = static_cast<unsigned char>(cell.front());
  // 0xE2 begins the typographic minus.
  if (front != '-' && front != '+' && front != 0xE2 && (front < '0' || front > '9')) return false;
  const std::string_view bare = without_good_status(cell);
  if (bare.size() < cell.size() && read_dialect_number(bare, dialect_, raw)) return true;
  cell = bare;
  std::size_t at = cell.size();
  while (at > 0 && (cell[at - 1] < '0' || cell[at - 1] > '9')) --at;
  if (at == 0 || at == cell.size()) return false;
  const std::string_view unit_text = trim(cell.substr(at));
  if (plan_.columns[slot].unit_text.empty() || unit_text.empty()) return false;
  const Result<Unit> stated = parse_unit(unit_text);
  if (!stated || !read_dialect_number(cell.substr(0, at), dialect_, raw)) return false;
  return turn(*stated, slot, raw);
}

float CellReader::read_in_unit(std::string_view cell, std::string_view unit_text, std::size_t slot,
                               std::size_t line) {
  cell = trim(cell);
  const ColumnPlan& column = plan_.columns[slot];
  const Dimension kind = column.quantity == nullptr ? Dimension::ratio : column.quantity->dimension;
  const bool has_none =
      kind == Dimension::flag || kind == Dimension::state || kind == Dimension::count;
  double raw = 0.0;
  // "45%" says its unit itself.
  if (unit_text.empty() || has_none || cell.empty() || cell.back() == '%' ||
      !read_dialect_number(cell, dialect_, raw)) {
    return read(cell, slot, line);
  }
  const Result<Unit> stated = parse_unit(unit_text);
  if (!stated || !turn(*stated, slot, raw)) {
    return refuse(Counter::bad_cell, cell, slot, line,
                  "its row says the unit \"" + std::string(unit_text) +
                      "\", which cannot be turned into the column's");
  }
  return convert(raw, cell, slot, line);
}

/// Turns a number in the stated unit into one in the column's: an instrument that changes its range
/// by itself writes 950 mbar below 1.02 bar.
/// @returns false where the unit measures something else
bool CellReader::turn(const Unit& stated, std::size_t slot, double& raw) const {
  const ColumnPlan& column = plan_.columns[slot];
  Unit own = column.unit;
  std::optional<Unit> fitting = stated;
  if (column.quantity == nullptr) {
    const Result<Unit> said = parse_unit(column.unit_text);
    if (!said || said->dimension != stated.dimension) return false;
    own = *said;
  } else {
    // A difference of temperatures has no offset, whatever its unit is called.
    fitting = stated.as(column.quantity->dimension);
  }
  if (!fitting) return false;
  // "bar(a)" in a column of gauge pressures is another thing; "bar" says neither, and where the
  // column says neither it is read as absolute.
  using enum PressureReference;
  const bool fits = fitting->reference == own.reference || stated.reference == unstated ||
                    (own.reference == unstated && stated.reference == absolute);
  if (!fits) return false;
  const auto& marks = column.sentinels;
  if (std::find(marks.begin(), marks.end(), raw) != marks.end()) return true;
  if (fitting->symbol == own.symbol) return true;
  // A factor belongs to the column's unit alone.
  if (column.quantity != nullptr && column.scale != own.scale) return false;
  raw = (fitting->scale * raw + fitting->offset - own.offset) / own.scale;
  return true;
}

float CellReader::convert(double raw, std::string_view cell, std::size_t slot, std::size_t line) {
  const ColumnPlan& column = plan_.columns[slot];
  if (column.quantity == nullptr) return static_cast<float>(raw);
  for (const double sentinel : column.sentinels) {
    if (raw == sentinel) {
      log_.count(Counter::sentinel_value);
      return missing;
    }
  }
  if (column.quantity->dimension == Dimension::flag) return read_flag(raw, cell, slot, line);
  if (column.quantity->dimension == Dimension::state) return read_word(cell, slot, line);
  const double si = column.scale * raw + column.offset;
  // The negated form also refuses what no comparison holds for.
  if (!(si >= column.lowest && si <= column.highest)) {
    return refuse(
        Counter::implausible_value, cell, slot, line,
        "outside " + format_si(column.lowest, column.quantity->dimension, UnitSystem::si) + " to " +
            format_si(column.highest, column.quantity->dimension, UnitSystem::si));
  }
  return static_cast<float>(si);
}

/// 0 and 1, and the other ways in which electronics write "on": all bits of a byte or word, or 100
/// percent. Any other number is none of them and says that something else stands in the column.
float CellReader::read_flag(double raw, std::string_view cell, std::size_t slot, std::size_t line) {
  const ColumnPlan& column = plan_.columns[slot];
  for (const auto& [text, value] : column.words) {
    if (text == cell) return static_cast<float>(value);
  }
  if (raw == 0.0) return 0.0F;
  if (raw == 1.0 || raw == -1.0 || raw == 100.0 || raw == 255.0 || raw == 65535.0) return 1.0F;
  return refuse(Counter::implausible_value, cell, slot, line,
                "neither on nor off; a map may say what it means, words = { \"" +
                    std::string(cell) + "\" = \"on\" }");
}

float CellReader::read_word(std::string_view cell, std::size_t slot, std::size_t line) {
  const ColumnPlan& column = plan_.columns[slot];
  if (column.quantity == nullptr) {
    auto& words = words_[slot];
    auto found = words.find(cell);
    if (found == words.end()) {
      const bool room = words.size() < kept_words;
      found = words.emplace(room ? std::string(cell) : std::string(), 0U).first;  // "": all others
    }
    ++found->second;
    if (by_rows_) row_words_.emplace_back(slot, found);
    return missing;
  }
  const std::string word = to_lower(cell);
  for (const auto& [text, value] : column.words) {
    if (text == word) return static_cast<float>(value);
  }
  if (is_missing_mark(cell)) {
    log_.count(Counter::missing_mark);
    return missing;
  }
  // "28.5*": the mark may say estimated, out of range or set by hand.
  const std::size_t digits = cell.find_last_of("0123456789");
  double number = 0.0;
  if (column.words.empty() && digits != std::string_view::npos && digits + 1 < cell.size() &&
      cell.find_first_not_of("*!#?^~ ", digits + 1) == std::string_view::npos &&
      read_dialect_number(cell.substr(0, digits + 1), dialect_, number)) {
    return refuse(Counter::bad_cell, cell, slot, line,
                  "a number with a mark, and the file does not say what the mark means");
  }
  return refuse(Counter::bad_cell, cell, slot, line,
                column.words.empty() ? "not a number" : "no known word of this column");
}

}  // namespace cw
