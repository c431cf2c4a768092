#include "ingest/header.h"

#include <algorithm>
#include <array>

#include "base/text.h"

namespace cw {
namespace {

/// Splits "name [unit]" or "name (unit)"; a unit without brackets is not guessed here.
void split_unit(std::string_view header, std::string_view& name, std::string_view& unit) {
  name = trim(header);
  unit = {};
  if (name.empty()) return;
  const char close = name.back();
  if (close != ']' && close != ')') return;
  const char open = close == ']' ? '[' : '(';
  // The bracket that opens at depth zero: "psi(g)" may stand inside.
  int depth = 0;
  for (std::size_t i = name.size(); i-- > 0;) {
    if (name[i] == close) ++depth;
    if (name[i] == open && --depth == 0) {
      unit = trim(name.substr(i + 1, name.size() - i - 2));
      name = trim(name.substr(0, i));
      return;
    }
  }
}

/// Brackets of full width, as Japanese and Chinese headers have them, as plain ones.
std::string with_plain_brackets(std::string_view header) {
  struct Row {
    std::string_view wide;
    char plain;
  };
  constexpr std::array rows = {Row{"\xEF\xBC\x88", '('}, Row{"\xEF\xBC\x89", ')'},
                               Row{"\xEF\xBC\xBB", '['}, Row{"\xEF\xBC\xBD", ']'},
                               Row{"\xE3\x80\x90", '['}, Row{"\xE3\x80\x91", ']'}};
  std::string out;
  for (std::size_t i = 0; i < header.size();) {
    const auto row = std::find_if(rows.begin(), rows.end(), [&](const Row& r) {
      return header.substr(i).starts_with(r.wide);
    });
    out += row == rows.end() ? header[i] : row->plain;
    i += row == rows.end() ? 1 : row->wide.size();
  }
  return out;
}

/// A unit of one letter as the last word, where the rest of the name says what it measures:
/// "T_suction_C", "Supply Temp F", "Total_Power_W". Empty where it does not.
std::string letter_unit(std::string_view name, std::string_view word, char cut) {
  if (word.size() != 1) return {};
  const std::string low = to_lower(name);
  const auto has = [&](const char* text) { return low.find(text) != std::string::npos; };
  const auto symbol = [&](char letter) {
    return low.size() > 1 && low[0] == letter && (low[1] == '_' || low[1] == ' ');
  };
  const std::size_t words =
      1 + static_cast<std::size_t>(
              std::count_if(low.begin(), low.end(), [](char c) { return c == ' ' || c == '_'; }));
  // "Temp C" may be the third of three, "Supply Temp C" hardly.
  const bool enough = cut == '_' || words > 1;
  switch (word.front()) {
    case 'C':
      return enough && (symbol('t') || has("temp")) ? "degC" : "";
    case 'F':
      return enough && (symbol('t') || has("temp")) ? "degF" : "";
    case 'W':
      return has("power") || has("pwr") || symbol('p') ? "W" : "";
    case 'A':
      return has("current") || has("amp") || symbol('i') ? "A" : "";
    case 'V':
      return has("volt") || symbol('u') ? "V" : "";
    default:
      return {};
  }
}

/// A last word that is long enough to be no letter of a name.
bool is_sure_unit(std::string_view word) {
  constexpr std::array sure = {"degC",
                               "degF",
                               "\xC2\xB0"
                               "C",
                               "\xC2\xB0"
                               "F",
                               "\xE2\x84\x83",
                               "kPa",
                               "MPa",
                               "bar",
                               "barg",
                               "bara",
                               "psi",
                               "psig",
                               "psia",
                               "kPag",
                               "kPaa",
                               "mbar",
                               "kW",
                               "kWh",
                               "Wh",
                               "Hz",
                               "rpm",
                               "RPM",
                               "cfm",
                               "CFM",
                               "gpm",
                               "GPM",
                               "LPM",
                               "%",
                               "m3/h",
                               "L/s",
                               "l/s",
                               "kg/s",
                               "kg/h",
                               "g/s",
                               "pct",
                               "MJ",
                               "BTU/h"};
  return std::find(sure.begin(), sure.end(), word) != sure.end();
}

bool needs_no_unit(const Quantity& quantity) {
  return quantity.dimension == Dimension::flag || quantity.dimension == Dimension::state ||
         quantity.dimension == Dimension::count || quantity.name == "pressure_ratio";
}

}  // namespace

std::optional<ChannelHeader> read_channel_header(std::string_view header) {
  std::string_view name;
  std::string_view unit;
  split_unit(header, name, unit);
  const std::size_t dot = name.rfind('.');
  if (dot == std::string_view::npos) return std::nullopt;
  const std::optional<Place> place = parse_place(name.substr(0, dot));
  const Quantity* quantity = quantity_called(name.substr(dot + 1));
  if (!place || quantity == nullptr) return std::nullopt;
  return ChannelHeader{*place, quantity, std::string(unit)};
}

Result<QuantityInUnit> unit_for(const Quantity& quantity, std::string_view unit_text) {
  if (trim(unit_text).empty()) {
    if (needs_no_unit(quantity)) {
      Unit plain;
      plain.dimension = quantity.dimension;
      plain.symbol = "1";
      return QuantityInUnit{&quantity, plain};
    }
    return Error{ErrorCode::unit, "the " + quantity.label + " has no unit", "",
                 "Write it behind the name, for example [" +
                     std::string(display_unit(quantity.dimension, UnitSystem::si).symbol) + "]"};
  }
  const Result<Unit> unit = parse_unit(unit_text);
  if (!unit) return unit.error();
  if (const auto fitting = unit->as(quantity.dimension)) return QuantityInUnit{&quantity, *fitting};
  if (const Quantity* other = find_quantity(quantity.alternative)) {
    if (const auto fitting = unit->as(other->dimension)) return QuantityInUnit{other, *fitting};
  }
  return Error{
      ErrorCode::unit,
      "the unit \"" + std::string(unit_text) + "\" measures a " +
          std::string(name_of(unit->dimension)) + ", but " + quantity.label + " is a " +
          std::string(name_of(quantity.dimension)),
      "",
      "Use a unit such as " + std::string(display_unit(quantity.dimension, UnitSystem::si).symbol)};
}

std::string_view without_twin(std::string_view header) {
  const std::size_t at = header.rfind(twin_mark);
  if (at == std::string_view::npos || at == 0) return header;
  const std::string_view number = header.substr(at + twin_mark.size());
  const bool digits = !number.empty() && number.size() < 5 &&
                      number.find_first_not_of("0123456789") == std::string_view::npos;
  return digits ? header.substr(0, at) : header;
}

HeaderParts split_header(std::string_view cell) {
  const std::string plain = with_plain_brackets(without_twin(cell));
  const std::string_view header = plain;
  std::string_view name;
  std::string_view unit;
  split_unit(header, name, unit);
  const auto is_unit = [](std::string_view text) { return parse_unit(text).has_value(); };
  // "HP bar(g)": the bracket belongs to the word before it, and is no gram.
  if (const std::size_t cut = header.find_last_of(" _"); cut != std::string_view::npos && cut > 0) {
    const std::string_view word = trim(header.substr(cut + 1));
    const std::size_t bracket = word.find('(');
    const bool inside = bracket != std::string_view::npos && bracket > 0 && word.front() != '[';
    const Result<Unit> said = inside ? parse_unit(word) : Result<Unit>(Error{});
    if (said && said->reference != PressureReference::unstated) {
      return {std::string(trim(header.substr(0, cut))), std::string(word), 0.9};
    }
  }
  if (!unit.empty() && is_unit(unit)) {
    return {std::string(name), std::string(unit), 0.97};
  }
  // "Temp, °C (serial 1069)": the part behind a comma, up to a bracket.
  const std::size_t comma = header.find(',');
  if (comma != std::string_view::npos) {
    std::string_view tail = header.substr(comma + 1);
    const std::string_view short_tail = trim(tail.substr(0, tail.find_first_of("([,")));
    for (const std::string_view text : {trim(tail), short_tail}) {
      if (!text.empty() && is_unit(text)) {
        return {std::string(trim(header.substr(0, comma))), std::string(text), 0.95};
      }
    }
  }
  // The last word, where it is long enough to be no letter of a name: "Import kWh", "temp_degC".
  const std::string_view whole = trim(header);
  const std::size_t cut = whole.find_last_of(" _");
  if (cut != std::string_view::npos && cut > 0) {
    const std::string_view word = whole.substr(cut + 1);
    if (is_sure_unit(word) && is_unit(word)) {
      return {std::string(trim(whole.substr(0, cut))), std::string(word), 0.75};
    }
    const std::string letter = letter_unit(whole.substr(0, cut), word, whole[cut]);
    if (!letter.empty()) return {std::string(trim(whole.substr(0, cut))), letter, 0.6};
  }
  return {std::string(whole), std::string(), 0.0};
}

bool names_time(std::string_view header) {
  std::string folded = to_lower(trim(header));
  // What follows a comma or a bracket is a zone or a unit.
  if (const std::size_t cut = folded.find_first_of(",([;"); cut != std::string::npos && cut > 0) {
    folded.resize(cut);
  }
  std::erase_if(folded, [](char c) {
    return c == ' ' || c == '_' || c == '-' || c == '.' || c == '/' || c == '"' || c == '&';
  });
  constexpr std::array names = {
      "time",        "timestamp",   "datetime",   "date",          "sitetime",    "timeutc",
      "utctime",     "localtime",   "timelocal",  "epoch",         "unixtime",    "epochtime",
      "dateandtime", "datetimeutc", "t",          "timestamputc",  "epochs",      "epochms",
      "instant",     "clock",       "ts",         "sitetimestamp", "elapsed",     "elapsedtime",
      "datum",       "zeit",        "uhrzeit",    "datumzeit",     "zeitstempel", "fecha",
      "hora",        "fechahora",   "heure",      "dateheure",     "horodatage",  "data",
      "dataora",     "ora",         "tijd",       "datumtijd",     "tid",         "tidspunkt",
      "dato",        "aika",        "cas",        "hour",          "hourstart",   "periodstart",
      "starttime",   "start",       "recordtime", "logtime",       "sampletime",  "timesec",
      "times",       "timemin",     "timems",     "timeh",         "seconds",     "minutes",
      "hours",       "runtime",     "testtime",   "readingtime",   "measuretime"};
  return std::find(names.begin(), names.end(), folded) != names.end();
}

}  // namespace cw
