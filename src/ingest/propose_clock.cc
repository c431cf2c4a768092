#include "ingest/propose_clock.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "base/unit_text.h"
#include "base/zone.h"
#include "ingest/clock/title_clock.h"
#include "series/recording.h"

namespace cw {
namespace {

// --- the repeated hour
// -----------------------------------------------------------------------------

/// One zone of each rule that is in force somewhere with many people; others with the same change
/// at the same wall-clock time stand behind it.
struct ZoneFamily {
  const char* zone;
  const char* also;
};
constexpr std::array families = {
    ZoneFamily{"Europe/Berlin", "all of central Europe"},
    ZoneFamily{"Europe/London", "Ireland and Portugal"},
    ZoneFamily{"Europe/Helsinki", "all of eastern Europe in the EU"},
    ZoneFamily{"America/New_York", ""},
    ZoneFamily{"America/Chicago", ""},
    ZoneFamily{"America/Denver", ""},
    ZoneFamily{"America/Los_Angeles", ""},
    ZoneFamily{"America/Anchorage", ""},
    ZoneFamily{"America/Halifax", ""},
    ZoneFamily{"America/St_Johns", ""},
    ZoneFamily{"America/Havana", ""},
    ZoneFamily{"America/Santiago", ""},
    ZoneFamily{"America/Asuncion", ""},
    ZoneFamily{"Asia/Jerusalem", ""},
    ZoneFamily{"Africa/Cairo", ""},
    ZoneFamily{"Australia/Sydney", "Melbourne and Hobart"},
    ZoneFamily{"Australia/Adelaide", ""},
    ZoneFamily{"Australia/Lord_Howe", ""},
    ZoneFamily{"Pacific/Auckland", ""},
};

std::int64_t usual_step(const std::vector<Instant>& time) {
  std::vector<std::int64_t> steps;
  for (std::size_t i = 1; i < time.size() && steps.size() < 4096; ++i) {
    if (time[i] > time[i - 1]) steps.push_back(time[i].ms - time[i - 1].ms);
  }
  if (steps.empty()) return 0;
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  return *middle;
}

/// Wall-clock times at which the rows go back by an hour (or half an hour): the first stamp of the
/// second pass.
std::vector<Instant> repeated_hours(const SourceTable& table) {
  std::vector<Instant> out;
  const std::int64_t usual = usual_step(table.time);
  if (usual == 0 || usual > 3600000) return out;
  for (std::size_t i = 1; i < table.time.size(); ++i) {
    const std::int64_t back = table.time[i - 1].ms + usual - table.time[i].ms;
    const bool hour = std::abs(back - 3600000) <= usual / 2;
    const bool half = usual <= 900000 && std::abs(back - 1800000) <= usual / 2;
    if ((hour || half) && table.time[i] <= table.time[i - 1]) out.push_back(table.time[i]);
  }
  return out;
}

bool repeats(const char* zone, const std::vector<Instant>& hours) {
  return std::all_of(hours.begin(), hours.end(), [&](Instant wall) {
    const Result<ZoneTimes> times = instants_in_zone(zone, wall);
    return times && times->instants.size() == 2;
  });
}

// --- two clocks
// ------------------------------------------------------------------------------------

/// A signal at even steps, without its slow movements.
struct Even {
  std::vector<float> values;  // [n_step], missing where there was no reading
};

struct Window {
  Instant from;
  std::int64_t step_ms = 0;
  std::size_t steps = 0;
};

Even even_signal(const std::vector<Instant>& time, const std::vector<float>& values,
                 const Window& window) {
  std::vector<double> sum(window.steps, 0.0);
  std::vector<std::uint32_t> count(window.steps, 0);
  auto at = std::lower_bound(time.begin(), time.end(), window.from);
  for (; at != time.end(); ++at) {
    const auto k = static_cast<std::size_t>((at->ms - window.from.ms) / window.step_ms);
    if (k >= window.steps) break;
    const float value = values[static_cast<std::size_t>(at - time.begin())];
    if (is_missing(value)) continue;
    sum[k] += static_cast<double>(value);
    ++count[k];
  }
  // A mean over two hours around each step, from running sums.
  constexpr std::int64_t slow_ms = 7200000;
  const auto half =
      static_cast<std::size_t>(std::max<std::int64_t>(slow_ms / window.step_ms / 2, 5));
  std::vector<double> total(window.steps + 1, 0.0);
  std::vector<std::uint32_t> filled(window.steps + 1, 0);
  for (std::size_t k = 0; k < window.steps; ++k) {
    const double mean = count[k] > 0 ? sum[k] / count[k] : 0.0;
    total[k + 1] = total[k] + mean;
    filled[k + 1] = filled[k] + (count[k] > 0 ? 1U : 0U);
  }
  Even out;
  out.values.assign(window.steps, missing);
  for (std::size_t k = 0; k < window.steps; ++k) {
    if (count[k] == 0) continue;
    const std::size_t from = k > half ? k - half : 0;
    const std::size_t to = std::min(k + half + 1, window.steps);
    const double around = (total[to] - total[from]) / (filled[to] - filled[from]);
    out.values[k] = static_cast<float>(sum[k] / count[k] - around);
  }
  return out;
}

/// Correlation of a(k) with b(k + lag); zero with fewer than `least` common steps.
double correlation_at(const Even& a, const Even& b, std::ptrdiff_t lag, std::size_t least) {
  const auto n = static_cast<std::ptrdiff_t>(a.values.size());
  double ab = 0.0;
  double aa = 0.0;
  double bb = 0.0;
  std::size_t common = 0;
  for (std::ptrdiff_t k = std::max<std::ptrdiff_t>(0, -lag); k < n && k + lag < n; ++k) {
    const auto x = static_cast<double>(a.values[static_cast<std::size_t>(k)]);
    const auto y = static_cast<double>(b.values[static_cast<std::size_t>(k + lag)]);
    if (std::isnan(x) || std::isnan(y)) continue;
    ab += x * y;
    aa += x * x;
    bb += y * y;
    ++common;
  }
  if (common < least || !(aa > 0.0) || !(bb > 0.0)) return 0.0;
  return ab / std::sqrt(aa * bb);
}

constexpr std::int64_t longest_offset_ms = 13 * std::int64_t{3600000};
constexpr std::size_t least_steps = 150;

/// Offsets of up to 13 hours at coarse steps.
std::vector<double> correlations(const Even& a, const Even& b, std::ptrdiff_t most) {
  std::vector<double> out;
  for (std::ptrdiff_t lag = -most; lag <= most; ++lag) {
    out.push_back(correlation_at(a, b, lag, least_steps));
  }
  return out;
}

/// The largest correlation away from the best one's own hill.
double largest_elsewhere(const std::vector<double>& all, std::size_t best) {
  const double level = 0.5 * std::abs(all[best]);
  std::size_t left = best;
  std::size_t right = best;
  while (left > 0 && std::abs(all[left - 1]) > level) --left;
  while (right + 1 < all.size() && std::abs(all[right + 1]) > level) ++right;
  double out = 0.0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (i < left || i > right) out = std::max(out, std::abs(all[i]));
  }
  return out;
}

/// Where the parabola through three neighbouring values has its top, in steps from the middle one.
double top_between(double left, double middle, double right) {
  const double bend = left - 2.0 * middle + right;
  return bend < 0.0 ? std::clamp(0.5 * (left - right) / bend, -0.5, 0.5) : 0.0;
}

std::optional<Window> common_window(const ClockProbe& a, const ClockProbe& b,
                                    std::int64_t longest_ms) {
  if (a.time.size() < least_steps || b.time.size() < least_steps) return std::nullopt;
  Window out;
  const Instant from = std::max(a.time.front(), b.time.front());
  const Instant to = std::min(a.time.back(), b.time.back());
  out.step_ms = std::max({usual_step(a.time), usual_step(b.time), std::int64_t{1000}});
  const std::int64_t span = std::min(to.ms - from.ms, longest_ms);
  if (span < static_cast<std::int64_t>(least_steps) * out.step_ms) return std::nullopt;
  out.from = {from.ms + (to.ms - from.ms - span) / 2};
  out.steps = static_cast<std::size_t>(span / out.step_ms);
  return out;
}

Window coarser(const Window& fine, std::size_t steps) {
  Window out = fine;
  const std::int64_t span = fine.step_ms * static_cast<std::int64_t>(fine.steps);
  const std::int64_t times =
      std::max<std::int64_t>(1, span / fine.step_ms / static_cast<std::int64_t>(steps));
  out.step_ms = fine.step_ms * times;
  out.steps = static_cast<std::size_t>(span / out.step_ms);
  return out;
}

/// Refines a coarse offset at the loggers' own step.
double refined_ms(const ClockProbe& a, const ClockProbe::Signal& x, const ClockProbe& b,
                  const ClockProbe::Signal& y, const Window& fine, std::int64_t coarse_ms,
                  std::int64_t around_ms) {
  const Even one = even_signal(a.time, x.values, fine);
  const Even two = even_signal(b.time, y.values, fine);
  const std::ptrdiff_t middle = coarse_ms / fine.step_ms;
  const std::ptrdiff_t half = around_ms / fine.step_ms + 2;
  std::ptrdiff_t best = middle;
  double most = -1.0;
  const double sign = correlation_at(one, two, middle, 20) < 0.0 ? -1.0 : 1.0;
  for (std::ptrdiff_t lag = middle - half; lag <= middle + half; ++lag) {
    const double r = sign * correlation_at(one, two, lag, 20);
    if (r > most) {
      most = r;
      best = lag;
    }
  }
  const double top = top_between(sign * correlation_at(one, two, best - 1, 20), most,
                                 sign * correlation_at(one, two, best + 1, 20));
  return (static_cast<double>(best) + top) * static_cast<double>(fine.step_ms);
}

std::string kind_of(const SourceColumn& column) {
  if (column.quantity != nullptr) return std::string(name_of(column.quantity->dimension));
  const Result<Unit> unit = parse_unit(column.unit_text);
  if (unit) return std::string(name_of(unit->dimension));
  const std::string low = to_lower(column.header);
  for (const char* word : {"temp", "press", "power", "freq", "current"}) {
    if (low.find(word) != std::string::npos) return word;
  }
  return "number";
}

std::string seconds_text(double seconds) { return number_text(std::round(seconds), 6) + " s"; }

/// A column that names one zone in every row.
void propose_named_zone(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  for (const SourceTable& table : tables) {
    for (const SourceColumn& column : table.columns) {
      if (column.words.size() != 1) continue;
      const std::string& word = column.words.front().first;
      if (word.find('/') == std::string::npos || !zone_offset_minutes(word, Instant{})) continue;
      survey.proposals.push_back({"clock", "", "the times are those of " + word, 0.9,
                                  "\"" + column.header + "\" names that zone in every row",
                                  "zone = \"" + word + "\""});
      return;
    }
  }
}

/// A date with a time in the titles, as a map writes it: "2026-01-14 06:30:00"; empty with none.
std::string stamp_in_titles(const FileSurvey& survey) {
  for (const std::string& title : survey.titles) {
    for (std::size_t at = title.find_first_of("0123456789"); at != std::string::npos;
         at = title.find_first_of("0123456789", title.find_first_not_of("0123456789", at))) {
      StampFields f;
      const std::string rest = title.substr(at, title.find_first_of(";,|\"", at) - at);
      if (!parse_stamp(rest, f) || f.parts != 3 || !f.has_time) continue;
      const DateOrder order = f.digits[0] == 4     ? DateOrder::year_month_day
                              : f.separator == '.' ? DateOrder::day_month_year
                                                   : DateOrder::none;
      if (const auto wall = wall_time(f, order, 1970, 0)) return format_instant(*wall, {});
    }
  }
  return {};
}

/// Where no clock was found: an interval and a start that the titles say.
bool propose_rows(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  const auto said = clock_in_titles(survey.titles);
  if (!said) return false;
  std::size_t rows = 0;
  for (const SourceTable& table : tables) rows = std::max(rows, table.time.size());
  std::string evidence = "a title says \"" + said->interval_title + "\"";
  if (!said->start_title.empty() && said->start_title != said->interval_title) {
    evidence += ", another \"" + said->start_title + "\"";
  }
  double confidence = said->start ? 0.75 : 0.6;
  if (!said->start_title.empty() && !said->start) {
    evidence += ", whose date can be read with the day or the month first";
  }
  if (said->start && rows > 1) {
    const double length = said->interval_s * static_cast<double>(rows - 1);
    const Instant last{said->start->ms + static_cast<std::int64_t>(length * 1e3)};
    const std::string count = std::to_string(rows) + " rows";
    if (said->end) {
      const double off = std::abs(static_cast<double>(said->end->ms - last.ms)) * 1e-3;
      const bool agrees = off <= 1.5 * said->interval_s;
      confidence = agrees ? 0.9 : 0.4;
      evidence += std::string("; with ") + count + " it ends at " + format_instant(last, {}) +
                  (agrees ? ", as a title says" : ", but a title says ") +
                  (agrees ? "" : format_instant(*said->end, {}));
    } else {
      evidence += "; with " + count + " it ends at " + format_instant(last, {});
    }
  }
  survey.proposals.push_back(
      {"clock", "",
       "each row is " + format_duration(said->interval_s) + " after the one before" +
           (said->start ? ", the first at " + format_instant(*said->start, {}) : ""),
       confidence, std::move(evidence), toml_of(*said)});
  return true;
}

/// Where no clock was found: a column that rises by the same at every row may count the time.
void propose_count(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  for (const SourceTable& table : tables) {
    for (const SourceColumn& column : table.columns) {
      const std::vector<float>& v = column.values;
      if (v.size() < 5 || column.quantity != nullptr) continue;
      const float step = v[1] - v[0];
      std::size_t even = 0;
      for (std::size_t i = 1; i < v.size(); ++i) {
        even += std::abs(v[i] - v[i - 1] - step) <= 1e-3F * step ? 1U : 0U;
      }
      if (!(step > 0.0F) || even * 20 < (v.size() - 1) * 19) continue;
      const std::string start = stamp_in_titles(survey);
      survey.proposals.push_back(
          {"clock", "", "\"" + column.header + "\" counts seconds from the start, or rows", 0.4,
           "it rises by " + number_text(static_cast<double>(step), 5) + " at nearly every row" +
               (start.empty() ? "" : ", and a title holds " + start),
           "column = \"" + column.header + "\"\nform = \"elapsed\"" +
               (start.empty() ? "" : "\nstart = \"" + start + "\"")});
      return;
    }
  }
}

}  // namespace

