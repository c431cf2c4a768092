#include <array>
#include <cstdio>

#include "base/file.h"
#include "base/text.h"
#include "cli/command.h"
#include "cli/site.h"
#include "report/fluid_report.h"
#include "report/ph_chart.h"

namespace cw::cli {
namespace {

constexpr std::array flags = {
    Flag{"--T", "TEMPERATURE", "temperature, for example 120F or -20C"},
    Flag{"--p", "PRESSURE", "pressure, for example 418psig or 2.4MPa; without (g) it is absolute"},
    Flag{"--q", "QUALITY", "vapour fraction by mass, 0 bubble point to 1 dew point, or 35%"},
    Flag{"--h", "ENTHALPY", "specific enthalpy, for example 250kJ/kg or 110Btu/lb"},
    Flag{"--s", "ENTROPY", "specific entropy, for example 1.75kJ/(kgK)"},
    Flag{"--rho", "DENSITY", "density, for example 30kg/m3"},
    Flag{"--u", "ENERGY", "specific internal energy, for example 230kJ/kg"},
    Flag{"--superheat", "DIFFERENCE", "above the dew point, with --p or --T, for example 8K"},
    Flag{"--subcooling", "DIFFERENCE", "below the bubble point, with --p or --T, for example 10F"},
    Flag{"--table", "FIRST:LAST:STEP", "saturation table, for example -40C:65C:5C"},
    Flag{"--chart", "FILE", "write a pressure-enthalpy chart (SVG, A4 landscape)"},
    Flag{"--altitude", "HEIGHT", "site altitude for gauge pressures, for example 1600m or 5280ft"},
    Flag{"--barometer", "PRESSURE", "barometric pressure at the site, for example 98.2kPa"},
    Flag{"--reference", "STATE", "reference state: iir (usual), ashrae, nbp or published"},
    Flag{"--units", "si|ip", "units in texts and charts (default si)"},
    Flag{"--json", "", "print JSON in SI (schema coilwright.fluid/1) instead of text"},
    Flag{"--list", "", "list the refrigerants and stop"},
};

struct Options {
  UnitSystem units = UnitSystem::si;
  Barometer barometer;
  fluid::ReferenceState reference = fluid::ReferenceState::usual;
};

Result<Options> read_options(const Arguments& arguments) {
  Options out;
  const Result<UnitSystem> units = arguments.units();
  if (!units) return units.error();
  out.units = *units;
  const Result<Site> site = read_site(arguments);
  if (!site) return site.error();
  out.barometer = site->barometer(*units);
  if (const auto text = arguments.value("--reference")) {
    const auto reference = fluid::reference_state_named(*text);
    if (!reference) {
      return Error{ErrorCode::invalid_argument, "\"" + *text + "\" is no reference state",
                   "--reference", "Use iir, ashrae, nbp or published"};
    }
    out.reference = *reference;
  }
  return out;
}

Result<FluidQuery> read_query(const Arguments& arguments, const Options& options) {
  struct Input {
    std::string_view flag;
    Dimension dimension;
    std::optional<double> FluidQuery::*member;
  };
  constexpr std::array inputs = {
      Input{"--T", Dimension::temperature, &FluidQuery::T},
      Input{"--p", Dimension::pressure, &FluidQuery::p},
      Input{"--q", Dimension::ratio, &FluidQuery::q},
      Input{"--h", Dimension::specific_energy, &FluidQuery::h},
      Input{"--s", Dimension::specific_entropy, &FluidQuery::s},
      Input{"--rho", Dimension::density, &FluidQuery::rho},
      Input{"--u", Dimension::specific_energy, &FluidQuery::u},
      Input{"--superheat", Dimension::temperature_difference, &FluidQuery::superheat},
      Input{"--subcooling", Dimension::temperature_difference, &FluidQuery::subcooling},
  };
  FluidQuery query;
  query.reference = options.reference;
  for (const Input& input : inputs) {
    const auto value =
        arguments.quantity(input.flag, input.dimension, options.barometer.pressure.value);
    if (!value) return value.error();
    query.*input.member = *value;
  }
  return query;
}

bool any_input(const FluidQuery& query) {
  return query.T || query.p || query.q || query.h || query.s || query.rho || query.u ||
         query.superheat || query.subcooling;
}

Error table_error(const std::string& text, std::string message) {
  return {
      ErrorCode::parse, "\"" + text + "\": " + std::move(message), "--table",
      "Write first, last and step with units, for example -40C:65C:5C or 100psig:500psig:25psi"};
}

/// "-40C:65C:5C"; the first part's unit says whether rows step in temperature or in pressure.
Result<FluidTableQuery> read_table(const std::string& text, const Options& options) {
  const auto parts = split(text, ':');
  if (parts.size() != 3) return table_error(text, "three parts are needed");
  FluidTableQuery query;
  query.reference = options.reference;
  const double air = options.barometer.pressure.value;
  query.by_temperature = !parse_quantity(parts[0], Dimension::pressure, air).has_value();
  const Dimension dimension = query.by_temperature ? Dimension::temperature : Dimension::pressure;
  const Dimension step =
      query.by_temperature ? Dimension::temperature_difference : Dimension::pressure_difference;
  const auto first = parse_quantity(parts[0], dimension, air);
  if (!first) return table_error(text, first.error().message);
  const auto last = parse_quantity(parts[1], dimension, air);
  if (!last) return table_error(text, last.error().message);
  const auto by = parse_quantity(parts[2], step);
  if (!by) return table_error(text, by.error().message);
  query.first = *first;
  query.last = *last;
  query.step = *by;
  return query;
}

int print_table(const fluid::Refrigerant& refrigerant, const std::string& text,
                const Arguments& arguments, const Options& options) {
  const auto query = read_table(text, options);
  if (!query) return report_error(query.error());
  const auto table = saturation_table(refrigerant, *query, options.units);
  if (!table) {
    Error error = table.error();
    error.where = "--table";
    return report_error(error);
  }
  print(arguments.has("--json") ? fluid_table_json(*table, options.barometer)
                                : fluid_table_text(*table, options.barometer, options.units));
  return ExitCode::ran;
}

int write_chart(const fluid::Refrigerant& refrigerant, const std::string& file,
                const Options& options) {
  const auto chart = ph_chart(refrigerant, options.reference, options.units);
  if (!chart) return report_error(chart.error());
  if (Status s = write_file(file, chart->svg); !s) return report_error(s.error());
  std::fprintf(stderr, "Chart written to %s\n", file.c_str());
  return ExitCode::ran;
}

int run(const Arguments& arguments) {
  const Result<Options> options = read_options(arguments);
  if (!options) return report_error(options.error());
  if (arguments.has("--list")) {
    print(arguments.has("--json") ? fluid_list_json() : fluid_list_text(options->units));
    return ExitCode::ran;
  }
  if (arguments.positional.size() != 1) {
    return report_error(
        {ErrorCode::invalid_argument,
         arguments.positional.empty() ? "no refrigerant was named" : "one refrigerant at a time",
         "", "For example: coilwright fluid R-410A --p 418psig; --list names them"});
  }
  const auto refrigerant = fluid::find_refrigerant(arguments.positional.front());
  if (!refrigerant) return report_error(refrigerant.error());
  const Result<FluidQuery> query = read_query(arguments, *options);
  if (!query) return report_error(query.error());
  const auto table = arguments.value("--table");
  const auto chart = arguments.value("--chart");
  if (table && any_input(*query)) {
    return report_error({ErrorCode::invalid_argument, "a table takes no further state", "--table",
                         "Leave out the other inputs"});
  }
  if (chart) {
    const int status = write_chart(**refrigerant, *chart, *options);
    if (status != ExitCode::ran || (!table && !any_input(*query))) return status;
  }
  if (table) return print_table(**refrigerant, *table, arguments, *options);
  const auto found = answer(**refrigerant, *query, options->units);
  if (!found) return report_error(found.error());
  print(arguments.has("--json") ? fluid_json(*found, options->barometer)
                                : fluid_text(*found, options->barometer, options->units));
  return ExitCode::ran;
}

}  // namespace

const Command fluid_command = {
    "fluid",
    "States, saturation tables and charts of a refrigerant",
    "REFRIGERANT",
    "for example R-410A; --list names them",
    false,
    flags,
    "--p or --T alone gives bubble and dew. Two inputs give a state: T and p, T and rho, p and h,\n"
    "p and s, h and s, p and q, T and q, rho and h, rho and u.\n"
    "  coilwright fluid R-410A --p 418psig\n"
    "  coilwright fluid R-32 --p 1.2MPa(g) --superheat 8K\n"
    "  coilwright fluid R-454B --table -40C:65C:5C --units ip\n"
    "Exit: 0 ran, 2 wrong usage or a state that does not exist.",
    run};

}  // namespace cw::cli
