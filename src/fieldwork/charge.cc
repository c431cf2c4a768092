#include "fieldwork/charge.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "fieldwork/charge_seats.h"
#include "fieldwork/detail/rules.h"
#include "system/piping.h"
#include "system/sheet.h"

namespace cw::field {
namespace {

using D = Dimension;
constexpr Shown kilograms{"kg", "lb", 2};

constexpr std::array questions = {
    Question{"system", "SYSTEM", "system sheet (TOML)", false, true},
    Question{"--coefficient", "SIZE=MASS",
             "of the equipment's documents, rules over the sheet: 3/8=0.057kg/m", true},
    Question{"--liquid-at", "TEMPERATURE",
             "temperature of the liquid for the check by physics (default 40C)"},
    Question{"--coldest", "TEMPERATURE",
             "coldest outdoor air at the site, for where the charge sits (default -15C)"},
    Question{"--hottest", "TEMPERATURE", "hottest outdoor air at the site (default 35C)"},
    Question{"--without-seasons", "", "leave out where the charge sits, which takes seconds"},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

struct Given {
  const Tube* tube;
  double kg_per_m;
};

Result<std::vector<Given>> read_coefficients(const Form& form) {
  std::vector<Given> out;
  for (const std::string& text : form.all("--coefficient")) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos) {
      return Error{ErrorCode::parse, "\"" + text + "\" is no coefficient", "--coefficient",
                   "Write size=mass per length, for example 3/8=0.057kg/m"};
    }
    Result<const Tube*> tube = find_tube(trim(std::string_view(text).substr(0, equals)));
    if (!tube) {
      tube.error().where = "--coefficient";
      return tube.error();
    }
    const auto mass = read_quantity(std::string_view(text).substr(equals + 1), D::linear_density,
                                    {1e-4, 5.0, "a metre of liquid line holds grams to kilograms",
                                     "Write for example 3/8=0.057kg/m"},
                                    "--coefficient");
    if (!mass) return mass.error();
    out.push_back({*tube, *mass});
  }
  return out;
}

std::optional<double> coefficient_of(const System& system, const std::vector<Given>& given,
                                     const Tube* tube) {
  for (const Given& g : given) {
    if (g.tube == tube) return g.kg_per_m;
  }
  for (const ChargeCoefficient& c : system.charge().coefficients) {
    if (c.tube == tube) return c.kg_per_m;
  }
  return std::nullopt;
}

std::vector<ChargeRun> runs_of(const System& system, const std::vector<Given>& given) {
  std::vector<ChargeRun> out;
  for (const Segment& s : system.segments()) {
    out.push_back({s.id + " " + system.nodes()[s.from].id + " to " + system.nodes()[s.to].id,
                   s.length_m, s.liquid->bore_area_m2(), coefficient_of(system, given, s.liquid)});
  }
  return out;
}

double allowances_of(const System& system) {
  const Charge& c = system.charge();
  return c.allowance_outdoor_kg * static_cast<double>(system.outdoor().size()) +
         c.allowance_branch_kg * static_cast<double>(system.branches().size()) +
         c.allowance_indoor_kg * static_cast<double>(system.indoor().size());
}

void add_segments(const System& system, const std::vector<ChargeRun>& runs, const ChargeSum& sum,
                  FieldSheet& sheet) {
  Table table{"segments",
              "Liquid line by segment",
              {{"segment", "Segment", D::ratio, {}},
               {"tube", "Size", D::ratio, {}},
               {"length", "Length", D::length, Shown{"m", "ft", 1}},
               {"volume", "Volume", D::volume, Shown{"L", "in3", 2}},
               {"coefficient", "Coefficient", D::linear_density, Shown{"kg/m", "lb/ft", 4}},
               {"mass", "Mass", D::mass, kilograms},
               {"physics", "By physics", D::mass, kilograms},
               {"ratio", "Ratio", D::ratio, Shown{"x", "x", 2}}},
              {}};
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const ChargeRun& run = runs[i];
    const double k = run.coefficient.value_or(std::nan(""));
    table.rows.push_back({run.name, system.segments()[i].liquid->name, run.length,
                          run.length * run.bore_area, k, k * run.length, sum.run_physics[i],
                          sum.run_ratio[i]});
  }
  sheet.tables.push_back(std::move(table));
}