void propose_zone(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  if (survey.clock_error && survey.clock_error->code == ErrorCode::not_found) {
    if (!propose_rows(tables, survey)) propose_count(tables, survey);
  }
  const ClockPlan& clock = survey.clock;
  const bool open_start =
      clock.form == ClockForm::elapsed && !survey.clock_error && clock.start.ms == 0;
  if (const auto said = open_start ? start_in_titles(survey.titles) : std::nullopt) {
    const std::string start = format_instant(*said->start, {});
    survey.proposals.push_back({"clock", "", "the count begins at " + start, 0.7,
                                "a title says \"" + said->start_title + "\"",
                                "start = \"" + start + "\""});
  }
  const bool dated = clock.form == ClockForm::parts || clock.form == ClockForm::excel_days ||
                     (clock.form == ClockForm::stamps && clock.order <= DateOrder::month_day_year);
  if (!dated || clock.zone || clock.offset_minutes || survey.clock_error) return;
  std::vector<Instant> hours;
  for (const SourceTable& table : tables) {
    if (table.clock.kind != Clock::Kind::unstated) return;
  }
  propose_named_zone(tables, survey);
  for (const SourceTable& table : tables) {
    for (const Instant hour : repeated_hours(table)) {
      if (std::find(hours.begin(), hours.end(), hour) == hours.end()) hours.push_back(hour);
    }
  }
  // More than twice a year is no clock change.
  if (hours.empty() || hours.size() > 12) return;
  std::vector<std::string> fitting;
  std::string also;
  for (const ZoneFamily& family : families) {
    if (!repeats(family.zone, hours)) continue;
    if (fitting.empty()) also = family.also;
    fitting.emplace_back(family.zone);
  }
  const std::string seen = "the rows go back at " + format_instant(hours.front(), {}) +
                           (hours.size() > 1 ? " and at other autumn changes" : "");
  if (fitting.empty()) return;
  std::string what = "the clock follows summer time as in " + fitting.front();
  if (!also.empty()) what += " (" + also + ")";
  std::string evidence = seen + ", where that zone's clocks are put back";
  if (fitting.size() > 1) {
    const std::vector<std::string> others(fitting.begin() + 1, fitting.end());
    evidence += "; the same change: " + list_of(others);
  }
  evidence += ". With the zone both passes of the hour are kept";
  survey.proposals.push_back({"clock", "", std::move(what), fitting.size() == 1 ? 0.8 : 0.5,
                              std::move(evidence), "zone = \"" + fitting.front() + "\""});
}

