#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

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
  constexpr std::array codes = {
      -999.0,  -9999.0,   999.0,   9999.0,  999.9,  -999.9,  -99.0,   99.9,     -99.9,
      32767.0, -32768.0,  65535.0, 6553.5,  3276.7, -3276.8, 655.35,  327.67,   126.0,
      127.0,   -127.0,    255.0,   -128.0,  7999.0, -6999.0, 99999.0, -99999.0, 888.8,
      1999.0,  -55033.81, -459.67, -273.15, -200.0, 850.0,   1370.0,  1e30,     -1e30};
  return std::any_of(codes.begin(), codes.end(),
                     [&](double code) { return std::abs(value - code) <= std::abs(code) * 1e-6; });
}

std::string short_number(double value) { return number_text(value, 7); }

void add(FileSurvey& survey, const ColumnSurvey& column, const char* kind, std::string what,
         double confidence, std::string evidence, std::string toml) {
  survey.proposals.push_back(
      {kind, column.header, std::move(what), confidence, std::move(evidence), std::move(toml)});
}

/// Is this what the column measures a temperature, by its unit or its name?
bool is_temperature(const ColumnSurvey& column) {
  const Result<Unit> unit = parse_unit(column.unit_text);
  if (unit) return unit->dimension == Dimension::temperature;
  return column.unit_text.empty() && to_lower(column.header).find("temp") != std::string::npos;
}

/// One end of what is left of a sorted column.
struct End {
  double value = 0.0;
  std::size_t times = 0;
  double next = 0.0;  ///< the reading beside it
  bool low = false;
};

/// What a column is like without the value at its end.
struct Usual {
  double spread = 0.0;  ///< of the middle 98 %
  std::size_t readings = 0;
  bool temperature = false;
  bool varied = false;  ///< it has many different readings
};

/// How surely a value at the end of the range means "no reading"; 0 where it may be one.
double sureness_of(const End& end, const Usual& usual) {
  const double gap = std::abs(end.value - end.next);
  if (is_usual_code(end.value)) return gap > 0.5 * usual.spread && gap > 1.0 ? 0.9 : 0.0;
  // What stands for long is a reading: a machine at rest, a set point.
  if (end.times * 4 > usual.readings) return 0.0;
  if (end.times >= 3 && gap > 5.0 * usual.spread && gap > 20.0) return 0.7;
  // The end of a sensor's range, open or short: nothing real comes back to the same digit from so
  // far away.
  if (!usual.temperature || !usual.varied) return 0.0;
  const bool round = end.value == std::round(end.value);
  const bool again = end.times >= 3 || (round && end.times >= 2);
  return again && gap > std::max(12.0, 0.35 * usual.spread) ? 0.6 : 0.0;
}

