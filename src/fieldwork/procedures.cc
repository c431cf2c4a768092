#include "fieldwork/procedures.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "fieldwork/charge.h"
#include "fieldwork/convert.h"
#include "fieldwork/evacuation.h"
#include "fieldwork/leak_rate.h"
#include "fieldwork/rooms.h"
#include "fieldwork/tightness.h"
#include "fieldwork/weigh.h"

namespace cw::field {
namespace {

constexpr std::array all = {
    Procedure{"tightness", "Tightness test with nitrogen", tightness_questions, tightness},
    Procedure{"evacuation", "Evacuation and rise test", evacuation_questions, evacuation},
    Procedure{"charge", "Charge worksheet", charge_questions, charge},
    Procedure{"weigh", "Weighing refrigerant in or out", weigh_questions, weigh},
    Procedure{"rooms", "Rooms against refrigerant limits", rooms_questions, rooms},
    Procedure{"leak-rate", "Leak rate and register", leak_rate_questions, leak_rate},
    Procedure{"altitude", "Air pressure of a site", altitude_questions, altitude},
    Procedure{"convert", "Converting a value", convert_questions, convert},
};

struct UnitsOf {
  std::string_view value_name;
  std::vector<std::string_view> units;
};

const std::vector<UnitsOf>& units_by_value() {
  static const std::vector<UnitsOf> table = {
      {"PRESSURE",
       {"kPa(g)", "MPa(g)", "bar(g)", "psi(g)", "kPa(a)", "bar(a)", "psi(a)", "micron", "Pa",
        "kPa"}},
      {"TEMPERATURE", {"degC", "degF", "K"}},
      {"DIFFERENCE", {"K", "degF"}},
      {"MASS", {"kg", "g", "lb", "oz"}},
      {"VOLUME", {"L", "m3", "ft3", "gal"}},
      {"HEIGHT", {"m", "ft"}},
      {"LENGTH", {"mm", "m", "in", "ft"}},
      {"TIME", {"h", "min", "d"}},
      {"SHARE", {"%"}},
  };
  return table;
}

}  // namespace

std::span<const Procedure> procedures() noexcept { return all; }

const Procedure* find_procedure(std::string_view name) noexcept {
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const Procedure& p) { return p.name == name; });
  return found == all.end() ? nullptr : &*found;
}

std::string_view name_of(AnswerKind kind) noexcept {
  switch (kind) {
    case AnswerKind::quantity:
      return "quantity";
    case AnswerKind::one_of:
      return "choice";
    case AnswerKind::text:
      return "text";
    case AnswerKind::day:
      return "day";
    case AnswerKind::toggle:
      return "switch";
    case AnswerKind::file:
      return "file";
  }
  return "text";
}

AnswerForm answer_form(const Question& question) {
  const std::string_view name = question.value_name;
  if (name.empty()) return {AnswerKind::toggle, {}, {}};
  if (name == "FILE" || name == "SYSTEM") return {AnswerKind::file, {}, {}};
  if (name == "DAY") return {AnswerKind::day, {}, {}};
  if (name.find('|') != std::string_view::npos) {
    const std::vector<std::string_view> words = split(name, '|');
    return {AnswerKind::one_of, {}, words};
  }
  for (const UnitsOf& row : units_by_value()) {
    if (row.value_name == name) return {AnswerKind::quantity, row.units, {}};
  }
  return {AnswerKind::text, {}, {}};
}

}  // namespace cw::field