ClockProbe clock_probe(const SourceTable& table) {
  constexpr std::size_t most_signals = 12;
  constexpr std::size_t most_rows = 200000;
  ClockProbe out;
  out.file = table.file;
  const std::size_t rows = std::min(table.time.size(), most_rows);
  out.time.assign(table.time.begin(), table.time.begin() + static_cast<std::ptrdiff_t>(rows));
  for (const SourceColumn& column : table.columns) {
    if (out.signals.size() >= most_signals) break;
    const bool state =
        column.quantity != nullptr && (column.quantity->dimension == Dimension::flag ||
                                       column.quantity->dimension == Dimension::state);
    if (state || column.values.size() < rows) continue;
    std::size_t changes = 0;
    float last = missing;
    for (std::size_t i = 0; i < rows; ++i) {
      if (is_missing(column.values[i])) continue;
      changes += column.values[i] != last ? 1U : 0U;
      last = column.values[i];
    }
    if (changes < 50) continue;  // a set point says little of time
    out.signals.push_back(
        {column.header.empty() ? column.origin : column.header, kind_of(column),
         std::vector<float>(column.values.begin(),
                            column.values.begin() + static_cast<std::ptrdiff_t>(rows))});
  }
  return out;
}

std::optional<ClockOffset> clock_offset(const ClockProbe& a, const ClockProbe& b) {
  constexpr std::int64_t week_ms = 7 * std::int64_t{86400000};
  const auto fine = common_window(a, b, week_ms);
  if (!fine) return std::nullopt;
  const Window coarse = coarser(*fine, 2500);
  const std::int64_t span = coarse.step_ms * static_cast<std::int64_t>(coarse.steps);
  const auto most =
      static_cast<std::ptrdiff_t>(std::min(longest_offset_ms, span / 2) / coarse.step_ms);
  std::vector<Even> ones;
  std::vector<Even> twos;
  for (const auto& signal : a.signals) ones.push_back(even_signal(a.time, signal.values, coarse));
  for (const auto& signal : b.signals) twos.push_back(even_signal(b.time, signal.values, coarse));
  std::optional<ClockOffset> out;
  for (std::size_t i = 0; i < ones.size(); ++i) {
    for (std::size_t j = 0; j < twos.size(); ++j) {
      const bool alike = a.signals[i].kind == b.signals[j].kind;
      const std::vector<double> all = correlations(ones[i], twos[j], most);
      const auto best = static_cast<std::size_t>(
          std::max_element(all.begin(), all.end(),
                           [](double x, double y) { return std::abs(x) < std::abs(y); }) -
          all.begin());
      const double elsewhere = largest_elsewhere(all, best);
      // Two signals of one kind are likely the same thing; others must convince more.
      if (std::abs(all[best]) < (alike ? 0.65 : 0.75) || elsewhere > 0.75 * std::abs(all[best]) ||
          (out && std::abs(all[best]) - elsewhere <= std::abs(out->correlation) - out->elsewhere)) {
        continue;
      }
      const auto lag = static_cast<std::ptrdiff_t>(best) - most;
      const double ms = refined_ms(a, a.signals[i], b, b.signals[j], *fine, lag * coarse.step_ms,
                                   2 * coarse.step_ms);
      out = ClockOffset{ms * 1e-3, all[best],           all[static_cast<std::size_t>(most)],
                        elsewhere, a.signals[i].header, b.signals[j].header};
    }
  }
  const double step = static_cast<double>(fine->step_ms) * 1e-3;
  // Half a step is what two loggers with the right time differ by, too.
  if (!out || std::abs(out->seconds) < std::max(0.75 * step, 5.0)) return std::nullopt;
  return out;
}

