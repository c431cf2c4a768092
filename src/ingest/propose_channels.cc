#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <set>

#include "base/text.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/foreign_words.h"
#include "ingest/header.h"
#include "ingest/map_writer.h"
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
                                                     {"oat", {"outdoor", "temperature"}},
                                                     {"oa", {"outdoor", "air"}},
                                                     {"odu", {"outdoor"}},
                                                     {"od", {"outdoor"}},
                                                     {"idu", {"indoor"}},
                                                     {"rat", {"return", "air", "temperature"}},
                                                     {"rm", {"room"}},
                                                     {"office", {"room"}},
                                                     {"bedroom", {"room"}},
                                                     {"classroom", {"room"}},
                                                     {"lobby", {"room"}},
                                                     {"lounge", {"room"}},
                                                     {"reception", {"room"}},
                                                     {"corridor", {"room"}},
                                                     {"kitchen", {"room"}},
                                                     {"meeting", {"room"}},
                                                     {"zn", {"zone"}},
                                                     {"stpt", {"set", "point"}},
                                                     {"hz", {"frequency"}},
                                                     {"temps", {"temperature"}},
                                                     {"pressures", {"pressure"}},
                                                     {"hi", {"high"}},
                                                     {"lo", {"low"}},
                                                     {"condenser", {"condensing"}},
                                                     {"evaporator", {"evaporating"}}};
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
  bool by_unit = false;       ///< what is measured was said by the unit, not by a word
  bool letters = false;       ///< it is understood from letters as engineers abbreviate
  bool high_letters = false;  ///< HP, HD: a high pressure in English and French, in German
  bool low_letters = false;   ///< LP, BP, ND: a low one in English, French and German
  std::string room;           ///< what a room is called: "lobby"
};

/// A symbol of one or two letters in front of a name, "T_suction", "P_dis", "Pd", given what the
/// unit measures (empty: not stated). Nothing where the letters may mean anything.
Words symbol(const std::string& word, std::optional<Dimension> measures, bool alone) {
  const auto may = [&](Dimension dimension) { return !measures || *measures == dimension; };
  const auto is = [&](Dimension dimension) { return measures && *measures == dimension; };
  if (word == "t" && may(Dimension::temperature)) return {"temperature"};
  if (word == "p" && may(Dimension::pressure)) return {"pressure"};
  if (word == "p" && is(Dimension::power)) return {"power"};
  if (word == "f" && is(Dimension::frequency)) return {"frequency"};
  if (word == "i" && is(Dimension::current)) return {"current"};
  if (!alone) return {};
  if (word == "td" && is(Dimension::temperature)) return {"discharge", "temperature"};
  if (word == "ts" && is(Dimension::temperature)) return {"suction", "temperature"};
  if (word == "pd" && is(Dimension::pressure)) return {"discharge", "pressure"};
  if (word == "ps" && is(Dimension::pressure)) return {"suction", "pressure"};
  return {};
}

/// The letters by which the trade calls the two pressures where the unit says that it is one: high
/// pressure, Hochdruck, haute pression; low pressure, Niederdruck, basse pression. Common practice,
/// no source.
Words pressure_letters(const std::string& word) {
  static const std::set<std::string> high = {"hp", "hd"};
  static const std::set<std::string> low = {"lp", "nd", "bp"};
  if (high.count(word) > 0) return {"high", "pressure"};
  if (low.count(word) > 0) return {"low", "pressure"};
  return {};
}

std::string word_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::temperature:
      return "temperature";
    case Dimension::pressure:
      return "pressure";
    case Dimension::frequency:
      return "frequency";
    case Dimension::power:
      return "power";
    case Dimension::current:
      return "current";
    default:
      return {};
  }
}

/// Where no word says what is measured, the unit does: "Outside [degC]", "Suction [bar]".
void add_measured(std::optional<Dimension> measures, HeaderWords& header) {
  if (!measures || header.words.empty()) return;
  const std::string word = word_of(*measures);
  const bool set_point = header.words.count("set") > 0 && header.words.count("point") > 0;
  const bool speed = header.words.count("speed") > 0;
  if (word.empty() || set_point || speed || header.words.count(word) > 0) return;
  header.words.insert(word);
  header.by_unit = true;
}

