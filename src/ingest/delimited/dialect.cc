#include "ingest/delimited/dialect.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "base/text.h"
#include "ingest/clock/span_text.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/decimal.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

/// Swiss thousands as newer systems write them: 2’100.5
constexpr std::string_view apostrophe = "\xE2\x80\x99";

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Lines that are plainly data or header: the sample without the first lines, where titles stand.
std::vector<std::string_view> body_of(const LineSample& sample) {
  std::vector<std::string_view> body;
  const std::size_t skip = std::min<std::size_t>(sample.lines.size() / 4, 40);
  for (std::size_t i = skip; i < sample.lines.size(); ++i) body.push_back(sample.lines[i]);
  body.insert(body.end(), sample.further.begin(), sample.further.end());
  return body;
}

/// What switches say in several languages: such cells are data as numbers are.
bool is_state_word(std::string_view cell) {
  constexpr std::array words = {
      "on",     "off",          "true",      "false", "yes",    "no",     "open",      "closed",
      "ein",    "aus",          "ja",        "nein",  "auf",    "zu",     "oui",       "non",
      "marche", "arr\xC3\xAAt", "s\xC3\xAD", "si",    "acceso", "spento", "encendido", "apagado"};
  return cell.size() < 12 && std::any_of(words.begin(), words.end(), [&](const char* word) {
           return equal_ignoring_case(cell, word);
         });
}

/// A number with either decimal sign, or a time stamp, or nothing.
bool looks_like_data(std::string_view cell) {
  cell = trim(cell);
  if (cell.empty()) return true;
  if (is_state_word(cell)) return true;
  if (!is_digit(cell.back()) && !is_digit(cell.front())) return false;
  for (const char thousands : {' ', '\''}) {
    if (is_number(cell, {';', ',', thousands}) || is_number(cell, {';', '.', thousands}))
      return true;
  }
  if (is_number(cell, {',', '.', '\0'}) || is_number(cell, {';', ',', '\0'}) ||
      is_number(cell, {';', ',', '.'}) || is_number(cell, {';', '.', ','})) {
    return true;
  }
  StampFields fields;
  return parse_stamp(cell, fields) || split_span(cell).has_value();
}

struct Score {
  double total = 0.0;
  double equal_share = 0.0;
  double data_share = 0.0;
  std::size_t cells = 0;
};

Score score_of(const std::vector<std::string_view>& body, char delimiter) {
  std::map<std::size_t, std::size_t> counts;
  std::size_t data = 0;
  std::size_t filled = 0;
  std::string scratch;
  for (const std::string_view line : body) {
    std::size_t cells = 0;
    CellCutter cutter(line, delimiter, scratch);
    std::string_view cell;
    while (cutter.next(cell)) {
      ++cells;
      if (cells > 60 || trim(cell).empty()) continue;
      ++filled;
      data += looks_like_data(cell) ? 1U : 0U;
    }
    ++counts[cells];
  }
  Score out;
  std::size_t most = 0;
  for (const auto& [cells, times] : counts) {
    if (times >= most) {
      most = times;
      out.cells = cells;
    }
  }
  if (body.empty() || out.cells < 2) return out;
  out.equal_share = static_cast<double>(most) / static_cast<double>(body.size());
  out.data_share = filled == 0 ? 0.0 : static_cast<double>(data) / static_cast<double>(filled);
  const double width = std::log2(static_cast<double>(std::min<std::size_t>(out.cells, 64)));
  out.total = (0.2 + 0.8 * out.equal_share) * (0.3 + 0.7 * out.data_share) * (1.0 + 0.05 * width);
  // Blanks stand inside time stamps and texts: they separate only where nothing else does better.
  if (delimiter == ' ') out.total *= 0.8;
  if (delimiter == '\v') out.total *= 0.85;
  return out;
}

std::string percent(double share) { return number_text(100.0 * share, 3) + " %"; }

/// How often a sign was seen with exactly three digits behind it, and otherwise.
struct SignUse {
  std::size_t grouping = 0;      ///< "1,234": could separate thousands
  std::size_t decimal = 0;       ///< "1,5" "0,125": can only be a decimal sign
  std::size_t repeated = 0;      ///< "1,234,567": can only separate thousands
  std::size_t before_other = 0;  ///< "1,234.5": the other sign follows
};

