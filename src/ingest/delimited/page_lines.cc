#include "ingest/delimited/page_lines.h"

#include <algorithm>
#include <iterator>

#include "base/text.h"
#include "ingest/clock/calendar_words.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cells.h"

namespace cw {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
}
bool is_between(char c) {
  return c == ',' || c == ';' || c == '\t' || c == '|' || c == '\x1f' || c == '"' || c == ' ' ||
         c == '\f' || c == '\r' || c == '\'';
}

/// Lower-case beginnings of a foot's first word. Common words, no source.
constexpr std::string_view foot_words[] = {
    "total",
    "sum",
    "summe",
    "average",
    "avg",
    "mean",
    "median",
    "minimum",
    "maximum",
    "min",
    "max",
    "std",
    "stdev",
    "stddev",
    "count",
    "records",
    "end",
    "eof",
    "subtotal",
    "mittel",
    "mittelwert",
    "durchschnitt",
    "gesamt",
    "ende",
    "anzahl",
    "moyenne",
    "somme",
    "fin",
    "nombre",
    "promedio",
    "suma",
    "media",
    "totale",
    "somma",
    "fine",
    "minimo",
    "massimo",
    "totaal",
    "gemiddelde",
    "einde",
    "m\xC3\xA9"
    "dia",
    "m\xC3\xADnimo",
    "m\xC3\xA1ximo",
    "m\xC3\xADn",
    "m\xC3\xA1x",
    "\xE5\x90\x88\xE8\xA8\x88",                  // 合計
    "\xE5\xB9\xB3\xE5\x9D\x87",                  // 平均
    "\xE6\x9C\x80\xE5\xA4\xA7",                  // 最大
    "\xE6\x9C\x80\xE5\xB0\x8F",                  // 最小
    "\xE6\x9C\x80\xE9\xAB\x98",                  // 最高
    "\xE6\x9C\x80\xE4\xBD\x8E",                  // 最低
    "\xE5\x90\x88\xE8\xAE\xA1",                  // 合计
    "\xEA\xB3\x84",                              // 계
    "\xED\x95\xA9\xEA\xB3\x84",                  // 합계
    "\xED\x8F\x89\xEA\xB7\xA0",                  // 평균
    "\xEC\xB5\x9C\xEB\x8C\x80",                  // 최대
    "\xEC\xB5\x9C\xEC\x86\x8C",                  // 최소
    "\xD0\xB8\xD1\x82\xD0\xBE\xD0\xB3\xD0\xBE",  // итого
    "celkem",
    "ortalama",
    "toplam",
    "keskiarvo",
    "summa",
    "snitt",
    "razem",
    "srednia",
    "pr\xC5\xAFm\xC4\x9Br",
    "sou\xC4\x8D"
    "et",
    "\xC3\xB6sszesen",
    "\xC3\xA1tlag",
    "yhteens\xC3\xA4",
    "medelv\xC3\xA4rde",
    "\xC5\x9Brednia",
    "\xD1\x81\xD1\x80\xD0\xB5\xD0\xB4\xD0\xBD\xD0\xB5\xD0\xB5",
    "\xE5\xB9\xB3\xE5\x9D\x87\xE5\x80\xA4",
    "\xE5\x90\x88\xE8\xA8\x88\xE5\x80\xA4",
    "\xC3\x96sszesen",
    "\xC3\x81tlag",
    "\xD0\xA1\xD1\x80\xD0\xB5\xD0\xB4\xD0\xBD\xD0\xB5\xD0\xB5",
    "\xD0\x98\xD1\x82\xD0\xBE\xD0\xB3\xD0\xBE"};

/// "-----,-----", "=====": drawn with three signs or more and nothing else.
bool is_drawn(std::string_view line) {
  const auto drawn = [](char c) {
    return c == '-' || c == '=' || c == '_' || c == '*' || c == '+';
  };
  return std::count_if(line.begin(), line.end(), drawn) >= 3 &&
         std::all_of(line.begin(), line.end(), [&](char c) { return drawn(c) || is_between(c); });
}

/// "(40 rows)", "40 rows in set (0.01 sec)": what a database's terminal says below a table.
bool counts_rows(std::string_view line) {
  line = trim(line);
  if (line.starts_with('(')) line.remove_prefix(1);
  const std::size_t digits = line.find_first_not_of("0123456789");
  if (digits == 0 || digits == std::string_view::npos) return false;
  const std::string rest = to_lower(line.substr(digits));
  return rest == " rows" || rest == " rows)" || rest == " row)" || rest == " row" ||
         rest.starts_with(" rows in set") || rest.starts_with(" row in set");
}

}  // namespace

std::string folded_line(std::string_view line) {
  std::string out;
  std::size_t letters = 0;
  for (const char c : line) {
    if (is_between(c)) continue;
    if (is_digit(c)) {
      if (out.empty() || out.back() != '#') out += '#';
      continue;
    }
    letters += is_letter(c) ? 1U : 0U;
    out += c;
  }
  return letters >= 3 ? out : std::string();
}

bool is_foot_line(std::string_view line) {
  if (is_drawn(line) || counts_rows(line)) return true;
  std::size_t at = 0;
  while (at < line.size() && !is_letter(line[at])) {
    if (is_digit(line[at])) return false;
    ++at;
  }
  std::size_t end = at;
  while (end < line.size() && is_letter(line[end])) ++end;
  const std::string word = to_lower(line.substr(at, end - at));
  return std::find(std::begin(foot_words), std::end(foot_words), word) != std::end(foot_words);
}

bool is_remark(std::string_view line) {
  while (!line.empty() && is_between(line.front())) line.remove_prefix(1);
  std::size_t end = 0;
  while (end < line.size() && is_letter(line[end])) ++end;
  const std::string_view word = line.substr(0, end);
  const bool plain = !word.empty() && static_cast<unsigned char>(word.front()) < 0x80;
  return plain && month_named(word) == 0 && !is_weekday(word);
}

bool has_number(std::string_view line) {
  bool begins = true;  // of a cell
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (begins && is_digit(c)) return true;
    const bool sign = c == '-' || c == '+' || c == '.';
    if (begins && sign && i + 1 < line.size() && is_digit(line[i + 1])) return true;
    if (c == ',' && i + 1 < line.size() && is_digit(line[i + 1])) return true;
    begins = is_between(c);
  }
  return false;
}

bool holds_stamp(std::string_view line, char delimiter) {
  std::string scratch;
  CellCutter cells(line, delimiter, scratch);
  std::string_view cell;
  while (cells.next(cell)) {
    cell = trim(cell);
    StampFields f;
    if (cell.empty() || !is_digit(cell.front()) || !parse_stamp(cell, f)) continue;
    // "1.5" may be a day and a month, and "1440" a time of day.
    const bool dated = f.parts == 3 && (f.has_time || f.separator != '\0');
    if (dated || (f.has_time && cell.find(':') != cell.npos)) return true;
  }
  return false;
}

}  // namespace cw
