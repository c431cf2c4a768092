#include "ingest/clock/title_clock.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "ingest/clock/clock_plan.h"
#include "ingest/clock/stamp_text.h"
#include "ingest/decimal.h"

namespace cw {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
}

// Labels in lower case; common words, no source.
constexpr std::array<std::string_view, 24> interval_labels = {"intervall",
                                                              "intervalle",
                                                              "intervallo",
                                                              "interval",
                                                              "intervalo",
                                                              "sample rate",
                                                              "sampling rate",
                                                              "sample period",
                                                              "log rate",
                                                              "logging rate",
                                                              "logging period",
                                                              "recording rate",
                                                              "scan rate",
                                                              "time step",
                                                              "zeitschritt",
                                                              "abtastrate",
                                                              "messtakt",
                                                              "cadence",
                                                              "periodo",
                                                              "\xE9\x96\x93\xE9\x9A\x94",  // 間隔
                                                              "\xE5\x91\xA8\xE6\x9C\x9F",  // 周期
                                                              "\xE9\x97\xB4\xE9\x9A\x94",  // 间隔
                                                              "\xEC\xA3\xBC\xEA\xB8\xB0",  // 주기
                                                              "\xEA\xB0\x84\xEA\xB2\xA9"};  // 간격
constexpr std::array<std::string_view, 13> start_labels = {"start",
                                                           "begin",
                                                           "d\xC3\xA9"
                                                           "but",
                                                           "debut",
                                                           "inicio",
                                                           "inizio",
                                                           "first sample",
                                                           "first reading",
                                                           "erste messung",
                                                           "\xE9\x96\x8B\xE5\xA7\x8B",  // 開始
                                                           "\xE5\xBC\x80\xE5\xA7\x8B",  // 开始
                                                           "\xEC\x8B\x9C\xEC\x9E\x91",  // 시작
                                                           "von"};
constexpr std::array<std::string_view, 11> end_labels = {"end",
                                                         "stop",
                                                         "ende",
                                                         "fin",
                                                         "fine",
                                                         "last sample",
                                                         "last reading",
                                                         "letzte messung",
                                                         "\xE7\xB5\x82\xE4\xBA\x86",   // 終了
                                                         "\xE7\xBB\x93\xE6\x9D\x9F",   // 结束
                                                         "\xEC\xA2\x85\xEB\xA3\x8C"};  // 종료

/// What stands behind a label: the text between them and what begins with the first digit.
struct Labelled {
  std::string_view between;
  std::string_view value;
};

std::optional<Labelled> behind(std::string_view title, std::string_view low,
                               std::span<const std::string_view> labels) {
  constexpr std::size_t furthest = 28;
  for (const std::string_view label : labels) {
    const std::size_t at = low.find(label);
    if (at == std::string_view::npos) continue;
    const std::size_t from = at + label.size();
    const std::size_t digit = low.find_first_of("0123456789", from);
    if (digit == std::string_view::npos || digit - from > furthest) continue;
    const std::size_t end = std::min(title.find_first_of(";|\x1f\"\t", digit), title.size());
    return Labelled{title.substr(from, digit - from), title.substr(digit, end - digit)};
  }
  return std::nullopt;
}

/// Seconds in the unit that a word begins with; 0 for none.
double seconds_in(std::string_view word) {
  struct Row {
    std::string_view word;
    double seconds;
  };
  constexpr std::array rows = {Row{"s", 1},
                               Row{"min", 60},
                               Row{"mn", 60},
                               Row{"m", 60},
                               Row{"h", 3600},
                               Row{"std", 3600},
                               Row{"stunde", 3600},
                               Row{"ora", 3600},
                               Row{"ore", 3600},
                               Row{"\xE7\xA7\x92", 1},                  // 秒
                               Row{"\xE5\x88\x86", 60},                 // 分
                               Row{"\xE6\x99\x82\xE9\x96\x93", 3600},   // 時間
                               Row{"\xE5\xB0\x8F\xE6\x97\xB6", 3600},   // 小时
                               Row{"\xEC\xB4\x88", 1},                  // 초
                               Row{"\xEB\xB6\x84", 60},                 // 분
                               Row{"\xEC\x8B\x9C\xEA\xB0\x84", 3600}};  // 시간
  const std::string low = to_lower(word);
  if (low == "ms" || low.starts_with("milli")) return 1e-3;
  for (const std::string_view start : {"sec", "sek", "seg"}) {
    if (low.starts_with(start)) return 1.0;
  }
  for (const std::string_view start : {"hour", "heure", "hora", "hr", "stunde"}) {
    if (low.starts_with(start)) return 3600.0;
  }
  if (low.starts_with("minu")) return 60.0;
  const auto found =
      std::find_if(rows.begin(), rows.end(), [&](const Row& row) { return row.word == low; });
  return found == rows.end() ? 0.0 : found->seconds;
}