void look_at(std::string_view cell, char sign, char other, SignUse& use) {
  const std::size_t first = cell.find(sign);
  if (first == std::string_view::npos) return;
  for (const char c : cell) {
    const bool plain =
        is_digit(c) || c == sign || c == other || c == '-' || c == '+' || c == 'e' || c == 'E';
    if (!plain) return;
  }
  const std::size_t last = cell.rfind(sign);
  if (last != first) {
    use.repeated += is_number(cell, {'\0', other, sign}) ? 1U : 0U;
    return;
  }
  if (cell.find(other, first) != std::string_view::npos) {
    ++use.before_other;
    return;
  }
  std::size_t behind = 0;
  while (first + 1 + behind < cell.size() && is_digit(cell[first + 1 + behind])) ++behind;
  const std::string_view front = cell.substr(0, first);
  const bool zero = front.empty() || front == "0" || front == "-0" || front == "-";
  const std::size_t digits =
      static_cast<std::size_t>(std::count_if(front.begin(), front.end(), is_digit));
  const bool whole = first + 1 + behind == cell.size();
  ++(behind == 3 && !zero && digits <= 3 && whole ? use.grouping : use.decimal);
}

bool has_blank(std::string_view cell) {
  return cell.find(' ') != cell.npos || cell.find("\xC2\xA0") != cell.npos ||
         cell.find("\xE2\x80\xAF") != cell.npos;
}

/// A number without the blanks between its thousands.
std::string without_blanks(std::string_view cell) {
  std::string out;
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (cell.substr(i).starts_with("\xC2\xA0")) {
      ++i;
    } else if (cell.substr(i).starts_with("\xE2\x80\xAF")) {
      i += 2;
    } else if (cell[i] != ' ') {
      out += cell[i];
    }
  }
  return out;
}

/// Of one column: numbers below a thousand without any sign, and others with a sign before three
/// digits.
struct ColumnSigns {
  bool small_whole = false;
  bool comma_group = false;
  bool dot_group = false;
};

struct SignCounts {
  SignUse comma;
  SignUse dot;
  std::vector<ColumnSigns> columns;
  std::size_t apostrophes = 0;
  std::size_t blanks = 0;
};

/// Looks at one cell that ends with a digit; signs between thousands that can be no decimal sign
/// are counted and left out.
void count_signs_in(std::string_view cell, std::size_t column, char delimiter, SignCounts& out) {
  std::string joined;
  if (has_blank(cell) &&
      (is_number(cell, {delimiter, ',', ' '}) || is_number(cell, {delimiter, '.', ' '}))) {
    ++out.blanks;
    joined = without_blanks(cell);
    cell = joined;
  }
  const bool typographic = cell.find(apostrophe) != cell.npos;
  if ((typographic || cell.find('\'') != cell.npos) &&
      (is_number(cell, {delimiter, '.', '\''}) || is_number(cell, {delimiter, ',', '\''}))) {
    ++out.apostrophes;
    joined = std::string(cell);
    std::erase(joined, '\'');
    for (std::size_t at = 0; (at = joined.find(apostrophe)) != joined.npos;) {
      joined.erase(at, apostrophe.size());
    }
    cell = joined;
  }
  const SignUse before_comma = out.comma;
  const SignUse before_dot = out.dot;
  look_at(cell, ',', '.', out.comma);
  look_at(cell, '.', ',', out.dot);
  if (out.columns.size() <= column) out.columns.resize(column + 1);
  ColumnSigns& signs = out.columns[column];
  signs.small_whole =
      signs.small_whole || (cell.size() <= 3 && is_number(cell, {'\0', '\0', '\0'}));
  signs.comma_group = signs.comma_group || out.comma.grouping > before_comma.grouping;
  signs.dot_group = signs.dot_group || out.dot.grouping > before_dot.grouping;
}

/// The number of "5,2 °C" or "47 %"; empty where the cell does not begin with one.
std::string_view without_unit(std::string_view cell) {
  constexpr std::string_view minus = "\xE2\x88\x92";  // the typographic one
  if (cell.starts_with(minus)) cell.remove_prefix(minus.size());
  const std::size_t end = cell.find_last_of("0123456789");
  if (end == std::string_view::npos || cell.size() - end > 12) return {};
  const bool begins = is_digit(cell.front()) || cell.front() == '-' || cell.front() == '+' ||
                      cell.front() == '.' || cell.front() == ',';
  return begins || end + 1 == cell.size() ? cell.substr(0, end + 1) : std::string_view{};
}

SignCounts count_signs(const LineSample& sample, char delimiter) {
  constexpr std::size_t most_cells = 400;
  SignCounts out;
  std::string scratch;
  for (const std::string_view line : body_of(sample)) {
    CellCutter cutter(line, delimiter, scratch);
    std::string_view cell;
    for (std::size_t i = 0; i < most_cells && cutter.next(cell); ++i) {
      cell = without_unit(trim(cell));
      if (!cell.empty()) count_signs_in(cell, i, delimiter, out);
    }
  }
  return out;
}

