#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "base/text.h"
#include "ingest/map_writer.h"
#include "ingest/propose.h"
#include "series/recording.h"

namespace cw {
namespace {

using Numbers = std::vector<double>;

Numbers readings(const SourceColumn& column) {
  Numbers out;
  for (const float value : column.values) {
    if (!is_missing(value)) out.push_back(static_cast<double>(value));
  }
  return out;
}

/// Numbers that electronics write for a broken or absent sensor: all nines, the ends of 8- and
/// 16-bit integers, those ends in tenths, the range ends of thermocouple converters.
bool is_usual_code(double value) {
  constexpr std::array codes = {-999.0,    -9999.0, 999.0,   9999.0,   999.9,    -999.9, -99.0,
                                99.9,      -99.9,   32767.0, -32768.0, 65535.0,  6553.5, 3276.7,
                                -3276.8,   655.35,  327.67,  126.0,    127.0,    -127.0, 255.0,
                                -128.0,    7999.0,  -6999.0, 99999.0,  -99999.0, 888.8,  1999.0,
                                -55033.81, -273.15, -200.0,  850.0,    1370.0,   1e30,   -1e30};
  return std::any_of(codes.begin(), codes.end(),
                     [&](double code) { return std::abs(value - code) <= std::abs(code) * 1e-6; });
}

std::string short_number(double value) { return number_text(value, 7); }

void add(FileSurvey& survey, const ColumnSurvey& column, const char* kind, std::string what,
         double confidence, std::string evidence, std::string toml) {
  survey.proposals.push_back(
      {kind, column.header, std::move(what), confidence, std::move(evidence), std::move(toml)});
}

/// A value at one end of the range that stands far from all others, again and again.
std::vector<double> propose_sentinels(const Numbers& sorted, const ColumnSurvey& column,
                                      FileSurvey& survey) {
  std::vector<double> out;
  std::string listed;
  std::size_t from = 0;
  std::size_t to = sorted.size();
  std::string evidence;
  double confidence = 0.0;
  for (int round = 0; round < 4 && to - from > 10; ++round) {
    const double low = sorted[from];
    const double high = sorted[to - 1];
    const auto lows = static_cast<std::size_t>(
                          std::upper_bound(sorted.begin() + static_cast<std::ptrdiff_t>(from),
                                           sorted.begin() + static_cast<std::ptrdiff_t>(to), low) -
                          sorted.begin()) -
                      from;
    const auto highs =
        to - static_cast<std::size_t>(
                 std::lower_bound(sorted.begin() + static_cast<std::ptrdiff_t>(from),
                                  sorted.begin() + static_cast<std::ptrdiff_t>(to), high) -
                 sorted.begin());
    if (lows + highs >= to - from) {
      const double code = is_usual_code(low) ? low : high;
      if (out.empty() && is_usual_code(code) && std::abs(code) > 90.0) {
        out.push_back(code);
        listed = short_number(code);
        evidence = "nearly every reading is " + listed;
        confidence = 0.85;
      }
      break;
    }
    const double next_low = sorted[from + lows];
    const double next_high = sorted[to - highs - 1];
    // The middle 98 % is what the column usually is.
    const std::size_t inner = (to - from - lows - highs) / 100;
    const double usual = std::max(sorted[to - highs - 1 - inner] - sorted[from + lows + inner],
                                  1e-3 * std::abs(sorted[(from + to) / 2]));
    const auto apart = [&](double value, double next, std::size_t times) {
      const double gap = std::abs(value - next);
      if (is_usual_code(value)) return gap > 0.5 * usual && gap > 1.0;
      return times >= 3 && gap > 5.0 * usual && gap > 20.0;
    };
    const bool take_low = apart(low, next_low, lows) && low < 0.0;
    const bool take_high = !take_low && apart(high, next_high, highs);
    if (!take_low && !take_high) break;
    const double value = take_low ? low : high;
    out.push_back(value);
    listed += (listed.empty() ? "" : ", ") + short_number(value);
    evidence += (evidence.empty() ? "" : "; ") + short_number(value) + " stands " +
                std::to_string(take_low ? lows : highs) + " times, the next reading is " +
                short_number(take_low ? next_low : next_high);
    confidence = std::max(confidence, is_usual_code(value) ? 0.9 : 0.7);
    (take_low ? from : to) = take_low ? from + lows : to - highs;
  }
  if (!out.empty()) {
    add(survey, column, "sentinel", listed + " means no reading", confidence, evidence,
        "sentinels = [" + listed + "]");
  }
  return out;
}

void propose_stuck(const SourceTable& table, const SourceColumn& column, const Numbers& numbers,
                   const ColumnSurvey& seen, FileSurvey& survey) {
  if (numbers.size() < 50 || seen.distinct < 20) return;
  std::size_t run = 0;
  std::size_t longest = 0;
  std::size_t at = 0;
  float last = missing;
  std::size_t begin = 0;
  for (std::size_t i = 0; i < column.values.size(); ++i) {
    if (is_missing(column.values[i])) continue;
    if (column.values[i] == last) {
      ++run;
    } else {
      run = 1;
      begin = i;
      last = column.values[i];
    }
    if (run > longest) {
      longest = run;
      at = begin;
    }
  }
  // A reading that changes nearly every time does not stand still for a twentieth of the recording.
  std::size_t changes = 0;
  for (std::size_t i = 1; i < numbers.size(); ++i)
    changes += numbers[i] != numbers[i - 1] ? 1U : 0U;
  const auto moving = static_cast<double>(numbers.size() - longest);
  if (longest < 30 || longest * 20 < numbers.size() || static_cast<double>(changes) < 0.5 * moving)
    return;
  add(survey, seen, "stuck",
      "stands still at " + short_number(static_cast<double>(column.values[at])) + " for " +
          std::to_string(longest) + " readings",
      0.7,
      "from " + format_instant(table.time[at], table.clock) +
          ", while it changes nearly every reading elsewhere",
      "");
}

bool says(const std::string& header, std::initializer_list<const char*> words) {
  const std::string low = to_lower(header);
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return low.find(word) != std::string::npos; });
}

