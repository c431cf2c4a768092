#include "fieldwork/weigh.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "fieldwork/detail/rules.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw::field {
namespace {

using D = Dimension;
constexpr Shown kilograms{"kg", "lb", 3};
constexpr Shown degrees{"degC", "degF", 1};

constexpr std::array questions = {
    Question{"--readings", "MASSES",
             "scale readings with the cylinder on it, in order: 30.20kg,28.95kg,27.40kg", true,
             true},
    Question{"--into", "system|cylinder",
             "where the refrigerant goes: charging or recovery (default system)", false, true},
    Question{"--refrigerant", "NAME", "what is in the cylinder: R-410A", false, true},
    Question{"--tare", "MASS", "tare stamped on the cylinder (with cap and valve as weighed)",
             false, true},
    Question{"--water-capacity", "MASS",
             "water capacity stamped on the cylinder (WC): 21.6kg or 47.7lb", false, true},
    Question{"--fill", "SHARE", "largest share of the volume as liquid (default 80%)"},
    Question{"--temperature", "TEMPERATURE", "of the cylinder for that share (default 25C)"},
    Question{"--target", "MASS", "to be moved in all"},
    Question{"--hose-left", "MASS", "left in hoses and not in the system, taken off"},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

const Range scale{0.05, 2e3, "a cylinder on the scale weighs something",
                  "Give what the scale shows, for example 30.20kg"};

struct Inputs {
  std::vector<double> readings;
  bool into_cylinder = false;
  std::string refrigerant;
  double tare = 0.0, volume = 0.0, fill = 0.8, temperature = 298.15, hose_left = 0.0;
  std::optional<double> target;
};

Status check_direction(const Inputs& in) {
  for (std::size_t i = 1; i < in.readings.size(); ++i) {
    const double out = in.readings[i - 1] - in.readings[i];
    const double slack = 0.005;  // a scale's last digit may wander
    if (in.into_cylinder ? out > slack : out < -slack) {
      return Error{
          ErrorCode::inconsistent,
          "reading " + std::to_string(i + 1) +
              (in.into_cylinder
                   ? " is lighter than the one before, though the cylinder is being filled"
                   : " is heavier than the one before, though the cylinder is being emptied"),
          "--readings",
          "Check the order, and whether a cylinder is filled; tare a new one as a list of its own"};
    }
  }
  for (const double reading : in.readings) {
    if (reading >= in.tare) continue;
    return Error{ErrorCode::inconsistent, "a reading is lighter than the empty cylinder", "--tare",
                 "Check the tare stamped on the collar, and that the scale was zeroed without it"};
  }
  return Done{};
}

Status read_cylinder(const Form& form, Inputs& out) {
  const auto number = [&](std::string_view flag, D dimension, double fallback, const Range& range,
                          double& into_value) -> Status {
    const auto value = form.quantity_or(flag, dimension, fallback, range);
    if (!value) return value.error();
    into_value = *value;
    return Done{};
  };
  const auto tare = form.need("--tare", D::mass, scale);
  if (!tare) return tare.error();
  out.tare = *tare;
  const auto water = form.need("--water-capacity", D::mass,
                               {0.3, 1e3, "a cylinder holds some water",
                                "Give the WC stamped on the collar, for example 21.6kg or 47.7lb"});
  if (!water) return water.error();
  out.volume = *water / 998.2;  // water at 20 degC
  if (Status s = number(
          "--fill", D::ratio, 0.8,
          {0.05, 0.8, "a cylinder is never filled beyond 80 % with liquid", "Give at most 80%"},
          out.fill);
      !s)
    return s.error();
  if (Status s = number("--temperature", D::temperature, 298.15,
                        {zero_celsius - 40, zero_celsius + 60, "a cylinder is kept below 52 °C",
                         "Give for example 25C"},
                        out.temperature);
      !s)
    return s.error();
  if (Status s = number("--hose-left", D::mass, 0.0,
                        {0.0, 5.0, "hoses hold grams", "Give for example 50g"}, out.hose_left);
      !s) {
    return s.error();
  }
  return Done{};
}

Result<Inputs> read_inputs(const Form& form) {
  Inputs out;
  constexpr std::string_view words[] = {"system", "cylinder"};
  const auto into = form.word("--into", words, "system");
  if (!into) return into.error();
  out.into_cylinder = *into == "cylinder";
  const auto readings = form.list("--readings", D::mass, scale);
  if (!readings) return readings.error();
  if (readings->size() < 2) {
    return Error{ErrorCode::not_found, "fewer than two scale readings", "--readings",
                 "Give the readings in order, for example 30.20kg,28.95kg"};
  }
  out.readings = *readings;
  const auto name = form.text("--refrigerant");
  if (!name) {
    return Error{ErrorCode::not_found, "the refrigerant is missing", "--refrigerant",
                 "Give what is in the cylinder, for example R-410A"};
  }
  const auto refrigerant = fluid::find_refrigerant(*name);
  if (!refrigerant || (*refrigerant)->name() == "nitrogen") {
    return Error{ErrorCode::not_found, "\"" + *name + "\" is no refrigerant that we know",
                 "--refrigerant", "Use for example R-410A, R-32, R-454B, R-407C, R-134a or R-22"};
  }
  out.refrigerant = std::string((*refrigerant)->name());
  if (Status st = read_cylinder(form, out); !st) return st.error();
  const auto target = form.quantity(
      "--target", D::mass, {1e-3, 2e3, "something is to be moved", "Give for example 6.5kg"});
  if (!target) return target.error();
  out.target = *target;
  if (Status s = check_direction(out); !s) return s.error();
  return out;
}

void add_table(const Inputs& in, FieldSheet& sheet) {
  Table table{"readings",
              "Readings and running total",
              {{"reading", "Scale", D::mass, kilograms},
               {"contents", "In the cylinder", D::mass, kilograms},
               {"step", "Moved", D::mass, kilograms},
               {"total", "Running total", D::mass, kilograms}},
              {}};
  double total = 0.0;
  const double sign = in.into_cylinder ? -1.0 : 1.0;
  for (std::size_t i = 0; i < in.readings.size(); ++i) {
    const double step = i == 0 ? 0.0 : sign * (in.readings[i - 1] - in.readings[i]);
    total += step;
    table.rows.push_back({in.readings[i], in.readings[i] - in.tare, step, total});
  }
  sheet.tables.push_back(std::move(table));
}

struct Weighed {
  double contents = 0.0, total = 0.0, most = 0.0;  // kg
  double full_at = 0.0;                            // K
};

void add_figures(const Inputs& in, const Form& form, const Weighed& of, FieldSheet& sheet) {
  sheet.inputs = {
      word_of("refrigerant", "Refrigerant", in.refrigerant, "as entered"),
      figure_of("tare", "Tare of the cylinder", in.tare, D::mass, "as entered", kilograms),
      figure_of("cylinder_volume", "Volume by the water capacity", in.volume, D::volume,
                "WC / 998.2 kg/m3 (water at 20 °C)", Shown{"L", "ft3", 3}),
      figure_of("fill", "Largest share as liquid", in.fill, D::ratio,
                form.has("--fill") ? "as entered" : "common practice"),
      figure_of("temperature", "At the temperature", in.temperature, D::temperature,
                form.has("--temperature") ? "as entered" : "default", degrees)};
  sheet.results = {
      figure_of("moved", in.into_cylinder ? "Recovered" : "Charged", of.total, D::mass,
                in.hose_left > 0.0 ? "less what was left in hoses" : "first reading against last",
                kilograms),
      figure_of("contents", "In the cylinder now", of.contents, D::mass, "last reading - tare",
                kilograms),
      figure_of("largest_contents", "Most that the cylinder may hold", of.most, D::mass,
                "0.8 V rho", kilograms),
      figure_of("largest_reading", "Scale reading at that fill", of.most + in.tare, D::mass, "",
                kilograms),
      figure_of("room_left", "Room left", of.most - of.contents, D::mass, "", kilograms),
      figure_of("liquid_full_at", "The contents fill it with liquid at", of.full_at, D::temperature,
                "above it the pressure has no limit", degrees)};
  if (in.target) {
    sheet.results.push_back(figure_of("still_to_move", "Still to move", *in.target - of.total,
                                      D::mass, "target - moved", kilograms));
  }
}

void add_formulas(const Inputs& in, double most, const Writer& w, FieldSheet& sheet) {
  const double density = most / in.fill / in.volume;
  sheet.formulas = {
      {"Moved", "first reading - last reading",
       w.mass(in.readings.front()) + " - " + w.mass(in.readings.back()),
       w.mass(std::abs(in.readings.front() - in.readings.back())), ""},
      {"Largest contents", "m = share x V x rho",
       fixed(in.fill, 2) + " x " + w.volume(in.volume) + " x " + fixed(density, 1) + " kg/m3",
       w.mass(most), "rho of saturated liquid at " + w.celsius(in.temperature)}};
}

void add_words(const Inputs& in, bool overfull, FieldSheet& sheet) {
  const auto refrigerant = fluid::find_refrigerant(in.refrigerant);
  const bool blend = refrigerant && (*refrigerant)->kind() != fluid::FluidKind::pure;
  sheet.verdict = overfull ? "over the fill limit as entered" : "";
  sheet.alarm = overfull;
  if (overfull) {
    sheet.because.push_back(
        "The cylinder holds more than the share allows: it bursts when it warms. "
        "Stop and move the excess into another cylinder.");
  }
  if (blend) {
    sheet.because.push_back(
        in.refrigerant +
        " is a blend: take it from the cylinder as liquid, and "
        "throttle it into the suction side. Taken as vapour its composition, and "
        "what is left, change.");
  }
  sheet.next = {"Weigh again after closing the valve: liquid in the hose counts as moved.",
                "Write the movement into the leak register on the day."};
  sheet.limits = {
      "A scale says what left the cylinder, not what reached the system: hoses, purging "
      "and venting lie between."};
  const auto rules = detail::rule_refrigerant(in.refrigerant);
  sheet.cautions = refrigerant_cautions(rules && rules->flammable());
  sheet.cautions.push_back(
      "Recovered refrigerant goes only into a recovery cylinder in date, never "
      "into a disposable one, and never mixed.");
  sheet.sources = {
      "80 % by volume as liquid: common practice of recovery cylinders; the stamp on the "
      "collar and the transport rules decide",
      "Liquid density from the equation of state of the refrigerant"};
  sheet.signed_by = {"Technician"};
}

}  // namespace

std::vector<double> moved(std::span<const double> readings) {
  std::vector<double> out;
  for (std::size_t i = 1; i < readings.size(); ++i) out.push_back(readings[i - 1] - readings[i]);
  return out;
}

Result<Kilogram> largest_fill(std::string_view refrigerant, CubicMetre cylinder, Kelvin t,
                              double share) {
  const auto found = fluid::find_refrigerant(refrigerant);
  if (!found) return found.error();
  const auto liquid = fluid::state_from(**found, fluid::InputPair::T_q, t.value, 0.0);
  if (!liquid) return liquid.error();
  return Kilogram{share * cylinder.value * liquid->rho};
}

Result<Kelvin> liquid_full_at(std::string_view refrigerant, CubicMetre cylinder,
                              Kilogram contents) {
  const auto found = fluid::find_refrigerant(refrigerant);
  if (!found) return found.error();
  const double wanted = contents.value / cylinder.value;
  double low = 233.15;
  double high = (*found)->critical_temperature().value;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (low + high);
    const auto liquid = fluid::state_from(**found, fluid::InputPair::T_q, middle, 0.0);
    // Too close to the critical point counts as thin.
    (liquid && liquid->rho > wanted ? low : high) = middle;
  }
  return Kelvin{0.5 * (low + high)};
}

