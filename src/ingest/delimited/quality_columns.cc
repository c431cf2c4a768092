#include "ingest/delimited/quality_columns.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "ingest/header.h"

namespace cw {
namespace {

template <std::size_t N>
bool is_one_of(std::string_view cell, const std::array<const char*, N>& words) {
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return equal_ignoring_case(cell, word); });
}

/// Usual words; common practice, no source.
bool is_bad_word(std::string_view cell) {
  constexpr std::array words = {
      "bad",  "uncertain", "invalid",  "questionable", "stale",           "error",   "failed",
      "fail", "suspect",   "not good", "schlecht",     "ung\xC3\xBCltig", "missing", "no data"};
  return is_one_of(cell, words);
}

/// The header without a word for quality at its end; empty where it has none.
std::string before_quality(std::string_view header) {
  constexpr std::array words = {"quality",         "status",         "validity", "valid",
                                "qualit\xC3\xA4t", "qualit\xC3\xA9", "calidad"};
  const std::string low = to_lower(trim(header));
  for (const std::string_view word : words) {
    if (low.size() < word.size() || !low.ends_with(word)) continue;
    std::string rest = low.substr(0, low.size() - word.size());
    while (!rest.empty() && std::string_view(" ._-/").find(rest.back()) != std::string_view::npos) {
      rest.pop_back();
    }
    return rest.empty() ? "*" : rest;
  }
  return {};
}

/// The header of readings as their quality would name it: without unit and without "value".
std::string bare_name(const std::string& header) {
  std::string low = to_lower(split_header(header).name);
  if (low.ends_with("value")) low.resize(low.size() - 5);
  while (!low.empty() && std::string_view(" ._-/").find(low.back()) != std::string_view::npos) {
    low.pop_back();
  }
  return low;
}

/// Words of a machine's state as well as of a reading's: a status "error" of a compressor says
/// nothing of its reading.
bool is_word_of_state(std::string_view cell) {
  constexpr std::array words = {"ok", "error", "failed", "fail", "missing", "suspect"};
  return is_one_of(cell, words);
}

/// Do numbers stand there, and no times?
bool holds_readings(const Layout& layout, std::size_t column) {
  if (names_time(layout.headers[column])) return false;
  std::size_t filled = 0;
  std::size_t numbers = 0;
  for (const std::vector<std::string>& row : layout.rows) {
    if (column >= row.size() || row[column].empty()) continue;
    ++filled;
    numbers += is_number(row[column], layout.dialect) ? 1U : 0U;
  }
  return numbers * 2 > filled;
}

/// What is said of a sensor and not of a machine; common practice, no source.
bool names_sensor_fault(std::string_view cell) {
  constexpr std::array words = {"sensor fault",
                                "sensor error",
                                "sensor failure",
                                "sensor lost",
                                "open circuit",
                                "short circuit",
                                "out of range",
                                "overrange",
                                "underrange",
                                "comm failure",
                                "offline",
                                "f\xC3\xBChlerbruch",
                                "f\xC3\xBChlerfehler",
                                "drahtbruch",
                                "kurzschluss",
                                "d\xC3\xA9"
                                "faut sonde",
                                "fallo de sonda",
                                "\xE6\x96\xAD\xE7\xB7\x9A"};  // 断線
  return is_one_of(cell, words);
}

}  // namespace

bool holds_qualities(const Layout& layout, std::size_t column) {
  std::size_t good = 0;
  const bool status = to_lower(layout.headers[column]).find("status") != std::string::npos;
  for (const std::vector<std::string>& row : layout.rows) {
    if (column >= row.size() || row[column].empty()) continue;
    const bool is_good = is_good_word(row[column]);
    if (status && is_word_of_state(row[column])) return false;
    if (!is_good && !is_bad_word(row[column])) return false;
    good += is_good ? 1U : 0U;
  }
  return good > 0;
}

bool is_good_word(std::string_view cell) { return is_one_of(cell, good_words); }

std::vector<QualityColumn> find_quality_columns(const Layout& layout) {
  std::vector<QualityColumn> out;
  if (!layout.has_header) return out;
  const std::vector<std::string>& headers = layout.headers;
  std::vector<QualityColumn> alone;
  for (std::size_t i = 1; i < headers.size(); ++i) {
    const std::string of = before_quality(without_twin(headers[i]));
    if (of.empty() || !holds_qualities(layout, i)) continue;
    if (of == "*") {
      alone.push_back({i, i - 1});
      continue;
    }
    for (std::size_t k = i; k-- > 0;) {
      if (bare_name(std::string(without_twin(headers[k]))) != of) continue;
      out.push_back({i, k});
      break;
    }
  }
  // One "Status" at the end of a row says something of the whole row; one in front of its value
  // has a time or a text in front of itself.
  const bool behind = std::all_of(alone.begin(), alone.end(), [&](const QualityColumn& q) {
    return holds_readings(layout, q.of);
  });
  const bool of_row = alone.size() == 1 && headers.size() > 3;
  if (behind && !of_row) out.insert(out.end(), alone.begin(), alone.end());
  const std::vector<QualityColumn> all = out;
  std::erase_if(out, [&](const QualityColumn& q) {
    return std::count_if(all.begin(), all.end(),
                         [&](const QualityColumn& other) { return other.of == q.of; }) > 1;
  });
  return out;
}

std::vector<std::size_t> quality_columns_beside(const Layout& layout,
                                                const std::vector<QualityColumn>& applied) {
  std::vector<std::size_t> out;
  if (!layout.has_header) return out;
  for (std::size_t i = 0; i < layout.headers.size(); ++i) {
    const bool used = std::any_of(applied.begin(), applied.end(),
                                  [&](const QualityColumn& q) { return q.column == i; });
    if (!used && !before_quality(without_twin(layout.headers[i])).empty()) out.push_back(i);
  }
  return out;
}

bool warns_of_reading(std::string_view cell) {
  return (is_bad_word(cell) && !is_word_of_state(cell)) || names_sensor_fault(cell);
}

std::string marks_not_applied(const std::string& header) {
  return "Column \"" + header +
         "\" has words such as \"bad\", and of which readings is not certain: they are not "
         "applied.";
}

}  // namespace cw