HeaderWords look_at_header(const std::string& name, std::optional<Dimension> measures) {
  HeaderWords out;
  const Words words = words_of(name);
  const auto letters_only = [](const std::string& word) { return !is_digit(word.front()); };
  const bool alone = std::count_if(words.begin(), words.end(), letters_only) == 1;
  for (const std::string& word : words) {
    if (is_digit(word.front())) {
      if (out.number.empty()) out.number = word;
      continue;
    }
    const bool pressure = measures && *measures == Dimension::pressure;
    const Words of_pressure = pressure ? pressure_letters(word) : Words{};
    out.high_letters = out.high_letters || (!of_pressure.empty() && of_pressure.front() == "high");
    out.low_letters = out.low_letters || (!of_pressure.empty() && of_pressure.front() == "low");
    const Words short_for = !of_pressure.empty()      ? of_pressure
                            : &word == &words.front() ? symbol(word, measures, alone)
                                                      : Words{};
    if (expanded(word) == Words{"room"} && word.size() > 2) out.room = word;
    out.letters = out.letters || (!short_for.empty() && alone && word.size() == 2);
    for (const std::string& full : short_for.empty() ? expanded(word) : short_for) {
      out.indoor = out.indoor || full == "indoor" || full == "room" || full == "zone";
      out.outdoor = out.outdoor || full == "outdoor";
      out.words.insert(full);
    }
  }
  add_measured(measures, out);
  std::set<std::string> telling;
  for (const std::string& word : out.words) {
    if (!is_filler(word)) telling.insert(word);
  }
  // "T_out" alone is outdoor air more often than an outlet.
  if (telling == std::set<std::string>{"out", "temperature"}) {
    out.words = {"outdoor", "temperature"};
    out.outdoor = true;
    out.letters = true;
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
    const bool place = word == "indoor" || word == "outdoor" || word == "compressor" ||
                       word == "zone" || word == "room";
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
                                               "return_air_temperature",
                                               "room_temperature",
                                               "supply_air_temperature",
                                               "set_point",
                                               "call",
                                               "cooling_call",
                                               "unit_on"};
  const bool called = header.number.empty() && !header.room.empty() && header.room != "room";
  const std::string number = called ? header.room : header.number.empty() ? "1" : header.number;
  if (site.count(quantity.name) > 0) return "site";
  if (quantity.name == "mode") return "system";
  if (indoor.count(quantity.name) > 0 || (header.indoor && !header.outdoor)) {
    return "indoor." + number;
  }
  return "outdoor." + number;
}

/// Words that a channel of this quantity knows without a map (delimited/column_plan.cc).
bool is_read_anyway(const Quantity& quantity, const std::string& word) {
  if (quantity.dimension == Dimension::state) return quantity.number_of(word).has_value();
  static const std::set<std::string> flags = {"on",      "true",     "yes",  "active",
                                              "calling", "running",  "off",  "false",
                                              "no",      "inactive", "idle", "stopped"};
  return flags.count(to_lower(word)) > 0;
}

/// The words of a column as a map says what they mean; those that nobody knows behind a comment.
std::string words_for_toml(const Quantity& quantity, const ColumnSurvey& column) {
  const bool flag = quantity.dimension == Dimension::flag;
  if (!flag && quantity.dimension != Dimension::state) return {};
  std::string known;
  std::string unknown;
  for (const auto& [word, times] : column.words) {
    if (word.empty() || is_missing_mark(word)) continue;
    if (is_read_anyway(quantity, word)) continue;
    const std::string meant = meaning_of_word(word);
    const bool own = flag ? meant == "on" || meant == "off" : quantity.number_of(meant).has_value();
    if (own) {
      known += (known.empty() ? "" : ", ") + toml_text(word) + " = \"" + meant + "\"";
    } else {
      unknown += (unknown.empty() ? "" : ", ") + toml_text(word);
    }
  }
  std::string out;
  if (!known.empty()) out += "\nwords = { " + known + " }";
  if (!unknown.empty()) {
    out += "\n# not known: " + unknown + "; say it in words, each as " +
           (flag ? std::string("on or off") : "one of " + list_of(quantity.words));
  }
  return out;
}

