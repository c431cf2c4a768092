#include "fieldwork/rooms.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "fieldwork/detail/rules.h"
#include "fieldwork/room_limits.h"
#include "system/sheet.h"

namespace cw::field {
namespace {

using D = Dimension;
constexpr Shown kilograms{"kg", "lb", 2};
constexpr Shown cubic_metres{"m3", "ft3", 1};

constexpr std::array questions = {
    Question{"system", "SYSTEM", "system sheet (TOML)", false, true},
    Question{"--releasable", "MASS",
             "charge that can escape into one room (default: the whole charge)"},
    Question{"--altitude", "HEIGHT", "site altitude (default: the sheet's)"},
    Question{"--barometer", "PRESSURE", "instead: barometer at the site, absolute"},
    Question{"--lowest-basement", "ROOM", "a room that is a lowest basement", true},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

Mounting mounting_of(IndoorType type) {
  switch (type) {
    case IndoorType::cassette:
    case IndoorType::ducted:
    case IndoorType::ceiling:
      return Mounting::ceiling;
    case IndoorType::wall:
      return Mounting::wall;
    case IndoorType::floor:
      return Mounting::floor;
    default:
      return Mounting::unknown;
  }
}

/// The lowest of the units in a room: what comes out there mixes worst.
Mounting lowest_mounting(const System& system, std::size_t room) {
  Mounting out = Mounting::unknown;
  bool any = false;
  for (const IndoorUnit& unit : system.indoor()) {
    if (unit.room != room) continue;
    const Mounting here = mounting_of(unit.type);
    if (here == Mounting::unknown) return Mounting::unknown;
    if (!any || release_height(here) < release_height(out)) out = here;
    any = true;
  }
  return out;
}

RoomFacts facts_of(const System& system, std::size_t index, const Form& form) {
  const Room& room = system.rooms()[index];
  RoomFacts out;
  out.name = room.name.empty() ? room.id : room.name;
  out.volume = room.volume_m3;
  out.floor_area = room.floor_area_m2;
  out.institutional = room.institutional;
  out.volume_assumed = room.volume_assumed;
  out.mounting = lowest_mounting(system, index);
  for (const std::size_t other : room.connected) {
    // A size that nobody measured adds nothing.
    if (!system.rooms()[other].volume_assumed) out.connected += system.rooms()[other].volume_m3;
  }
  for (const std::string& name : form.all("--lowest-basement")) {
    if (name == room.name || name == room.id) out.lowest_basement = true;
  }
  return out;
}

bool charge_is_assumed(const System& system) {
  return std::any_of(system.assumptions().begin(), system.assumptions().end(),
                     [](const Assumption& a) {
                       return a.place == "charge" || a.key == "charge" || a.key == "factory";
                     });
}

Status check_names(const System& system, const Form& form) {
  for (const std::string& name : form.all("--lowest-basement")) {
    const bool known = std::any_of(system.rooms().begin(), system.rooms().end(),
                                   [&](const Room& r) { return r.name == name || r.id == name; });
    if (known) continue;
    return Error{ErrorCode::not_found, "the sheet has no room \"" + name + "\"",
                 "--lowest-basement", "Use the name or id of a room of the sheet"};
  }
  return Done{};
}

struct Row {
  RoomFacts facts;
  RoomLimit limit;
};

Result<std::vector<Row>> judge_all(const System& system, const Form& form, double charge,
                                   Metre altitude, double barometer) {
  std::vector<Row> out;
  const bool unknown_charge = charge_is_assumed(system) && !form.has("--releasable");
  for (std::size_t i = 0; i < system.rooms().size(); ++i) {
    const RoomFacts facts = facts_of(system, i, form);
    const auto limits = judge_room(facts, system.refrigerant().name(), Kilogram{charge}, altitude,
                                   Pascal{barometer});
    if (!limits) return limits.error();
    for (RoomLimit limit : *limits) {
      if (unknown_charge) limit.verdict = RoomVerdict::needs_data;
      out.push_back({facts, std::move(limit)});
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const Row& a, const Row& b) {
    if (a.limit.verdict != b.limit.verdict) return a.limit.verdict > b.limit.verdict;
    return a.limit.margin < b.limit.margin;
  });
  return out;
}

void add_table(const std::vector<Row>& rows, FieldSheet& sheet) {
  Table table{"rooms",
              "Rooms, worst first",
              {{"room", "Room", D::ratio, {}},
               {"volume", "Volume", D::volume, cubic_metres},
               {"rule", "Rule", D::ratio, {}},
               {"limit", "Limit", D::mass, kilograms},
               {"margin", "Margin", D::mass, kilograms},
               {"verdict", "Verdict", D::ratio, {}},
               {"numbers", "With the numbers", D::ratio, {}},
               {"source", "Source", D::ratio, {}}},
              {}};
  for (const Row& row : rows) {
    std::string name = row.facts.name;
    if (row.facts.institutional) name += " (institutional)";
    if (row.facts.volume_assumed) name += " (size not measured)";
    table.rows.push_back({name, row.facts.effective_volume(), row.limit.rule, row.limit.limit,
                          row.limit.margin, std::string(words_of(row.limit.verdict)),
                          row.limit.formula, row.limit.source});
  }
  sheet.tables.push_back(std::move(table));
}

void add_words(const std::vector<Row>& rows, const System& system, FieldSheet& sheet) {
  const Row& worst = rows.front();
  sheet.verdict = words_of(worst.limit.verdict);
  sheet.alarm = worst.limit.verdict == RoomVerdict::over;
  sheet.because.push_back("Worst: " + worst.facts.name + ", " + worst.limit.rule + ": " +
                          worst.limit.formula + ".");
  if (charge_is_assumed(system)) {
    sheet.because.push_back("The sheet does not say how much refrigerant is in the system.");
  }
  for (const Row& row : rows) {
    if (row.limit.measures.empty() || sheet.next.size() >= 40) continue;
    for (const std::string& measure : row.limit.measures) {
      sheet.next.push_back(row.facts.name + ", " + row.limit.rule + ": " + measure);
    }
  }
  sheet.formulas.push_back({worst.limit.rule + ", " + worst.facts.name,
                            "limit = concentration x volume x factors", worst.limit.formula, "",
                            worst.limit.source});
}

FieldSheet sheet_of(const System& system, const Form& form, double charge, double barometer,
                    const std::string& barometer_source) {
  FieldSheet sheet;
  sheet.procedure = "rooms";
  sheet.title = "Rooms against refrigerant limits: " + system.name();
  sheet.barometer = barometer;
  sheet.date = form.text_or("--date", "");
  sheet.inputs = {
      word_of("refrigerant", "Refrigerant", std::string(system.refrigerant().name()),
              "the system sheet"),
      figure_of("releasable_charge", "Charge that can escape", charge, D::mass,
                form.has("--releasable") ? "as entered" : "the whole charge of the sheet",
                kilograms),
      figure_of("barometer", "Barometer", barometer, D::pressure, barometer_source,
                Shown{"kPa(a)", "psi(a)", 2})};
  sheet.limits = {
      "Which rule applies, and in which edition, is not decided here. Several rules are shown side "
      "by side; a family of rules has more conditions than these figures.",
      "A room within a concentration limit is not safe to enter during a leak.",
      "Connected rooms count only where the opening is permanent and of the size that the code "
      "asks; "
      "the sheet says so, nobody here has seen it."};
  const auto found = detail::rule_refrigerant(system.refrigerant().name());
  sheet.cautions = refrigerant_cautions(found && found->flammable());
  sheet.sources = {
      "ASHRAE 15-2022 and 34 style: EDVC, from memory",
      "EN 378 / ISO 5149 style: practical limit, QLMV, QLAV (Spain, RD 552/2019 IF-04; "
      "klab.ee; rest from memory)",
      "IEC 60335-2-40 style for A2L: RD 552/2019 IF-04; 6, 52, 260 LFL from memory: 2018",
      "Altitude: oxygen limit from memory (ASHRAE 34), and parts per million in thin air"};
  sheet.signed_by = {"Specialist", "Owner or designer"};
  return sheet;
}

}  // namespace

std::span<const Question> rooms_questions() noexcept { return questions; }

Result<FieldSheet> rooms(const Form& form, UnitSystem /*units*/) {
  const auto path = form.text("system");
  if (!path) {
    return Error{ErrorCode::not_found, "the system sheet is missing", "system",
                 "coilwright rooms SYSTEM, for example data/systems/demo_office.toml"};
  }
  if (form.has("--date")) {
    if (const auto day = form.date("--date"); !day) return day.error();
  }
  const auto file = form.file("system");
  if (!file) return file.error();
  const Result<System> system = parse_system(file->text, file->name);
  if (!system) return system.error();
  Result<Site> site = read_site(form);
  if (!site) return site.error();
  const auto entered = form.quantity("--altitude", D::length, {-500.0, 6000.0, "", ""});
  double altitude = entered && *entered ? **entered : system->site().altitude_m;
  if (site->assumed) {
    site->barometer = standard_pressure_at(Metre{altitude}).value;
    site->source = "standard atmosphere at the sheet's altitude, " + fixed(altitude, 0) + " m";
  } else if (form.has("--barometer")) {
    altitude = (1.0 - std::pow(site->barometer / standard_atmosphere, 1.0 / 5.2559)) / 2.25577e-5;
  }
  const auto releasable = form.quantity_or(
      "--releasable", D::mass, system->charge().total_kg(),
      {1e-3, 5e3, "something can escape", "Give the charge that can escape, for example 12kg"});
  if (!releasable) return releasable.error();
  if (*releasable > system->charge().total_kg() * 1.0001 && !charge_is_assumed(*system)) {
    return Error{ErrorCode::inconsistent, "more can escape than the sheet says is in the system",
                 "--releasable", "Correct the charge in the sheet, or leave this figure out"};
  }
  if (Status s = check_names(*system, form); !s) return s.error();
  const auto rows = judge_all(*system, form, *releasable, Metre{altitude}, site->barometer);
  if (!rows) return rows.error();
  FieldSheet sheet = sheet_of(*system, form, *releasable, site->barometer, site->source);
  add_words(*rows, *system, sheet);
  add_table(*rows, sheet);
  return sheet;
}

}  // namespace cw::field
