#include <array>
#include <cmath>

#include "base/text.h"
#include "fieldwork/convert.h"
#include "fluid/refrigerant.h"
#include "fluid/saturation.h"

namespace cw::field {
namespace {

using D = Dimension;
constexpr Shown absolute{"kPa(a)", "psi(a)", 2};
constexpr Shown degrees{"degC", "degF", 2};

constexpr std::array questions = {
    Question{"--altitude", "HEIGHT", "site altitude: 1600m or 5280ft", false, true},
    Question{"--barometer", "PRESSURE", "instead: barometer at the site, absolute"},
    Question{"--reading", "PRESSURE", "what a gauge shows there: 0.75MPa(g), 110psig", false, true},
    Question{"--refrigerant", "NAME", "for its saturation temperature (default R-410A)", false,
             true},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

void add_figures(const std::string& text, const std::string& name, double here, double sea,
                 Kelvin t_here, Kelvin t_sea, const Writer& w, FieldSheet& sheet) {
  sheet.inputs.push_back(
      figure_of("reading", "Gauge reading", here, D::pressure, text, Shown{"kPa(g)", "psi(g)", 1}));
  sheet.results.push_back(figure_of("absolute_pressure", "Absolute pressure at the site", here,
                                    D::pressure, "reading + barometer", absolute));
  sheet.results.push_back(figure_of("absolute_pressure_as_at_sea",
                                    "The same if taken as at the sea", sea, D::pressure,
                                    "reading + 101.325 kPa", absolute));
  sheet.results.push_back(figure_of("saturation_temperature",
                                    "Saturation (dew) temperature of " + name, t_here.value,
                                    D::temperature, "equation of state", degrees));
  sheet.results.push_back(figure_of("saturation_error", "Too warm by, if taken as at the sea",
                                    t_sea.value - t_here.value, D::temperature_difference, "",
                                    Shown{"delta_K", "delta_degF", 2}));
  sheet.formulas.push_back({"Absolute pressure", "p = reading + barometer",
                            w.gauge(here) + " + " + w.absolute(sheet.barometer), w.absolute(here),
                            ""});
}

Status add_reading(const Form& form, const Site& site, UnitSystem units, FieldSheet& sheet) {
  const auto text = form.text("--reading");
  if (!text) return Done{};
  const Range range{0.0, 10e6, "no refrigeration gauge reads there",
                    "Give for example 0.75MPa(g) or 110psig"};
  const auto here = read_pressure(*text, site.barometer, range, "--reading");
  if (!here) return here.error();
  const auto sea = read_pressure(*text, standard_atmosphere, range, "--reading");
  if (!sea) return sea.error();
  if (*here == *sea && !site.assumed && std::abs(site.barometer - standard_atmosphere) > 1.0) {
    return Error{ErrorCode::invalid_argument, "an absolute reading does not depend on the altitude",
                 "--reading", "Give what a gauge shows, for example 0.75MPa(g)"};
  }
  const std::string name = form.text_or("--refrigerant", "R-410A");
  auto refrigerant = fluid::find_refrigerant(name);
  if (!refrigerant) {
    refrigerant.error().where = "--refrigerant";
    return refrigerant.error();
  }
  const auto t_here = fluid::dew_temperature(**refrigerant, Pascal{*here});
  const auto t_sea = fluid::dew_temperature(**refrigerant, Pascal{*sea});
  if (!t_here || !t_sea) {
    Error error = t_here ? t_sea.error() : t_here.error();
    error.where = "--reading";
    if (error.fix.empty()) error.fix = "Give a pressure between triple and critical point";
    return error;
  }
  add_figures(*text, name, *here, *sea, *t_here, *t_sea, Writer(units, site.barometer), sheet);
  return Done{};
}

}  // namespace

std::span<const Question> altitude_questions() noexcept { return questions; }

Result<FieldSheet> altitude(const Form& form, UnitSystem units) {
  if (!form.has("--altitude") && !form.has("--barometer")) {
    return Error{ErrorCode::not_found, "neither altitude nor barometer is given", "--altitude",
                 "Give one of them, for example 1600m"};
  }
  if (form.has("--date")) {
    if (const auto day = form.date("--date"); !day) return day.error();
  }
  const Result<Site> site = read_site(form);
  if (!site) return site.error();
  FieldSheet sheet;
  sheet.procedure = "altitude";
  sheet.title = "Altitude, barometer and gauges";
  sheet.barometer = site->barometer;
  sheet.date = form.text_or("--date", "");
  const double z =
      (1.0 - std::pow(site->barometer / standard_atmosphere, 1.0 / 5.2559)) / 2.25577e-5;
  sheet.inputs = {figure_of(
      "altitude", "Altitude", z, D::length,
      form.has("--altitude") ? "as entered" : "that has this barometer in the standard atmosphere",
      Shown{"m", "ft", 0})};
  sheet.results = {
      figure_of("barometer", "Barometer", site->barometer, D::pressure, site->source, absolute),
      figure_of("below_sea", "Below the standard atmosphere by",
                standard_atmosphere - site->barometer, D::pressure_difference, "",
                Shown{"kPa", "psi", 2}),
      figure_of("oxygen_deprivation_limit", "Oxygen deprivation limit at that altitude",
                oxygen_limit_at(Metre{z}), D::ratio,
                "from memory: ASHRAE 34, 140 000 ppm to 1000 m, 112 000 to 1500 m, 69 100 above",
                Shown{"%", "%", 2}),
      figure_of("oxygen_left", "Oxygen left in the air at that limit",
                0.2095 * (1.0 - oxygen_limit_at(Metre{z})), D::ratio, "20.95 % (1 - x)",
                Shown{"%", "%", 1})};
  sheet.formulas = {{"Barometer", "p = 101.325 (1 - 2.25577e-5 z)^5.2559, z in m",
                     "101.325 x (1 - 2.25577e-5 x " + fixed(z, 0) + ")^5.2559",
                     fixed(site->barometer / 1e3, 2) + " kPa", "ASHRAE Fundamentals ch. 1 Eq. 3"}};
  if (Status s = add_reading(form, *site, units, sheet); !s) return s.error();
  sheet.limits = {
      "Weather moves the barometer by 1 to 3 kPa about this figure; weather reports give it "
      "reduced to sea level."};
  sheet.cautions = {
      "Less oxygen at altitude: a concentration of refrigerant that is allowed at the sea may not "
      "be there."};
  sheet.sources = {"ASHRAE Fundamentals (2017) ch. 1 Eq. 3",
                   "Equations of state of the refrigerants"};
  sheet.signed_by = {"Technician"};
  return sheet;
}

}  // namespace cw::field
