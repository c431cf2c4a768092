#include "fieldwork/pressure_plan.h"

#include "fieldwork/detail/defaults.h"

namespace cw::field {
namespace {

constexpr Shown gauge{"kPa(g)", "psi(g)", 0};

struct Pressures {
  double nameplate = 0.0, weakest = 0.0, tightness = 0.0;  // absolute [Pa]
};

Result<Pressures> read_pressures(const Form& form, const Site& site) {
  const Range range{
      site.barometer + 100e3, 10e6 + site.barometer,
      "a test pressure is above 1 bar gauge and below 100 bar",
      "Read it from the nameplate or the equipment's documents, for example 4.15MPa(g)"};
  Pressures out;
  const auto nameplate = form.need_pressure("--nameplate", site, range);
  if (!nameplate) return nameplate.error();
  out.nameplate = out.weakest = out.tightness = *nameplate;
  if (form.has("--weakest-part")) {
    const auto weakest = form.need_pressure("--weakest-part", site, range);
    if (!weakest) return weakest.error();
    out.weakest = *weakest;
    if (out.nameplate > out.weakest) {
      return Error{ErrorCode::inconsistent,
                   "the test pressure is above the rating of the weakest part connected",
                   "--weakest-part", "Disconnect or close off that part, or test lower"};
    }
  }
  if (form.has("--tightness-pressure")) {
    const auto hold = form.need_pressure("--tightness-pressure", site, range);
    if (!hold) return hold.error();
    out.tightness = *hold;
    if (out.tightness > out.nameplate) {
      return Error{ErrorCode::inconsistent, "the long hold is above the test pressure",
                   "--tightness-pressure", "Hold at most at the pressure of the nameplate"};
    }
  }
  return out;
}

Table steps_table(const Pressures& p, double barometer) {
  const double top = p.nameplate - barometer;
  const detail::Default pre = detail::default_of("tightness.pre_test");
  Table table{"steps",
              "Steps: write down what you read",
              {{"step", "Step", Dimension::count, {}},
               {"pressure", "Pressure", Dimension::pressure, gauge},
               {"hold", "Hold", Dimension::time, Shown{"min", "min", 0}},
               {"what", "What to do", Dimension::ratio, {}},
               {"read", "Read: pressure, temperature, time", Dimension::ratio, {}}},
              {}};
  const auto step = [&](double gauge_pressure, double minutes, std::string what) {
    table.rows.push_back({static_cast<double>(table.rows.size() + 1), barometer + gauge_pressure,
                          minutes * 60.0, std::move(what), std::string()});
  };
  if (pre.value < 0.5 * top) {
    step(pre.value, 10.0, "Pre-test: listen, soap the joints, set right what is heard");
  }
  step(0.5 * top, 5.0, "Half the pressure: wait, read, look");
  for (int tenth = 6; tenth <= 9; ++tenth) {
    step(0.1 * tenth * top, 3.0, "Wait until the gauge stands, read");
  }
  step(top, 30.0, "Test pressure: at least 30 min, nobody near the pipes");
  step(p.tightness - barometer, 24.0 * 60.0,
       "Tightness: read pressure and temperatures at both ends, better log them");
  return table;
}

}  // namespace

Result<FieldSheet> pressure_plan(const Form& form, const Site& site, FieldSheet sheet,
                                 UnitSystem units) {
  const Result<Pressures> read = read_pressures(form, site);
  if (!read) return read.error();
  const double top = read->nameplate - site.barometer;
  sheet.title = "Pressure test plan with nitrogen";
  sheet.because = {"Every pressure below comes from the one that you entered."};
  sheet.inputs = {figure_of("nameplate_pressure", "Test pressure of the nameplate or documents",
                            read->nameplate, Dimension::pressure, "as entered", gauge),
                  figure_of("barometer", "Barometer", site.barometer, Dimension::pressure,
                            site.source, Shown{"kPa(a)", "psi(a)", 2})};
  sheet.results = {figure_of(
      "tightness_pressure", "Pressure of the long hold", read->tightness, Dimension::pressure,
      form.has("--tightness-pressure") ? "as entered" : "the test pressure", gauge)};
  sheet.tables.push_back(steps_table(*read, site.barometer));
  const Writer w(units, site.barometer);
  sheet.formulas = {{"Step", "p = fraction x test pressure", "0.5 x " + w.gauge(read->nameplate),
                     w.gauge(site.barometer + 0.5 * top),
                     "RD 552/2019 IF-09: 1.5 bar, 50 %, then 10 % steps, 30 min"}};
  sheet.next = {
      "Isolate what is rated lower: sensors, relief devices, the outdoor module where its "
      "documents say so.",
      "Set the regulator's relief just above the test pressure before the first step."};
  return sheet;
}

}  // namespace cw::field