/// The values at the ends of the range [from, to) of a sorted column; nothing where it is one
/// value.
std::optional<std::pair<End, End>> ends_of(const Numbers& sorted, std::size_t from,
                                           std::size_t to) {
  const auto begin = sorted.begin() + static_cast<std::ptrdiff_t>(from);
  const auto end = sorted.begin() + static_cast<std::ptrdiff_t>(to);
  End low{sorted[from], 0, 0.0, true};
  End high{sorted[to - 1], 0, 0.0, false};
  low.times = static_cast<std::size_t>(std::upper_bound(begin, end, low.value) - begin);
  high.times = static_cast<std::size_t>(end - std::lower_bound(begin, end, high.value));
  if (low.times + high.times >= to - from) return std::nullopt;
  low.next = sorted[from + low.times];
  high.next = sorted[to - high.times - 1];
  return std::pair{low, high};
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
    const auto ends = ends_of(sorted, from, to);
    if (!ends) {
      const double code = is_usual_code(sorted[from]) ? sorted[from] : sorted[to - 1];
      if (out.empty() && is_usual_code(code) && std::abs(code) > 90.0) {
        out.push_back(code);
        listed = short_number(code);
        evidence = "nearly every reading is " + listed;
        confidence = 0.85;
      }
      break;
    }
    const auto& [low, high] = *ends;
    // The middle 98 % is what the column usually is.
    const std::size_t inner = (to - from - low.times - high.times) / 100;
    const double spread = sorted[to - high.times - 1 - inner] - sorted[from + low.times + inner];
    const Usual usual{std::max(spread, 1e-3 * std::abs(sorted[(from + to) / 2])), to - from,
                      is_temperature(column), column.distinct >= 20};
    // Many a reading is zero; below zero or among usual codes it is not.
    const bool low_end = low.value < 0.0 || usual.temperature;
    const double low_sure = low_end ? sureness_of(low, usual) : 0.0;
    const double high_sure = sureness_of(high, usual);
    if (low_sure <= 0.0 && high_sure <= 0.0) break;
    const End& taken = low_sure > 0.0 ? low : high;
    out.push_back(taken.value);
    listed += (listed.empty() ? "" : ", ") + short_number(taken.value);
    evidence += (evidence.empty() ? "" : "; ") + short_number(taken.value) + " stands " +
                std::to_string(taken.times) + (taken.times == 1 ? " time" : " times") +
                ", the next reading is " + short_number(taken.next);
    confidence = std::max(confidence, taken.low ? low_sure : high_sure);
    (taken.low ? from : to) = taken.low ? from + taken.times : to - taken.times;
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

/// Pressures of air: ducts, filters, weather.
bool is_air_pressure(const ColumnSurvey& column) {
  return says(column.header, {"static", "duct", "filter", "draft", "draught", "baro", "atmos",
                              "ambient", "building", "room", "velocity", "fan"});
}

/// The units in which these numbers would be pressures of a refrigerant circuit: usually between
/// 250 kPa and 5 MPa, never above 6.5 MPa; common practice, no source.
std::vector<std::string> fitting_pressure_units(double middle, double high) {
  struct Row {
    const char* name;
    double scale;
  };
  constexpr std::array rows = {Row{"bar", 1e5}, Row{"kPa", 1e3}, Row{"psi", 6894.757},
                               Row{"MPa", 1e6}};
  std::vector<std::string> out;
  for (const Row& row : rows) {
    if (middle * row.scale > 250e3 && middle * row.scale < 5e6 && high * row.scale < 6.5e6) {
      out.emplace_back(row.name);
    }
  }
  return out;
}

/// Numbers that no circuit has in the unit that the file states.
bool propose_other_pressure_unit(const Unit& unit, double low, double middle, double high,
                                 const ColumnSurvey& column, FileSurvey& survey) {
  const bool too_low = high * unit.scale < 60e3 && high > 2.0 && unit.scale < 1e4;
  // Suction pressures stay below 3 MPa wherever there is a heat pump; common practice, no source.
  const bool low_side = says(column.header, {"low", "suct", "evap", "niederdruck", "basse"});
  const bool too_high = middle * unit.scale > (low_side ? 3e6 : 7e6);
  if ((!too_low && !too_high) || is_air_pressure(column)) return false;
  const std::vector<std::string> fitting = fitting_pressure_units(middle, high);
  if (fitting.empty()) return false;
  const bool gauge = low < 0.9 && fitting.front() == "bar";
  std::string names;
  for (const std::string& name : fitting) names += (names.empty() ? "" : " or ") + name;
  std::string toml;
  if (fitting.size() == 1) {
    toml = "unit = \"" + fitting.front() + (gauge ? "(g)\"" : "(a)\"");
    if (!gauge) toml += "   # or (g): compare the pressure at rest with a gauge";
  }
  add(survey, column, "unit",
      "the values are " + names + (gauge ? ", gauge" : " (gauge or absolute is not to be seen)") +
          ", not " + std::string(unit.symbol),
      0.8,
      std::string(too_low ? "a refrigerant circuit is never so empty"
                          : "no refrigerant circuit has so much") +
          "; values are " + short_number(low) + " to " + short_number(high) + " as they stand",
      std::move(toml));
  return true;
}

void propose_pressure_unit(const Unit& unit, double low, double middle, double high,
                           const ColumnSurvey& column, FileSurvey& survey) {
  if (propose_other_pressure_unit(unit, low, middle, high, column, survey)) return;
  const std::string range = short_number(low) + " to " + short_number(high) + " as they stand";
  if (unit.reference != PressureReference::unstated) {
    if (unit.reference == PressureReference::absolute && low < 0.0) {
      add(survey, column, "gauge", "the values are gauge, not absolute", 0.9,
          "an absolute pressure is never negative; values are " + range,
          "unit = \"" + std::string(unit.symbol) + "(g)\"");
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

struct Range {
  double low = 0.0, middle = 0.0, high = 0.0;
  bool whole = false;  ///< all are whole numbers
  std::string text() const {
    return short_number(low) + " .. " + short_number(middle) + " .. " + short_number(high) +
           " as they stand";
  }
};

Range range_of(const Numbers& sorted) {
  return {sorted.front(), sorted[sorted.size() / 2], sorted.back(),
          std::all_of(sorted.begin(), sorted.end(), [](double v) { return v == std::floor(v); })};
}

void propose_temperature_unit(const Unit* unit, const Range& seen, const ColumnSurvey& column,
                              FileSurvey& survey) {
  const bool fahrenheit = unit != nullptr && unit->symbol == "degF";
  const double warm = fahrenheit ? 350.0 : 150.0;
  if (seen.whole && std::abs(seen.high) > warm && std::abs(seen.middle) >= warm / 1.5 &&
      std::abs(seen.high) < 2.5 * std::abs(warm) + 1600.0) {
    add(survey, column, "tenths", "the values are tenths of a degree", 0.75,
        "all are whole numbers, " + seen.text(), "factor = 0.1");
    return;
  }
  const bool room =
      says(column.header, {"room", "zone", "space", "set point", "setpoint", "set_point"});
  // Supply and return may be of water; air is said.
  // "Outdoor module 1 discharge temperature" is a pipe's.
  const bool pipe =
      says(column.header, {"discharge", "suction", "liquid", "gas", "coil", "pipe", "line",
                           "compressor", "shell", "sump", "condens", "water"});
  const bool air =
      !pipe && (room || says(column.header, {"indoor", "outdoor", "outside", "ambient"}) ||
                (says(column.header, {"air"}) && !says(column.header, {"pair", "stair"})));
  if (unit == nullptr || !air) return;
  if (unit->symbol == "degC" && seen.middle > 48.0 && seen.high < 130.0) {
    add(survey, column, "unit", "the values are degF, not degC", 0.8,
        "no air that a person sits in or breathes is that warm; " + seen.text(), "unit = \"degF\"");
  }
  const bool return_air = says(column.header, {"return"}) && says(column.header, {"air"});
  if (fahrenheit && (room || return_air) && seen.middle > 8.0 && seen.middle < 38.0) {
    add(survey, column, "unit", "the values are degC, not degF", 0.8,
        "a room at " + short_number(seen.middle) + " degF is frozen; " + seen.text(),
        "unit = \"degC\"");
  }
}

void propose_units(const Numbers& sorted, const ColumnSurvey& column, FileSurvey& survey) {
  const Range seen = range_of(sorted);
  const Result<Unit> unit = parse_unit(column.unit_text);
  const std::string low_header = to_lower(column.header);
  const bool difference = low_header.starts_with("dp") || says(column.header, {"diff", "delta"});
  if (unit && unit->dimension == Dimension::pressure) {
    if (difference) return;
    propose_pressure_unit(*unit, seen.low, seen.middle, seen.high, column, survey);
  } else if (is_temperature(column)) {
    propose_temperature_unit(unit ? &*unit : nullptr, seen, column, survey);
  }
}

/// What one column of a file shows of its unit holds for its others of that unit, less surely.
void propose_for_family(const std::map<std::string, bool>& whole, FileSurvey& survey) {
  const std::vector<Proposal> known = survey.proposals;
  for (const ColumnSurvey& column : survey.columns) {
    if (!is_temperature(column) || column.role != "number") continue;
    const auto mine = [&](const Proposal& p) {
      return p.column == column.header && (p.kind == "tenths" || p.kind == "unit");
    };
    if (std::any_of(known.begin(), known.end(), mine)) continue;
    for (const Proposal& other : known) {
      const auto family =
          std::find_if(survey.columns.begin(), survey.columns.end(),
                       [&](const ColumnSurvey& c) { return c.header == other.column; });
      if (family == survey.columns.end() || !is_temperature(*family) ||
          family->unit_text != column.unit_text) {
        continue;
      }
      const auto all_whole = whole.find(column.header);
      const bool tenths = other.kind == "tenths" && all_whole != whole.end() && all_whole->second;
      if (!tenths && other.kind != "unit") continue;
      add(survey, column, other.kind.c_str(), other.what, 0.5,
          "as those of \"" + other.column + "\", whose unit is written the same", other.toml);
      break;
    }
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
  std::size_t all_filled = 0;
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
    all_filled += filled;
    const bool rare = filled * 10 < column.values.size() * 7;
    sparse += rare && changed * 10 > filled * 9 ? 1U : 0U;
  }
  if (columns < 2 || sparse * 2 < columns || table.time.size() < 20) return;
  // Noise differs from reading to reading, too: lost readings leave fewer blanks.
  if (all_filled * 10 > columns * table.time.size() * 7) return;
  survey.proposals.push_back(
      {"shape", "", "a blank cell means unchanged", 0.7,
       std::to_string(sparse) + " of " + std::to_string(columns) +
           " columns are mostly blank, and what is written differs from what was written before; "
           "the longest time between two readings of a column is " +
           format_duration(longest),
       "[shape]\nhold = \"" + std::string("2 h") + "\"   # longest time that a reading stands"});
}

}  // namespace

std::string likely_pressure_unit(double middle, double high) {
  const std::vector<std::string> fitting = fitting_pressure_units(middle, high);
  return fitting.size() == 1 ? fitting.front() : std::string();
}

void propose_values(const std::vector<SourceTable>& tables, const ImportLog& log,
                    FileSurvey& survey) {
  std::map<std::string, bool> whole;
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
      whole[copy.header] = range_of(sorted).whole;
      propose_units(sorted, copy, survey);
      propose_stuck(table, column, numbers, copy, survey);
    }
  }
  propose_for_family(whole, survey);
  propose_from_rejects(log, survey);
  propose_hold(tables, survey);
}

}  // namespace cw