void add_warnings(const System& system, const std::vector<ChargeRun>& runs, const ChargeSum& sum,
                  FieldSheet& sheet) {
  std::vector<const Tube*> told;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const Tube* tube = system.segments()[i].liquid;
    const double ratio = sum.run_ratio[i];
    const bool outside = ratio < least_ratio || ratio > largest_ratio;
    if (!outside || std::find(told.begin(), told.end(), tube) != told.end()) continue;
    told.push_back(tube);
    sheet.because.push_back(
        "The coefficient of " + tube->name + " is " + fixed(ratio, 2) +
        " times the liquid in its bore; 1.0 to 1.4 is usual. Check the size, the "
        "unit and the line of the table.");
  }
  if (sum.missing_length > 0.0) {
    sheet.because.push_back(
        fixed(sum.missing_length, 1) +
        " m of liquid line have no coefficient. It is in the equipment's documents; what physics "
        "gives is a check and not a charge.");
  }
}

void add_results(const System& system, const ChargeSum& sum, double allowances, double density,
                 FieldSheet& sheet) {
  const Charge& c = system.charge();
  const double added = system.is_assumed("charge", "added") ? 0.0 : c.added_kg();
  const double nan = std::nan("");
  const bool complete = sum.missing_length == 0.0;
  const double needed = complete ? sum.by_coefficients + allowances : nan;
  double usable = 0.0;
  for (const OutdoorModule& m : system.outdoor()) usable += m.accumulator_usable_m3;
  sheet.results = {
      figure_of("additional_charge", "Additional charge by the documents", needed, D::mass,
                "sum L k + allowances", kilograms),
      figure_of("line_charge", "of it, liquid lines", complete ? sum.by_coefficients : nan, D::mass,
                "sum L k", kilograms),
      figure_of("allowances", "of it, allowances", allowances, D::mass, c.coefficient_source,
                kilograms),
      figure_of("factory_charge", "In the machine as shipped", c.factory_kg, D::mass,
                "the system sheet", kilograms),
      figure_of("added_so_far", "Weighed in so far", added, D::mass, "the system sheet", kilograms),
      figure_of("weigh_in", "To weigh in now", needed - added, D::mass,
                "additional charge - weighed in so far", kilograms),
      figure_of("total_charge", "Total when done", c.factory_kg + needed, D::mass, "", kilograms),
      figure_of("physics_check", "Check: saturated liquid in the bores", sum.physics, D::mass,
                "sum L A rho; a check only", kilograms),
      figure_of("ratio", "Coefficients over physics", complete ? sum.ratio() : nan, D::ratio,
                "usual 1.0 to 1.4: published coefficients exceed liquid by 10 to 35 %",
                Shown{"x", "x", 2}),
      figure_of("accumulator_holds", "Liquid that the accumulators hold below the outlet",
                usable * density, D::mass, "usable volume x rho", kilograms),
      figure_of("internal_volume", "Inside volume of the circuit",
                internal_volume(system).total_m3(), D::volume, "pipes, coils, boxes, accumulators",
                Shown{"L", "ft3", 1})};
  for (Figure& f : sheet.results) {
    // Pounds and ounces, as scales read them.
    if (f.dimension == D::mass && !std::isnan(f.value)) {
      f.source += (f.source.empty() ? "" : "; ") + pounds_and_ounces(f.value);
    }
  }
}

void add_formulas(const ChargeSum& sum, double allowances, double density, double liquid_at,
                  const Writer& w, FieldSheet& sheet) {
  sheet.formulas = {{"Additional charge", "m = sum(L k) + allowances",
                     w.mass(sum.by_coefficients) + " + " + w.mass(allowances),
                     sum.missing_length > 0.0 ? "" : w.mass(sum.by_coefficients + allowances),
                     "lengths and coefficients in the table"},
                    {"Check by physics", "m = rho x sum(L A)",
                     fixed(density, 1) + " kg/m3 x " + fixed(sum.physics / density * 1e3, 2) + " L",
                     w.mass(sum.physics), "saturated liquid at " + w.celsius(liquid_at)}};
}