void propose_pressure_unit(const Unit& unit, double low, double middle, double high,
                           const ColumnSurvey& column, FileSurvey& survey) {
  const std::string range = short_number(low) + " to " + short_number(high) + " as they stand";
  // No refrigerant circuit and no air stands below 1 kPa: such a "Pa" is another unit.
  if (unit.symbol == "Pa" && high < 1000.0 && high > 2.0) {
    const bool gauge = low < 0.9;
    add(survey, column, "unit",
        std::string("the values are ") + (high < 70.0 ? "bar" : "kPa or psi") +
            (gauge ? ", gauge" : " (gauge or absolute is not to be seen)") + ", not Pa",
        0.8, "a refrigerant circuit is never below 1 kPa absolute; values are " + range,
        high >= 70.0 ? ""
        : gauge      ? "unit = \"bar(g)\""
                : "unit = \"bar(a)\"   # or bar(g): compare the pressure at rest with a gauge");
    return;
  }
  if (unit.reference != PressureReference::unstated) {
    if (unit.reference == PressureReference::absolute && low < 0.0) {
      add(survey, column, "gauge", "the values are gauge, not absolute", 0.9,
          "an absolute pressure is never negative; values are " + range, "");
    }
    return;
  }
  const double low_pa = unit.scale * low;
  if (low_pa < -100.0) {
    add(survey, column, "gauge", "the values are gauge pressures", 0.9,
        "an absolute pressure is never negative; values are " + range,
        "unit = \"" + std::string(unit.symbol) + "(g)\"");
  } else if (low_pa < 30e3 && unit.scale * middle > 200e3) {
    add(survey, column, "gauge", "the values are gauge pressures", 0.6,
        "the lowest, " + short_number(low) + ", would be a deep vacuum if absolute",
        "unit = \"" + std::string(unit.symbol) + "(g)\"");
  }
}

void propose_temperature_unit(const Unit* unit, double low, double middle, double high, bool whole,
                              const ColumnSurvey& column, FileSurvey& survey) {
  const std::string range = short_number(low) + " .. " + short_number(middle) + " .. " +
                            short_number(high) + " as they stand";
  const bool air =
      says(column.header, {"room", "zone", "space", "indoor", "return", "outdoor", "outside",
                           "ambient", "set point", "setpoint", "set_point", "supply", "air"});
  if (whole && std::abs(high) > 150.0 && std::abs(middle) >= 100.0 && std::abs(high) < 2000.0) {
    add(survey, column, "tenths", "the values are tenths of a degree", 0.75,
        "all are whole numbers, " + range, "factor = 0.1");
    return;
  }
  if (unit == nullptr || !air) return;
  if (unit->symbol == "degC" && middle > 48.0 && high < 130.0) {
    add(survey, column, "unit", "the values are degF, not degC", 0.8,
        "no air that a person sits in or breathes is that warm; " + range, "unit = \"degF\"");
  }
  const bool room = says(column.header,
                         {"room", "zone", "space", "set point", "setpoint", "set_point", "return"});
  if (unit->symbol == "degF" && room && middle > 8.0 && middle < 38.0) {
    add(survey, column, "unit", "the values are degC, not degF", 0.8,
        "a room at " + short_number(middle) + " degF is frozen; " + range, "unit = \"degC\"");
  }
}