std::string_view first_word(std::string_view text) {
  std::size_t from = 0;
  while (from < text.size() && !is_letter(text[from])) ++from;
  std::size_t to = from;
  while (to < text.size() && is_letter(text[to])) ++to;
  return text.substr(from, to - from);
}

/// "5 min", "00:05:00", "0,5 s", or 300 where the label says the unit in brackets.
std::optional<double> duration_of(const Labelled& found) {
  const std::string_view text = trim(found.value);
  if (std::count(text.begin(), text.end(), ':') == 2) {
    const auto ms = read_duration_ms(text.substr(0, text.find(' ')));
    return ms && *ms > 0 ? std::optional(static_cast<double>(*ms) * 1e-3) : std::nullopt;
  }
  std::size_t end = 0;
  while (end < text.size() && (is_digit(text[end]) || text[end] == '.' || text[end] == ',')) ++end;
  std::string digits(text.substr(0, end));
  std::replace(digits.begin(), digits.end(), ',', '.');
  double number = 0.0;
  if (!read_decimal(digits, number) || !(number > 0.0)) return std::nullopt;
  const std::string_view rest = trim(text.substr(end));
  // "5 Hz" and "06:05" are no lengths of time.
  if (!rest.empty() && rest.front() == ':') return std::nullopt;
  const std::size_t bracket = found.between.find_first_of("([");
  const std::string_view word = first_word(rest).empty() && bracket != std::string_view::npos
                                    ? first_word(found.between.substr(bracket))
                                    : first_word(rest);
  const double unit = seconds_in(word);
  return unit > 0.0 ? std::optional(number * unit) : std::nullopt;
}

/// The instant, where its date can be read in one way only.
std::optional<Instant> instant_in(std::string_view text) {
  // A zone or another word may follow.
  for (std::string_view part = trim(text); part.size() >= 10;) {
    StampFields f;
    if (parse_stamp(part, f) && f.parts == 3) {
      const DateOrder order = f.digits[0] == 4     ? DateOrder::year_month_day
                              : f.separator == '.' ? DateOrder::day_month_year
                              : f.part[0] > 12     ? DateOrder::day_month_year
                              : f.part[1] > 12     ? DateOrder::month_day_year
                                                   : DateOrder::none;
      return wall_time(f, f.named_month == 1 ? DateOrder::day_month_year : order, 1970, 0);
    }
    const std::size_t cut = part.find_last_of(" ,");
    part = cut == std::string_view::npos ? std::string_view{} : trim(part.substr(0, cut));
  }
  return std::nullopt;
}

TitleClock read_titles(std::span<const std::string> titles) {
  TitleClock out;
  for (const std::string& title : titles) {
    const std::string low = to_lower(title);
    if (const auto found = behind(title, low, interval_labels); found && out.interval_s == 0.0) {
      if (const auto interval = duration_of(*found)) {
        out.interval_s = *interval;
        out.interval_title = title;
      }
    }
    if (const auto found = behind(title, low, start_labels); found && out.start_title.empty()) {
      StampFields f;
      out.start = instant_in(found->value);
      if (out.start || parse_stamp(found->value, f)) out.start_title = title;
    }
    // The time of the start may stand in a title of its own.
    if (const auto found = behind(title, low, start_labels);
        found && out.start && out.start->ms % 86400000 == 0 && title != out.start_title) {
      StampFields f;
      if (parse_stamp(trim(found->value), f) && f.parts == 0 && f.has_time) {
        const auto of_day = wall_time(f, DateOrder::none, 1970, 0);
        if (of_day) out.start->ms += of_day->ms % 86400000;
      }
    }
    if (const auto found = behind(title, low, end_labels); found && !out.end) {
      out.end = instant_in(found->value);
    }
  }
  return out;
}

}  // namespace

std::optional<TitleClock> clock_in_titles(std::span<const std::string> titles) {
  TitleClock out = read_titles(titles);
  if (out.interval_s <= 0.0) return std::nullopt;
  return out;
}

std::optional<TitleClock> start_in_titles(std::span<const std::string> titles) {
  TitleClock out = read_titles(titles);
  if (!out.start) return std::nullopt;
  return out;
}

std::string toml_of(const TitleClock& clock) {
  std::string out = "form = \"rows\"\ninterval = \"" + number_text(clock.interval_s, 9) + " s\"";
  if (clock.start) out += "\nstart = \"" + format_instant(*clock.start, {}) + "\"";
  return out;
}

}  // namespace cw