void close_sheet(const System& system, FieldSheet& sheet) {
  const auto found = detail::rule_refrigerant(system.refrigerant().name());
  sheet.cautions = refrigerant_cautions(found && found->flammable());
  sheet.next = {
      "Weigh in by scale, as liquid, into an evacuated system; trim by subcooling only as "
      "the equipment's documents say.",
      "Write the amount on the label at the unit and into the system sheet."};
  sheet.limits = {
      "Gas lines, oil and refrigerant dissolved in it are inside the coefficients of the "
      "documents, "
      "not in the check by physics."};
  sheet.sources = {
      "Coefficients and allowances: " + (system.charge().coefficient_source.empty()
                                             ? std::string("as entered")
                                             : system.charge().coefficient_source),
      "Tube dimensions: ASTM B280 (read), EN 12735-1 (from memory)",
      "Liquid density: equation of state of " + std::string(system.refrigerant().name())};
  sheet.signed_by = {"Technician", "Commissioning"};
}

}  // namespace

std::span<const Question> charge_questions() noexcept { return questions; }

Result<FieldSheet> charge(const Form& form, UnitSystem units) {
  const auto path = form.text("system");
  if (!path) {
    return Error{ErrorCode::not_found, "the system sheet is missing", "system",
                 "coilwright charge SYSTEM, for example data/systems/demo_office.toml"};
  }
  if (form.has("--date")) {
    if (const auto day = form.date("--date"); !day) return day.error();
  }
  const auto liquid_at =
      form.quantity_or("--liquid-at", D::temperature, from_celsius(40.0).value,
                       {zero_celsius - 20.0, zero_celsius + 65.0,
                        "no liquid line is that warm or cold", "Give for example 40C"});
  if (!liquid_at) return liquid_at.error();
  const auto given = read_coefficients(form);
  if (!given) return given.error();
  const auto file = form.file("system");
  if (!file) return file.error();
  const Result<System> system = parse_system(file->text, file->name);
  if (!system) return system.error();
  const Result<double> density = liquid_density(*system, Kelvin{*liquid_at});
  if (!density) return density.error();
  const auto days = read_design_days(form);
  if (!days) return days.error();
  const std::vector<ChargeRun> runs = runs_of(*system, *given);
  const ChargeSum sum = sum_charge(runs, *density);
  const double allowances = allowances_of(*system);
  FieldSheet sheet;
  sheet.procedure = "charge";
  sheet.title = "Charge worksheet: " + system->name();
  sheet.date = form.text_or("--date", "");
  sheet.verdict = sum.missing_length > 0.0 ? "needs data" : "";
  sheet.inputs = {
      word_of("refrigerant", "Refrigerant", std::string(system->refrigerant().name()),
              "the system sheet"),
      figure_of("liquid_temperature", "Liquid temperature of the check", *liquid_at, D::temperature,
                form.has("--liquid-at") ? "as entered" : "default", Shown{"degC", "degF", 1}),
      figure_of("liquid_density", "Density of saturated liquid there", *density, D::density,
                "equation of state")};
  add_warnings(*system, runs, sum, sheet);
  if (system->is_assumed("charge", "added")) {
    sheet.because.push_back(
        "The sheet does not say what was weighed in so far: zero is taken for the worksheet.");
  }
  add_results(*system, sum, allowances, *density, sheet);
  add_formulas(sum, allowances, *density, *liquid_at, Writer(units, standard_atmosphere), sheet);
  add_segments(*system, runs, sum, sheet);
  close_sheet(*system, sheet);
  // What the documents ask for, where the worksheet is complete; else what the sheet says is in it.
  const double documents = sheet.value_of("total_charge");
  const bool complete = !std::isnan(documents);
  if (form.has("--without-seasons")) return sheet;
  // A compressor's map is a file beside the sheet, which may change without it.
  const bool whole = std::all_of(system->outdoor().begin(), system->outdoor().end(),
                                 [](const OutdoorModule& m) { return m.compressor_map.empty(); });
  add_seats(*system, whole ? file->text : std::string(),
            complete ? documents : system->charge().total_kg(),
            complete ? "total when done" : "the system sheet", *days, units, sheet);
  return sheet;
}

}  // namespace cw::field