/// Air that a person sits in or breathes, without a unit, at 46 and more: degF.
bool is_warm_air(const ColumnSurvey& column) {
  if (!column.unit_text.empty() || column.numbers == 0) return false;
  if (column.median < 46.0 || column.highest > 130.0) return false;
  static const std::set<std::string> air = {"room",    "zone",        "space",   "indoor",
                                            "outdoor", "ambient",     "return",  "set",
                                            "point",   "temperature", "heating", "cooling"};
  const HeaderWords header = look_at_header(in_english(split_header(column.header).name), {});
  const bool set_point = header.words.count("set") > 0 && header.words.count("point") > 0;
  const bool somewhere = header.indoor || header.outdoor || header.words.count("ambient") > 0;
  return (set_point || (somewhere && header.words.count("temperature") > 0)) &&
         std::all_of(header.words.begin(), header.words.end(), [](const std::string& word) {
           return air.count(word) > 0 || is_filler(word);
         });
}

std::string unit_for_toml(const Quantity& quantity, const ColumnSurvey& column,
                          const FileSurvey& survey) {
  const std::string& unit_text = column.unit_text;
  if (!unit_text.empty() && unit_for(quantity, unit_text)) return unit_text;
  // One who writes no units writes all temperatures in the same.
  const bool warm = quantity.dimension == Dimension::temperature && unit_text.empty() &&
                    std::any_of(survey.columns.begin(), survey.columns.end(), is_warm_air);
  if (warm) return "degF";
  if (quantity.dimension == Dimension::pressure && unit_text.empty() && column.numbers > 0) {
    const std::string likely = likely_pressure_unit(column.median, column.highest);
    if (!likely.empty()) return likely;
  }
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
  const std::string unit = unit_for_toml(quantity, column, survey);
  std::string toml = "channel = \"" + channel + "\"";
  if (!unit.empty()) {
    toml += "\nunit = \"" + unit + "\"";
    if (unit != column.unit_text) toml += "   # the file does not say it";
  }
  toml += words_for_toml(quantity, column);
  survey.proposals.push_back(
      {"channel", column.header, "is " + channel, confidence, std::move(evidence), toml});
}