NumberStyle style_of(char decimal, char thousands, double confidence, std::string reason) {
  NumberStyle out;
  out.decimal = decimal;
  out.thousands = thousands;
  out.finding = {std::string("decimal ") + (decimal == ',' ? "comma" : "point"), confidence,
                 std::move(reason)};
  if (thousands != '\0') {
    out.finding.what +=
        std::string(", thousands by ") + (thousands == ' ' ? "blank" : std::string(1, thousands));
  }
  return out;
}

/// A line that is only drawn: "|---|---|", "=====", "-----  ----".
bool is_rule(std::string_view line) {
  return std::count(line.begin(), line.end(), '-') + std::count(line.begin(), line.end(), '=') >=
             3 &&
         line.find_first_not_of("-=|+: \t") == std::string_view::npos;
}

}  // namespace

std::string delimiter_name(char delimiter) {
  switch (delimiter) {
    case ',':
      return "comma";
    case ';':
      return "semicolon";
    case '\t':
      return "tab";
    case '|':
      return "bar";
    case ' ':
      return "blanks";
    case '\v':
      return "two or more blanks";
    case '\x1f':
      return "cells of the file";
    default:
      return std::string("\"") + delimiter + "\"";
  }
}

LineSample sample_lines(std::string_view text, std::size_t lines) {
  LineSample out;
  LineCutter cutter(text);
  std::string_view line;
  constexpr std::size_t longest = 4U << 20U;
  while (out.lines.size() < lines && cutter.position() < longest && cutter.next(line)) {
    for (int more = 0; more < 20; ++more) {
      if (std::count(line.begin(), line.end(), '"') % 2 == 0) break;
      std::string_view wide = line;
      LineCutter ahead = cutter;
      if (!ahead.extend(wide)) break;
      // A lone quote (an inch sign) does not swallow the file.
      if (std::count(wide.begin(), wide.end(), '"') % 2 != 0 && more > 8) break;
      line = wide;
      cutter = ahead;
    }
    if (trim(line).empty() || is_rule(line)) continue;
    out.lines.push_back(line);
    out.number.push_back(cutter.number());
  }
  const std::size_t from = cutter.position();
  for (std::size_t k = 0; k < lines && from < text.size(); ++k) {
    const std::size_t at = from + (text.size() - from) / lines * k;
    const std::size_t begin = text.find(cutter.end_of_line(), at);
    if (begin == std::string_view::npos) break;
    const std::string_view rest = text.substr(begin + 1, 1U << 16U);
    LineCutter one(rest, cutter.end_of_line());
    if (one.next(line) && !trim(line).empty() && one.position() < rest.size()) {
      if (!out.further.empty() && out.further.back().data() == line.data()) continue;
      out.further.push_back(line);
    }
  }
  return out;
}

LineSample sample_behind(std::string_view text, std::size_t skipped) {
  // Of wide tables fewer lines say as much.
  const std::size_t first_line = text.substr(skipped, 1U << 16U).find('\n');
  const bool wide = first_line != std::string_view::npos && first_line > 3000;
  LineSample sample = sample_lines(text.substr(skipped), wide ? 60 : 200);
  if (skipped > 0) {
    for (std::size_t& number : sample.number) ++number;
  }
  return sample;
}

DelimiterGuess guess_delimiter(const LineSample& sample) {
  const std::vector<std::string_view> body = body_of(sample);
  DelimiterGuess out;
  Score best;
  double second = 0.0;
  for (const char delimiter : {',', ';', '\t', '|', '\x1f', '\v', ' '}) {
    const Score score = score_of(body, delimiter);
    if (score.total > best.total + 1e-9) {
      second = best.total;
      best = score;
      out.delimiter = delimiter;
    } else {
      second = std::max(second, score.total);
    }
  }
  if (best.cells < 2) {
    out.finding = {"one column", 0.5, "no delimiter cuts the lines into equally many cells"};
    return out;
  }
  out.finding.what = delimiter_name(out.delimiter);
  out.finding.confidence =
      std::clamp(best.equal_share * (0.6 + 0.4 * (best.total - second) / best.total), 0.3, 0.99);
  out.finding.reason = percent(best.equal_share) + " of the lines have " +
                       std::to_string(best.cells) + " cells, " + percent(best.data_share) +
                       " of the cells are numbers or times";
  return out;
}