std::span<const Question> weigh_questions() noexcept { return questions; }

Result<FieldSheet> weigh(const Form& form, UnitSystem units) {
  if (form.has("--date")) {
    if (const auto day = form.date("--date"); !day) return day.error();
  }
  const Result<Inputs> in = read_inputs(form);
  if (!in) return in.error();
  const CubicMetre cylinder{in->volume};
  const auto most = largest_fill(in->refrigerant, cylinder, Kelvin{in->temperature}, in->fill);
  if (!most) return most.error();
  const double contents = in->readings.back() - in->tare;
  const auto full = liquid_full_at(in->refrigerant, cylinder, Kilogram{std::max(contents, 1e-6)});
  if (!full) return full.error();
  const double out = in->readings.front() - in->readings.back();
  const double total = (in->into_cylinder ? -out : out) - in->hose_left;
  FieldSheet sheet;
  sheet.procedure = "weigh";
  sheet.title = in->into_cylinder ? "Recovery by weight" : "Charging by weight";
  sheet.date = form.text_or("--date", "");
  add_figures(*in, form, {contents, total, most->value, full->value}, sheet);
  add_formulas(*in, most->value, Writer(units, standard_atmosphere), sheet);
  add_table(*in, sheet);
  add_words(*in, contents > most->value, sheet);
  return sheet;
}

}  // namespace cw::field
