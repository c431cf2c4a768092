#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// How a delimited text separates cells and writes numbers.
struct Dialect {
  /// ',' ';' '\t' '|' or another single character; ' ' stands for a run of blanks and tabs, '\v'
  /// for a tab or a run of two or more blanks (so that "2026-01-14 06:00" stays one cell).
  char delimiter = ',';
  char decimal = '.';
  char thousands = '\0';      ///< "." "," "'" or ' ' (any kind of blank); NUL: none
  bool minus_behind = false;  ///< negative numbers are written "3,2-"

  bool by_blanks() const { return delimiter == ' ' || delimiter == '\v'; }
  friend bool operator==(const Dialect&, const Dialect&) = default;
};

/// One decision of the sniffing, for people: what, how sure, why.
struct Observation {
  std::string what;
  double confidence = 1.0;  ///< 0..1; 1: stated by the file or the map
  std::string reason;
};

/// "comma", "semicolon", "tab", "bar", "blanks", "two or more blanks".
std::string delimiter_name(char delimiter);

/// What the sniffing looks at: some hundred lines from the top of a text and some from all over it.
struct LineSample {
  std::vector<std::string_view> lines;    ///< from the top, in order, blank lines left out
  std::vector<std::size_t> number;        ///< their line numbers, 1-based
  std::vector<std::string_view> further;  ///< from evenly spaced places behind them
};

/// @param lines  at most this many from the top (and as many from the rest of the text)
LineSample sample_lines(std::string_view text, std::size_t lines = 300);
/// As many lines behind so many bytes, which hold the first line, as say enough of a table.
LineSample sample_behind(std::string_view text, std::size_t skipped);

/// Stage 1: the delimiter of the sampled lines. The one whose cells come out equally many in each
/// line and hold numbers and time stamps.
struct DelimiterGuess {
  char delimiter = ',';
  Observation finding;
};
DelimiterGuess guess_delimiter(const LineSample& sample);

/// Stage 2: the decimal sign and the sign between thousands, given the delimiter.
struct NumberStyle {
  char decimal = '.';
  char thousands = '\0';
  Observation finding;
  std::string assumption;  ///< a sentence: what was taken as read; empty: nothing
};
NumberStyle guess_number_style(const LineSample& sample, char delimiter);

/// Is the cell one number in this dialect (with thousands signs at the right places)?
bool is_number(std::string_view cell, const Dialect& dialect) noexcept;

/// Reads a number of this dialect; a percent sign and blanks around it are no part of it.
bool read_dialect_number(std::string_view cell, const Dialect& dialect, double& value) noexcept;

}  // namespace cw