void propose_units(const Numbers& sorted, const ColumnSurvey& column, FileSurvey& survey) {
  const double low = sorted.front();
  const double middle = sorted[sorted.size() / 2];
  const double high = sorted.back();
  const bool whole =
      std::all_of(sorted.begin(), sorted.end(), [](double v) { return v == std::floor(v); });
  const Result<Unit> unit = parse_unit(column.unit_text);
  const std::string low_header = to_lower(column.header);
  const bool difference = low_header.starts_with("dp") || says(column.header, {"diff", "delta"});
  if (unit && unit->dimension == Dimension::pressure) {
    if (difference) return;
    propose_pressure_unit(*unit, low, middle, high, column, survey);
  } else if (unit && unit->dimension == Dimension::temperature) {
    propose_temperature_unit(&*unit, low, middle, high, whole, column, survey);
  } else if (!unit && says(column.header, {"temp"})) {
    propose_temperature_unit(nullptr, low, middle, high, whole, column, survey);
  }
}

/// The same implausible text again and again in a column that is read as a channel.
void propose_from_rejects(const ImportLog& log, FileSurvey& survey) {
  std::map<std::pair<std::string, std::string>, std::size_t> times;
  for (const Reject& reject : log.rejects()) {
    if (reject.file != survey.file) continue;
    if (reject.counter == Counter::implausible_value || reject.counter == Counter::bad_cell) {
      ++times[{reject.column, reject.text}];
    }
  }
  for (const auto& [key, count] : times) {
    if (count < 3) continue;
    double number = 0.0;
    const bool is_value = read_number(key.second, number);
    survey.proposals.push_back(
        {is_value ? "sentinel" : "word", key.first,
         (is_value ? "" : "the text \"") + key.second + (is_value ? "" : "\"") +
             " means no reading",
         is_value && is_usual_code(number) ? 0.9 : 0.6,
         "it stands " + std::to_string(count) + " times or more and cannot be a reading",
         is_value ? "sentinels = [" + key.second + "]" : ""});
  }
}

/// Most cells blank, and different ones in each row: only changes were written.
void propose_hold(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  if (tables.size() != 1) return;
  const SourceTable& table = tables.front();
  std::size_t columns = 0;
  std::size_t sparse = 0;
  double longest = 0.0;
  for (const SourceColumn& column : table.columns) {
    std::size_t filled = 0;
    std::size_t changed = 0;
    float last = missing;
    Instant since;
    for (std::size_t i = 0; i < column.values.size(); ++i) {
      if (is_missing(column.values[i])) continue;
      if (filled > 0) longest = std::max(longest, seconds_between(since, table.time[i]));
      ++filled;
      changed += column.values[i] != last ? 1U : 0U;
      last = column.values[i];
      since = table.time[i];
    }
    if (filled < 5) continue;
    ++columns;
    const bool rare = filled * 10 < column.values.size() * 7;
    sparse += rare && changed * 10 > filled * 9 ? 1U : 0U;
  }
  if (columns < 2 || sparse * 2 < columns || table.time.size() < 20) return;
  survey.proposals.push_back(
      {"shape", "", "a blank cell means unchanged", 0.7,
       std::to_string(sparse) + " of " + std::to_string(columns) +
           " columns are mostly blank, and what is written differs from what was written before; "
           "the longest time between two readings of a column is " +
           format_duration(longest),
       "[shape]\nhold = \"" + std::string("2 h") + "\"   # longest time that a reading stands"});
}

}  // namespace

void propose_values(const std::vector<SourceTable>& tables, const ImportLog& log,
                    FileSurvey& survey) {
  for (const SourceTable& table : tables) {
    for (const SourceColumn& column : table.columns) {
      if (column.quantity != nullptr) continue;  // its range is known: see the counters
      const auto seen = std::find_if(
          survey.columns.begin(), survey.columns.end(),
          [&](const ColumnSurvey& c) { return c.header == column.header && c.role != "time"; });
      if (seen == survey.columns.end()) continue;
      const ColumnSurvey copy = *seen;
      const Numbers numbers = readings(column);
      if (numbers.size() < 3) continue;
      Numbers sorted = numbers;
      std::sort(sorted.begin(), sorted.end());
      const std::vector<double> sentinels = propose_sentinels(sorted, copy, survey);
      std::erase_if(sorted, [&](double v) {
        return std::find(sentinels.begin(), sentinels.end(), v) != sentinels.end();
      });
      if (sorted.empty()) continue;
      propose_units(sorted, copy, survey);
      propose_stuck(table, column, numbers, copy, survey);
    }
  }
  propose_from_rejects(log, survey);
  propose_hold(tables, survey);
}

}  // namespace cw