void propose_shifts(const std::vector<ClockProbe>& probes, std::vector<FileSurvey>& surveys) {
  constexpr std::size_t most_files = 8;
  for (std::size_t i = 1; i < probes.size() && i < most_files; ++i) {
    const auto offset = clock_offset(probes.front(), probes[i]);
    const auto survey = std::find_if(surveys.begin(), surveys.end(),
                                     [&](const FileSurvey& s) { return s.file == probes[i].file; });
    if (!offset || survey == surveys.end()) continue;
    const double ahead = offset->seconds;
    survey->proposals.push_back(
        {"clock", "",
         "its clock is " + format_duration(std::abs(ahead)) +
             (ahead > 0 ? " ahead of " : " behind ") + probes.front().file + "'s (" +
             seconds_text(std::abs(ahead)) + ")",
         std::clamp(std::abs(offset->correlation) - 0.3 * offset->elsewhere, 0.3, 0.9),
         "\"" + offset->second + "\" here moves as \"" + offset->first + "\" there, correlation " +
             number_text(offset->correlation, 2) + " with the offset removed, " +
             number_text(offset->unmoved, 2) + " as it is, at most " +
             number_text(offset->elsewhere, 2) +
             " at any other offset; give this file a map of its own",
         "shift = \"" + seconds_text(-ahead) + "\""});
  }
}

}  // namespace cw