namespace {

struct Match {
  const Quantity* quantity = nullptr;
  double score = 0.0;
  bool stated = false;  ///< the unit is stated and fits
};

Match best_match(const HeaderWords& header, const ColumnSurvey& column) {
  Match best;
  for (const Quantity& quantity : all_quantities()) {
    bool stated = false;
    if (!fits(quantity, column.unit_text, stated)) continue;
    // Words are read only where numbers are expected and the other way round.
    const bool wordy =
        quantity.dimension == Dimension::state || quantity.dimension == Dimension::flag;
    if (column.role == "words" && !wordy) continue;
    if (column.role != "words" && quantity.dimension == Dimension::state) continue;
    double score = score_of(header, quantity.name);
    for (const std::string& alias : quantity.aliases) {
      score = std::max(score, score_of(header, alias));
    }
    if (score > best.score) best = {&quantity, score, stated};
  }
  return best;
}

/// Only on and off, as words or as 0 and 1.
bool is_on_off(const ColumnSurvey& column) {
  if (column.role != "words") {
    return column.numbers > 0 && column.lowest >= 0.0 && column.highest <= 1.0 &&
           column.distinct <= 2;
  }
  return column.numbers == 0 &&
         std::all_of(column.words.begin(), column.words.end(), [](const auto& word) {
           const std::string meant = meaning_of_word(word.first);
           return meant == "on" || meant == "off";
         });
}

/// Do the column's cells hold words that this quantity has, or 0 and 1 of a flag, and no others?
bool speaks_of(const Quantity& quantity, const ColumnSurvey& column) {
  if (quantity.dimension == Dimension::flag) return is_on_off(column);
  return column.role == "words" &&
         std::all_of(column.words.begin(), column.words.end(), [&](const auto& word) {
           return word.first.empty() || is_missing_mark(word.first) ||
                  is_read_anyway(quantity, word.first) ||
                  quantity.number_of(meaning_of_word(word.first)).has_value();
         });
}

/// Nothing but what is measured, or not even that: "Value", "Temp, degC".
bool says_nothing(const HeaderWords& header) {
  static const std::set<std::string> empty = {"temperature", "pressure", "frequency", "power",
                                              "current",     "humidity", "relative",  "column",
                                              "signal",      "wert",     "valeur"};
  return std::all_of(header.words.begin(), header.words.end(), [](const std::string& word) {
    return empty.count(word) > 0 || is_filler(word);
  });
}

/// Whether the words say that it is measured inside or in a duct.
bool names_inside(const HeaderWords& header) {
  constexpr std::array<const char*, 8> inside = {"in",     "indoor", "inside", "room",
                                                 "return", "supply", "sup",    "zone"};
  return header.indoor || std::any_of(inside.begin(), inside.end(), [&](const char* word) {
           return header.words.count(word) > 0;
         });
}

/// Does the file have the other one of the two pressures in such letters, too?
bool has_partner(const ColumnSurvey& column, const HeaderWords& header, const FileSurvey& survey) {
  return std::any_of(survey.columns.begin(), survey.columns.end(), [&](const ColumnSurvey& other) {
    const Result<Unit> unit = parse_unit(other.unit_text);
    if (other.index == column.index || !unit || unit->dimension != Dimension::pressure)
      return false;
    const HeaderWords words =
        look_at_header(in_english(split_header(other.header).name), Dimension::pressure);
    return header.high_letters ? words.low_letters : words.high_letters;
  });
}

/// "Lobby" or "Room 3" without a unit, and numbers as of a room in degC.
bool is_room_by_numbers(const HeaderWords& header, const ColumnSurvey& column) {
  const bool only_room =
      header.words.count("room") > 0 &&
      std::all_of(header.words.begin(), header.words.end(),
                  [](const std::string& word) { return word == "room" || is_filler(word); });
  return only_room && column.unit_text.empty() && column.role == "number" &&
         column.median >= 14.0 && column.median <= 32.0 && column.lowest >= 0.0 &&
         column.highest <= 45.0;
}

/// @param from  what the words are of: the header, or the file's name where the header says nothing
bool propose_by_words(const std::string& text, const char* from, double surest,
                      const ColumnSurvey& column, FileSurvey& survey) {
  const std::string english = in_english(text);
  const bool translated = english != text;
  const Result<Unit> unit = parse_unit(column.unit_text);
  const HeaderWords header =
      look_at_header(english, unit ? std::optional(unit->dimension) : std::nullopt);
  Match best = best_match(header, column);
  if (best.score < 0.6 && header.words == std::set<std::string>{"compressor"} &&
      is_on_off(column)) {
    best = {find_quantity("compressor_on"), 0.75, false};
  }
  const bool unsaid_room = best.score < 0.3 && is_room_by_numbers(header, column);
  if (unsaid_room) best = {find_quantity("room_temperature"), 0.7, false};
  if (best.quantity == nullptr || best.score < 0.3) return false;
  const Quantity& quantity = *best.quantity;
  if (quantity.name == "outdoor_humidity" && names_inside(header)) return false;
  const bool wordy =
      quantity.dimension == Dimension::state || quantity.dimension == Dimension::flag;
  double confidence = std::min(surest, best.score * (best.stated || wordy ? 0.92 : 0.75));
  // A quantity that is measured in many places, without a word of where.
  const bool anywhere =
      quantity.name == "outdoor_humidity" && !header.outdoor && header.words.count("out") == 0;
  if (anywhere) confidence = std::min(confidence, 0.4);
  if (translated || header.by_unit) confidence = std::min(confidence, 0.85);
  // Where the cells are words that such a channel has, too, both agree.
  if (wordy && speaks_of(quantity, column)) confidence = std::min(surest, confidence + 0.12);
  const bool pair = header.high_letters || header.low_letters;
  if (pair) {
    confidence = std::min(confidence, has_partner(column, header, survey) ? 0.8 : 0.6);
  } else if (header.letters) {
    confidence = std::min(confidence, 0.45);
  }
  const bool blown =
      quantity.name == "supply_air_temperature" || quantity.name == "return_air_temperature";
  const bool water = blown && header.words.count("air") == 0 && !header.indoor;
  if (water) confidence = std::min(confidence, 0.5);
  // Temperatures without a unit are seldom anything but degC or degF; pressures may be anything.
  if (quantity.dimension == Dimension::pressure && !best.stated) {
    confidence = std::min(confidence, 0.7);
  }
  propose_channel(place_for(quantity, header), quantity, column, confidence,
                  std::string(from) + (translated ? ", put into English," : "") +
                      " are those of \"" + quantity.label + "\"" +
                      (best.stated ? " and the unit fits"
                       : wordy     ? ""
                                   : "; the unit is not stated") +
                      (water ? "; it may be of water" : "") +
                      (header.letters || pair ? "; the letters may mean something else" : "") +
                      (unsaid_room ? ", and the numbers are those of one" : "") +
                      (anywhere ? "; it does not say where" : ""),
                  survey);
  return true;
}

/// The name of a file without its ending and the number of a table in it.
std::string stem_of(const std::string& file) {
  const std::size_t dot = file.find('.');
  return dot == 0 ? file : file.substr(0, dot);
}

bool propose_by_header(const ColumnSurvey& column, bool only_one, FileSurvey& survey) {
  const HeaderParts parts = split_header(column.header);
  // One signal a file: the file's name says what the header does not.
  const bool mute = only_one && says_nothing(look_at_header(in_english(parts.name), std::nullopt));
  if (mute && propose_by_words(stem_of(survey.file) + " " + parts.name,
                               "the words of the file's name", 0.8, column, survey)) {
    return true;
  }
  return propose_by_words(parts.name, "the header's words", 0.92, column, survey);
}

/// A matrix has one channel, which its titles or its file's name may say.
void propose_matrix(FileSurvey& survey) {
  std::vector<std::string> sayings = survey.titles;
  sayings.push_back(stem_of(survey.file));
  for (const std::string& saying : sayings) {
    // "Outdoor temperature in degC"
    HeaderParts parts = split_header(saying);
    const std::size_t in = parts.name.rfind(" in ");
    if (parts.unit_text.empty() && in != std::string::npos &&
        parse_unit(parts.name.substr(in + 4))) {
      parts = {parts.name.substr(0, in), parts.name.substr(in + 4), 0.8};
    }
    FileSurvey quiet;
    ColumnSurvey column = survey.columns.back();
    column.unit_text = parts.unit_text;
    if (!propose_by_words(parts.name, "the words above the table", 0.8, column, quiet)) continue;
    const Proposal& found = quiet.proposals.front();
    const std::string channel = found.what.substr(3);
    const std::string unit = parts.unit_text.empty() ? "degC" : parts.unit_text;
    survey.proposals.push_back(
        {"shape", "", "each row is a day, and all its numbers are " + channel, found.confidence,
         found.evidence, "[shape]\nmatrix = " + toml_text(channel + " [" + unit + "]")});
    return;
  }
  survey.proposals.push_back(
      {"shape", "", "each row is a day, and all its numbers are one channel", 0.3,
       "the headers are times of day; no word says what the numbers are",
       "[shape]\nmatrix = \"site.outdoor_temperature [degC]\"   # say what they are"});
}

}  // namespace

void propose_channels(const std::vector<SourceTable>& tables, FileSurvey& survey) {
  if (survey.shape == "matrix") {
    if (!survey.columns.empty() && survey.columns.back().role == "number") propose_matrix(survey);
    return;
  }
  std::set<std::string> understood;
  const std::vector<ColumnSurvey> columns = survey.columns;
  const auto read = [](const ColumnSurvey& column) {
    return column.role != "time" && column.role != "empty";
  };
  const bool only_one = std::count_if(columns.begin(), columns.end(), read) == 1;
  for (const ColumnSurvey& column : columns) {
    if (!read(column) || column.role == "channel") continue;
    if (propose_by_header(column, only_one, survey)) understood.insert(column.header);
  }
  propose_by_behaviour(tables, understood, survey);
  std::stable_sort(
      survey.proposals.begin(), survey.proposals.end(),
      [](const Proposal& a, const Proposal& b) { return a.confidence > b.confidence; });
}

}  // namespace cw
