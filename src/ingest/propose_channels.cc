#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

#include "base/text.h"
#include "ingest/foreign_words.h"
#include "ingest/header.h"
#include "ingest/propose.h"
#include "series/recording.h"

namespace cw {
namespace {

using Words = std::vector<std::string>;

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }

/// "CompDischTemp1" and "comp_disch temp-1" are both comp, disch, temp, 1.
Words words_of(std::string_view text) {
  Words out;
  std::string word;
  const auto flush = [&] {
    if (!word.empty()) out.push_back(to_lower(word));
    word.clear();
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (!is_letter(c) && !is_digit(c)) {
      flush();
      continue;
    }
    if (!word.empty()) {
      const char before = word.back();
      const bool hump = is_upper(c) && is_letter(before) && !is_upper(before);
      if (is_digit(c) != is_digit(before) || hump) flush();
    }
    word += c;
  }
  flush();
  return out;
}

/// Abbreviations of plain English, one word or a few each; no maker's labels.
Words expanded(const std::string& word) {
  static const std::map<std::string, Words> table = {{"temp", {"temperature"}},
                                                     {"tmp", {"temperature"}},
                                                     {"temperatur", {"temperature"}},
                                                     {"pres", {"pressure"}},
                                                     {"press", {"pressure"}},
                                                     {"disch", {"discharge"}},
                                                     {"dis", {"discharge"}},
                                                     {"dischg", {"discharge"}},
                                                     {"suc", {"suction"}},
                                                     {"suct", {"suction"}},
                                                     {"amb", {"ambient"}},
                                                     {"outside", {"outdoor"}},
                                                     {"inside", {"indoor"}},
                                                     {"freq", {"frequency"}},
                                                     {"comp", {"compressor"}},
                                                     {"compr", {"compressor"}},
                                                     {"cond", {"condensing"}},
                                                     {"evap", {"evaporating"}},
                                                     {"setpoint", {"set", "point"}},
                                                     {"setpt", {"set", "point"}},
                                                     {"sp", {"set", "point"}},
                                                     {"liq", {"liquid"}},
                                                     {"sat", {"saturated"}},
                                                     {"hum", {"humidity"}},
                                                     {"rh", {"relative", "humidity"}},
                                                     {"pwr", {"power"}},
                                                     {"curr", {"current"}},
                                                     {"amps", {"current"}},
                                                     {"vlv", {"valve"}},
                                                     {"exp", {"expansion"}},
                                                     {"ret", {"return"}},
                                                     {"sup", {"supply"}},
                                                     {"spd", {"speed"}},
                                                     {"defr", {"defrost"}},
                                                     {"htg", {"heating"}},
                                                     {"clg", {"cooling"}},
                                                     {"baro", {"barometric"}},
                                                     {"subcool", {"subcooling"}},
                                                     {"oat", {"outdoor", "temperature"}}};
  const auto found = table.find(word);
  return found == table.end() ? Words{word} : found->second;
}

/// Words that say nothing about what is measured.
bool is_filler(const std::string& word) {
  static const std::set<std::string> table = {
      "actual", "sensor", "reading", "value",  "measured", "average", "avg",  "mean",  "the",
      "of",     "at",     "unit",    "module", "line",     "air",     "no",   "nr",    "current",
      "probe",  "system", "channel", "data",   "raw",      "m",       "pipe", "point", "side"};
  return table.count(word) > 0;
}

struct HeaderWords {
  std::set<std::string> words;  ///< without places and numbers
  std::string number;           ///< the first number among them
  bool indoor = false;
  bool outdoor = false;
};

HeaderWords look_at_header(const std::string& name) {
  HeaderWords out;
  for (const std::string& word : words_of(name)) {
    if (is_digit(word.front())) {
      if (out.number.empty()) out.number = word;
      continue;
    }
    for (const std::string& full : expanded(word)) {
      out.indoor = out.indoor || full == "indoor" || full == "room" || full == "zone";
      out.outdoor = out.outdoor || full == "outdoor";
      out.words.insert(full);
    }
  }
  return out;
}

/// How well the header's words are those of a name: all of the name's words must be there; words
/// that are left over lower the score.
double score_of(const HeaderWords& header, std::string_view alias) {
  const Words wanted = words_of(alias);
  std::size_t found = 0;
  for (const std::string& word : wanted) found += header.words.count(word);
  if (wanted.empty() || found < wanted.size()) return 0.0;
  std::size_t over = 0;
  for (const std::string& word : header.words) {
    const bool used = std::find(wanted.begin(), wanted.end(), word) != wanted.end();
    const bool place = word == "indoor" || word == "outdoor" || word == "compressor";
    over += !used && !place && !is_filler(word) ? 1U : 0U;
  }
  const double length = wanted.size() >= 2 ? 1.0 : 0.75;
  return length * std::pow(0.6, static_cast<double>(over));
}

bool fits(const Quantity& quantity, const std::string& unit_text, bool& stated) {
  stated = false;
  const Result<Unit> unit = parse_unit(unit_text);
  if (unit_text.empty() || !unit) return true;
  stated = true;
  return unit_for(quantity, unit_text).has_value();
}

std::string place_for(const Quantity& quantity, const HeaderWords& header) {
  static const std::set<std::string> site = {"outdoor_temperature", "outdoor_humidity",
                                             "barometric_pressure"};
  static const std::set<std::string> indoor = {"gas_pipe_temperature",
                                               "liquid_pipe_temperature",
                                               "controlled_temperature",
                                               "supply_air_temperature",
                                               "set_point",
                                               "call",
                                               "cooling_call",
                                               "unit_on"};
  const std::string number = header.number.empty() ? "1" : header.number;
  if (site.count(quantity.name) > 0) return "site";
  if (quantity.name == "mode") return "system";
  if (indoor.count(quantity.name) > 0 || (header.indoor && !header.outdoor)) {
    return "indoor." + number;
  }
  return "outdoor." + number;
}

std::string unit_for_toml(const Quantity& quantity, const std::string& unit_text) {
  if (!unit_text.empty() && unit_for(quantity, unit_text)) return unit_text;
  switch (quantity.dimension) {
    case Dimension::flag:
    case Dimension::state:
    case Dimension::count:
      return {};
    default:
      return std::string(display_unit(quantity.dimension, UnitSystem::si).symbol);
  }
}

}  // namespace

