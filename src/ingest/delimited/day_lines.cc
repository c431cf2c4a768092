#include "ingest/delimited/day_lines.h"

#include <algorithm>
#include <array>
#include <set>

#include "base/text.h"
#include "ingest/clock/calendar_words.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/lines.h"

namespace cw {
namespace {

constexpr std::string_view delimiters = ",;\t|";

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Does a word beside a date say that it is the day of what follows? "Printed" does not.
bool names_a_day(std::string_view word) {
  constexpr std::array words = {"date",
                                "day",
                                "datum",
                                "tag",
                                "jour",
                                "fecha",
                                "data",
                                "dia",
                                "dato",
                                "dag",
                                "giorno",
                                "d\xC3\xAD"
                                "a",
                                "\xE6\x97\xA5\xE4\xBB\x98",   // 日付
                                "\xE6\x97\xA5\xE6\x9C\x9F"};  // 日期
  return is_weekday(word) || std::any_of(words.begin(), words.end(), [&](const char* known) {
           return equal_ignoring_case(word, known);
         });
}

/// The date of a line that holds nothing else, a word for it excepted; empty for any other line.
std::string date_alone(std::string_view line) {
  std::string text(line);
  // Delimiters at the end, as spreadsheets write them, and between the word and the date.
  std::replace_if(
      text.begin(), text.end(),
      [](char c) { return c == ';' || c == '\t' || c == '|' || c == '"'; }, ' ');
  while (!text.empty() && (text.back() == ',' || text.back() == ' ')) text.pop_back();
  std::string_view rest = trim(text);
  while (!rest.empty() && !is_digit(rest.front())) {
    std::size_t end = 0;
    while (end < rest.size() &&
           std::string_view(" :,.=").find(rest[end]) == std::string_view::npos) {
      ++end;
    }
    if (!names_a_day(rest.substr(0, end))) return {};
    end = std::min(rest.find_first_not_of(" :,.=", end), rest.size());
    rest.remove_prefix(end);
  }
  StampFields f;
  if (rest.size() < 6 || !parse_stamp(rest, f) || f.parts != 3 || f.has_time || f.has_offset) {
    return {};
  }
  return std::string(rest);
}

/// A row of the table: where its time ends and what that is.
struct TimedRow {
  char delimiter = '\0';
  int second_of_day = 0;
};

std::optional<TimedRow> timed_row(std::string_view line) {
  std::size_t quote = 0;
  if (!line.empty() && line.front() == '"') quote = 1;
  const std::size_t end =
      quote == 1 ? line.find('"', 1) : std::min(line.find_first_of(delimiters), line.size());
  if (end == std::string_view::npos || end + quote >= line.size()) return std::nullopt;
  TimedRow out;
  out.delimiter = line[end + quote];
  if (delimiters.find(out.delimiter) == std::string_view::npos) return std::nullopt;
  const std::string_view cell = trim(line.substr(quote, end - quote));
  StampFields f;
  if (cell.size() < 4 || !is_digit(cell.front()) || !parse_stamp(cell, f) || f.parts != 0 ||
      !f.has_time || f.has_offset) {
    return std::nullopt;
  }
  out.second_of_day = (f.hour * 60 + f.minute) * 60 + f.second;
  return out;
}

/// Has the text's head a date above its first row, and that row a time alone? Most texts have not,
/// and are not walked.
std::optional<TimedRow> first_row(std::string_view text) {
  LineCutter lines(text.substr(0, 1U << 16U));
  std::string_view line;
  bool dated = false;
  for (int k = 0; k < 100 && lines.next(line); ++k) {
    dated = dated || !date_alone(line).empty();
    if (const auto row = timed_row(line)) return dated ? row : std::nullopt;
  }
  return std::nullopt;
}

/// What a line that is no row is, where it has as many cells as the rows: the header, or a line of
/// units below it.
enum class Before { other, header };

/// Writes the text with the column in front.
class Writer {
 public:
  Writer(char delimiter, std::size_t cells) : delimiter_(delimiter), cells_(cells) {}

  /// @returns false where the text is not one of these
  bool take(std::string_view line, std::size_t number) {
    if (std::string date = date_alone(line); !date.empty()) return take_date(line, number, date);
    if (const auto row = timed_row(line); row && row->delimiter == delimiter_) {
      if (!take_time(row->second_of_day)) return false;
      out_.text += pending_ + delimiter_;
      pending_.clear();
      before_ = Before::other;
    } else if (cells_of(line, delimiter_).size() == cells_ && !trim(line).empty()) {
      if (before_ == Before::other) out_.text += "Date";
      out_.text += delimiter_;
      before_ = Before::header;
    } else {
      before_ = Before::other;
    }
    out_.text.append(line);
    out_.text += '\n';
    return true;
  }

  std::optional<DayLines> finish() {
    if (out_.dates.size() < 2) return std::nullopt;
    return std::move(out_);
  }

 private:
  bool take_date(std::string_view line, std::size_t number, const std::string& date) {
    StampFields f;
    parse_stamp(date, f);
    // One form, and no day twice: "printed on" comes again on every page.
    if (!out_.dates.empty() && (f.separator != separator_ || f.digits[0] / 3 != year_first_)) {
      return false;
    }
    if (!seen_.insert(date).second) return false;
    separator_ = f.separator;
    year_first_ = f.digits[0] / 3;
    pending_ = date;
    last_.reset();
    out_.dates.push_back({number, std::string(trim(line))});
    out_.text += '\n';
    before_ = Before::other;
    return true;
  }

  bool take_time(int second) {
    if (out_.dates.empty()) return false;
    constexpr int half_a_day = 12 * 3600;
    if (last_ && second < *last_ && *last_ - second < half_a_day) return false;
    last_ = second;
    return true;
  }

  char delimiter_;
  std::size_t cells_;
  DayLines out_;
  std::set<std::string> seen_;
  std::string pending_;  ///< the date for the next row
  std::optional<int> last_;
  Before before_ = Before::other;
  char separator_ = '\0';
  int year_first_ = 0;
};

}  // namespace

std::optional<DayLines> with_dates_in_rows(std::string_view text) {
  const auto row = first_row(text);
  if (!row) return std::nullopt;
  LineCutter lines(text, LineCutter::end_of_line_in(text.substr(0, 1U << 20U)));
  std::string_view line;
  std::size_t cells = 0;
  while (cells == 0 && lines.next(line)) {
    if (timed_row(line)) cells = cells_of(line, row->delimiter).size();
  }
  if (cells < 2) return std::nullopt;
  Writer writer(row->delimiter, cells);
  lines = LineCutter(text, lines.end_of_line());
  while (lines.next(line)) {
    if (!writer.take(line, lines.number())) return std::nullopt;
  }
  return writer.finish();
}

}  // namespace cw