NumberStyle guess_number_style(const LineSample& sample, char delimiter) {
  const SignCounts seen = count_signs(sample, delimiter);
  const SignUse& comma = seen.comma;
  const SignUse& dot = seen.dot;
  const char spaced = seen.apostrophes > 0 ? '\'' : seen.blanks > 0 ? ' ' : '\0';
  // A column of "987" and "1.005": who writes three decimals writes them everywhere.
  const auto small_without = [&](bool ColumnSigns::*group) {
    return std::any_of(seen.columns.begin(), seen.columns.end(), [&](const ColumnSigns& column) {
      return column.small_whole && column.*group;
    });
  };
  if (comma.decimal > 0 && comma.decimal >= dot.decimal) {
    // Beside decimal commas a point before three digits, always, stands between thousands.
    const bool sure = dot.before_other + dot.repeated > 0;
    const bool grouped = sure || (dot.grouping > 0 && dot.decimal == 0);
    NumberStyle out = style_of(
        ',', grouped ? '.' : spaced, 0.98,
        std::to_string(comma.decimal) + " cells have a comma that can only be a decimal sign");
    if (grouped && !sure && !small_without(&ColumnSigns::dot_group)) {
      out.assumption =
          "Numbers as \"1.234\" stand beside decimal commas: the point is taken as a sign between "
          "thousands (1234). If it is a decimal point, as of another program's column, the values "
          "are a thousand times too large; if it is right, say so in a map, [file] thousands = "
          "\".\".";
    }
    return out;
  }
  if (comma.before_other + comma.repeated > 0) {
    return style_of('.', ',', 0.95, "commas stand in groups of three before a decimal point");
  }
  if (comma.grouping > 0 && dot.decimal > 0) {
    return style_of('.', ',', 0.9, "commas stand before groups of three, points are decimal signs");
  }
  const char* const thousands = "numbers from a thousand on have the sign, those below none";
  if (dot.decimal == 0 && comma.grouping == 0 && small_without(&ColumnSigns::dot_group)) {
    return style_of(',', '.', 0.75, thousands);
  }
  if (dot.grouping == 0 && delimiter != ',' && small_without(&ColumnSigns::comma_group)) {
    return style_of('.', ',', 0.75, thousands);
  }
  if (comma.grouping > 0 && delimiter != ',') {
    return style_of(',', spaced, delimiter == ';' ? 0.8 : 0.55,
                    "every comma has three digits behind it: a decimal comma, or thousands");
  }
  const bool points = dot.decimal + dot.grouping > 0;
  return style_of('.', spaced, points ? 0.98 : 0.9,
                  points ? "cells have a decimal point" : "no decimal sign was seen");
}

bool is_number(std::string_view cell, const Dialect& dialect) noexcept {
  double ignored = 0.0;
  return read_dialect_number(cell, dialect, ignored);
}

bool read_dialect_number(std::string_view cell, const Dialect& dialect, double& value) noexcept {
  cell = trim(cell);
  if (!cell.empty() && cell.back() == '%') cell = trim(cell.substr(0, cell.size() - 1));
  if (cell.empty() || cell.size() > 60) return false;
  if (dialect.minus_behind && cell.size() > 1 && cell.back() == '-') {
    Dialect without = dialect;
    without.minus_behind = false;
    if (!is_digit(cell.front()) || !is_digit(cell[cell.size() - 2])) return false;
    if (!read_dialect_number(cell.substr(0, cell.size() - 1), without, value)) return false;
    value = -value;
    return true;
  }
  const unsigned char front = static_cast<unsigned char>(cell.front());
  const bool begins = is_digit(cell.front()) || front == '-' || front == '+' || front == '.' ||
                      front == ',' || front == 0xE2;
  if (!begins) return false;
  std::array<char, 64> buffer{};
  std::size_t used = 0;
  std::size_t group = 0;  // digits since the last thousands sign
  bool grouped = false;   // a thousands sign was seen
  bool fraction = false;
  const auto group_fits = [&] { return !grouped || group == 3; };
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const char c = cell[i];
    std::size_t sign = 0;  // bytes of a thousands sign here
    if (dialect.thousands == ' ') {
      if (c == ' ') sign = 1;
      if (cell.substr(i).starts_with("\xC2\xA0")) sign = 2;
      if (cell.substr(i).starts_with("\xE2\x80\xAF")) sign = 3;
    } else if (dialect.thousands != '\0' && c == dialect.thousands) {
      sign = 1;
    } else if (dialect.thousands == '\'' && cell.substr(i).starts_with(apostrophe)) {
      sign = apostrophe.size();
    }
    if (sign > 0) {
      if (fraction || group == 0 || group > 3 || !group_fits()) return false;
      grouped = true;
      group = 0;
      i += sign - 1;
      continue;
    }
    if (cell.substr(i).starts_with("\xE2\x88\x92")) {  // the typographic minus
      buffer[used++] = '-';
      i += 2;
      continue;
    }
    if (c == dialect.decimal && !fraction) {
      if (!group_fits()) return false;
      fraction = true;
      buffer[used++] = '.';
      continue;
    }
    if (is_digit(c) && !fraction) ++group;
    if (c == ',' || (c == '.' && dialect.decimal != '.')) return false;
    if (c == 'e' || c == 'E') fraction = true;
    buffer[used++] = c;
  }
  if (!fraction && !group_fits()) return false;
  return read_decimal({buffer.data(), used}, value);
}

}  // namespace cw