void propose_channel(const std::string& place, const Quantity& quantity, const ColumnSurvey& column,
                     double confidence, std::string evidence, FileSurvey& survey) {
  const std::string channel = place + "." + quantity.name;
  const std::string unit = unit_for_toml(quantity, column.unit_text);
  std::string toml = "channel = \"" + channel + "\"";
  if (!unit.empty()) {
    toml += "\nunit = \"" + unit + "\"";
    if (unit != column.unit_text) toml += "   # the file does not say it";
  }
  survey.proposals.push_back(
      {"channel", column.header, "is " + channel, confidence, std::move(evidence), toml});
}

namespace {

bool propose_by_header(const ColumnSurvey& column, FileSurvey& survey) {
  const HeaderParts parts = split_header(column.header);
  const std::string english = in_english(parts.name);
  const bool translated = english != parts.name;
  const HeaderWords header = look_at_header(english);
  const Quantity* best = nullptr;
  double best_score = 0.0;
  bool best_stated = false;
  for (const Quantity& quantity : all_quantities()) {
    bool stated = false;
    if (!fits(quantity, column.unit_text, stated)) continue;
    double score = score_of(header, quantity.name);
    for (const std::string& alias : quantity.aliases) {
      score = std::max(score, score_of(header, alias));
    }
    if (score > best_score) {
      best = &quantity;
      best_score = score;
      best_stated = stated;
    }
  }
  if (best == nullptr || best_score < 0.3) return false;
  // Words are read only where numbers are expected and the other way round.
  const bool wordy = best->dimension == Dimension::state || best->dimension == Dimension::flag;
  if (column.role == "words" && !wordy) return false;
  if (column.role != "words" && best->dimension == Dimension::state) return false;
  double confidence = std::min(0.92, best_score * (best_stated || wordy ? 0.92 : 0.75));
  // A quantity that is measured in many places, without a word of where.
  const bool anywhere = best->name == "outdoor_humidity" && !header.outdoor;
  if (anywhere) confidence = std::min(confidence, 0.4);
  if (translated) confidence = std::min(confidence, 0.85);
  propose_channel(place_for(*best, header), *best, column, confidence,
                  std::string("the header's words") + (translated ? ", put into English," : "") +
                      " are those of \"" + best->label + "\"" +
                      (best_stated ? " and the unit fits" : "; the unit is not stated") +
                      (anywhere ? "; it does not say where" : ""),
                  survey);
  return true;
}

}  // namespace

void propose_channels(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  std::set<std::string> understood;
  const std::vector<ColumnSurvey> columns = survey.columns;
  for (const ColumnSurvey& column : columns) {
    if (column.role == "time" || column.role == "channel" || column.role == "empty") continue;
    if (propose_by_header(column, survey)) understood.insert(column.header);
  }
  propose_by_behaviour(tables, understood, survey);
  std::stable_sort(
      survey.proposals.begin(), survey.proposals.end(),
      [](const Proposal& a, const Proposal& b) { return a.confidence > b.confidence; });
}

}  // namespace cw
