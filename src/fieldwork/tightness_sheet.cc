#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "fieldwork/detail/defaults.h"
#include "fieldwork/pressure_plan.h"
#include "fieldwork/tightness.h"
#include "fieldwork/tightness_log.h"

namespace cw::field {
namespace {

constexpr std::array questions = {
    Question{"--start", "PRESSURE", "pressure at the start, gauge or absolute said: 4.15MPa(g)",
             false, true},
    Question{"--start-temperature", "TEMPERATURE",
             "pipe temperature at the start; several points: 25C,24C", true, true},
    Question{"--end", "PRESSURE", "pressure at the end: 3.915MPa(g)", false, true},
    Question{"--end-temperature", "TEMPERATURE", "the same points at the end", true, true},
    Question{"--volume", "VOLUME", "inner volume of the tested part: 60L", false, true},
    Question{"--hours", "TIME", "time between both readings, in hours or with a unit: 24, 36h, 2d",
             false, true},
    Question{"--start-time", "DATE",
             "instead of the hours: when the test started, 2026-01-14 16:00"},
    Question{"--end-time", "DATE", "and when it ended"},
    Question{"--altitude", "HEIGHT", "site altitude for gauge readings: 1600m or 5280ft"},
    Question{"--barometer", "PRESSURE", "instead: barometer at the start, absolute: 98.2kPa"},
    Question{"--end-barometer", "PRESSURE",
             "barometer at the end (default: not read, see the sheet)"},
    Question{"--gas", "NAME", "test gas; only dry nitrogen is computed (default nitrogen)"},
    Question{"--gauge-uncertainty", "PRESSURE",
             "standard uncertainty of one pressure reading (default 10kPa)"},
    Question{"--temperature-uncertainty", "DIFFERENCE",
             "of the change of the gas temperature (default 1K)"},
    Question{"--barometer-uncertainty", "PRESSURE", "of the change of the barometer"},
    Question{"--refrigerant", "NAME",
             "for the leak that could not have been seen (default R-410A)"},
    Question{"--refrigerant-temperature", "TEMPERATURE",
             "of the refrigerant in service (default 25C)"},
    Question{"--must-see", "MASS", "leak a year that the test has to be able to see: 500g"},
    Question{"--log", "FILE",
             "CSV log instead of two readings: time [h], pressure [MPa(g)], pipe [degC]"},
    Question{"--plan", "", "give the step plan instead; needs the nameplate's pressure"},
    Question{"--nameplate", "PRESSURE",
             "test pressure that the nameplate or documents permit: 4.15MPa(g)"},
    Question{"--weakest-part", "PRESSURE", "rating of the weakest part connected (for the plan)"},
    Question{"--tightness-pressure", "PRESSURE",
             "pressure of the long hold, at most the nameplate's (for the plan)"},
    Question{"--date", "DAY", "day of the work for the sheet: 2026-01-14"},
};

constexpr Shown gauge_pressure{"kPa(g)", "psi(g)", 1};
constexpr Shown small_pressure{"kPa", "psi", 1};
constexpr Shown degrees{"degC", "degF", 1};
constexpr Shown yearly{"g/yr", "oz/yr", 0};

Figure figure(std::string key, std::string label, double value, Dimension dimension, Shown shown,
              std::string source) {
  return figure_of(std::move(key), std::move(label), value, dimension, std::move(source), shown);
}

Status check_gas(const Form& form) {
  const std::string gas = to_lower(form.text_or("--gas", "nitrogen"));
  if (gas == "nitrogen" || gas == "n2" || gas == "dry nitrogen" || gas == "ofn") return Done{};
  std::string why = "\"" + gas + "\" is no test gas here";
  if (gas == "oxygen" || gas == "o2") {
    why = "oxygen is never a test gas: under pressure it explodes with oil";
  } else if (gas == "air" || gas == "compressed air") {
    why = "air is no test gas: it brings water and oxygen, and with oil it can explode";
  } else if (gas == "acetylene" || gas == "hydrogen" || gas == "propane") {
    why = gas + " burns and is no test gas";
  }
  return Error{ErrorCode::unsupported, why, "--gas", "Use dry, oxygen-free nitrogen"};
}

/// Length of the test [s].
Result<double> read_length(const Form& form) {
  const Range range{60.0, 90.0 * 86400.0, "a test lasts minutes to weeks",
                    "Give the time between both readings, for example 24h"};
  const auto hours = form.duration("--hours", range, "h");
  if (!hours) return hours.error();
  if (*hours) return **hours;
  const auto start = form.date("--start-time");
  if (!start) return start.error();
  const auto end = form.date("--end-time");
  if (!end) return end.error();
  if (!*start || !*end) {
    return Error{ErrorCode::not_found, "the time between both readings is missing", "--hours",
                 told(form.reader, "Give --hours 24, or --start-time and --end-time",
                      "Give the hours, for example 24, or start time and end time")};
  }
  const double seconds = seconds_between(**start, **end);
  if (seconds <= 0.0) {
    return Error{ErrorCode::inconsistent, "the test ends before it starts", "--end-time",
                 "Check both dates"};
  }
  if (seconds < range.lowest || seconds > range.highest) {
    return Error{ErrorCode::out_of_range, "the test lasts " + format_duration(seconds),
                 "--end-time", "A test lasts minutes to weeks: check both dates"};
  }
  return seconds;
}

bool is_gauge(const Form& form, std::string_view flag) {
  const std::string text = form.text_or(flag, "");
  const std::size_t at = text.find_first_not_of("+-.0123456789 ");
  if (at == std::string::npos) return false;
  const Result<Unit> unit = parse_unit(text.substr(at));
  return unit && unit->reference == PressureReference::gauge;
}

const Range test_pressures{0.0, 10e6, "no VRF system is tested there",
                           "Give what the gauge shows, for example 4.15MPa(g) or 600psig"};
const Range pipe_temperatures{zero_celsius - 50.0, zero_celsius + 80.0,
                              "no pipe under test has that temperature",
                              "Give the pipe's temperature, for example 25C or 77F"};
const Range volumes{1e-5, 20.0, "the tested part has a volume, and no VRF system holds 20 m3",
                    "Give the inner volume of the tested part, for example 60L or 2.1ft3"};

Status read_uncertainties(const Form& form, bool barometer_twice, TightnessReadings& out) {
  const Range pressures{1.0, 500e3, "no reading is exact, and none that far off is of use",
                        "Give the standard uncertainty of one reading, for example 10kPa"};
  const Range differences{0.01, 20.0, "no reading is exact, and none that far off is of use",
                          "Give the standard uncertainty of the change, for example 1K"};
  const Range weather{0.0, 10e3, "the weather does not change the barometer that much",
                      "Give for example 0.1kPa"};
  auto value = form.quantity_or("--gauge-uncertainty", Dimension::pressure_difference,
                                detail::default_of("tightness.gauge_uncertainty").value, pressures);
  if (!value) return value.error();
  out.u_pressure = *value;
  value =
      form.quantity_or("--temperature-uncertainty", Dimension::temperature_difference,
                       detail::default_of("tightness.temperature_uncertainty").value, differences);
  if (!value) return value.error();
  out.u_temperature = *value;
  const char* key =
      barometer_twice ? "tightness.barometer_uncertainty" : "tightness.barometer_drift";
  value = form.quantity_or("--barometer-uncertainty", Dimension::pressure_difference,
                           detail::default_of(key).value, weather);
  if (!value) return value.error();
  out.u_barometer = *value;
  return Done{};
}

Status read_leak(const Form& form, TightnessReadings& out) {
  out.refrigerant = form.text_or("--refrigerant", "R-410A");
  const Range in_service{zero_celsius - 40.0, zero_celsius + 65.0,
                         "refrigerant at rest has about the temperature of its surroundings",
                         "Give for example 25C"};
  const auto t =
      form.quantity_or("--refrigerant-temperature", Dimension::temperature, 298.15, in_service);
  if (!t) return t.error();
  out.refrigerant_temperature = Kelvin{*t};
  const auto leak = form.quantity("--must-see", Dimension::mass,
                                  {1e-4, 1e3, "a leak to be seen is grams to kilograms a year",
                                   "Give the mass lost a year, for example 500g"});
  if (!leak) return leak.error();
  if (*leak) out.must_see = **leak / seconds_per_year;
  return Done{};
}

Result<TightnessReadings> read_readings(const Form& form, const Site& site) {
  TightnessReadings out;
  out.start_barometer = Pascal{site.barometer};
  const auto start = form.need_pressure("--start", site, test_pressures);
  if (!start) return start.error();
  out.start_pressure = Pascal{*start};
  out.gauge = is_gauge(form, "--start");
  const auto end_barometer =
      form.quantity_or("--end-barometer", Dimension::pressure, site.barometer,
                       {45e3, 112e3, "the air at no site has that pressure",
                        "Give the absolute pressure of the air, for example 98.2kPa"});
  if (!end_barometer) return end_barometer.error();
  out.end_barometer = Pascal{*end_barometer};
  const Site end_site{*end_barometer, "", false};
  const auto end = form.need_pressure("--end", end_site, test_pressures);
  if (!end) return end.error();
  out.end_pressure = Pascal{*end};
  if (out.gauge != is_gauge(form, "--end")) {
    return Error{ErrorCode::inconsistent, "one pressure is gauge and the other absolute", "--end",
                 "Read both on the same instrument and write both the same way"};
  }
  for (const bool at_start : {true, false}) {
    const char* flag = at_start ? "--start-temperature" : "--end-temperature";
    const auto points = form.list(flag, Dimension::temperature, pipe_temperatures);
    if (!points) return points.error();
    if (points->empty()) {
      return Error{ErrorCode::not_found, "this temperature is missing", flag,
                   std::string(pipe_temperatures.fix)};
    }
    for (const double t : *points) {
      (at_start ? out.start_temperatures : out.end_temperatures).push_back(Kelvin{t});
    }
  }
  const auto volume = form.need("--volume", Dimension::volume, volumes);
  if (!volume) return volume.error();
  out.volume = CubicMetre{*volume};
  const auto seconds = read_length(form);
  if (!seconds) return seconds.error();
  out.seconds = *seconds;
  if (Status s = read_uncertainties(form, form.has("--end-barometer"), out); !s) return s.error();
  if (Status s = read_leak(form, out); !s) return s.error();
  return out;
}

std::string points_text(const std::vector<Kelvin>& points, UnitSystem units) {
  std::vector<std::string> shown;
  for (const Kelvin t : points) shown.push_back(format_si(t.value, Dimension::temperature, units));
  return points.size() == 1 ? "as entered" : "mean of " + list_of(shown);
}

void add_inputs(const TightnessReadings& r, const TightnessResult& out, const Site& site,
                const Form& form, UnitSystem units, FieldSheet& sheet) {
  using D = Dimension;
  const auto source = [&](std::string_view flag, std::string_view key) {
    return form.has(flag) ? std::string("as entered") : detail::default_of(key).source;
  };
  sheet.inputs = {
      figure("start_pressure", "Pressure at the start", r.start_pressure.value, D::pressure,
             r.gauge ? gauge_pressure : Shown{"kPa(a)", "psi(a)", 1}, "as entered"),
      figure("start_temperature", "Temperature at the start", out.start_temperature, D::temperature,
             degrees, points_text(r.start_temperatures, units)),
      figure("end_pressure", "Pressure at the end", r.end_pressure.value, D::pressure,
             Shown{"kPa(a)", "psi(a)", 1},
             r.gauge ? "as entered in gauge, with the barometer at the end added" : "as entered"),
      figure("end_temperature", "Temperature at the end", out.end_temperature, D::temperature,
             degrees, points_text(r.end_temperatures, units)),
      figure("barometer", "Barometer at the start", site.barometer, D::pressure,
             Shown{"kPa(a)", "psi(a)", 2}, site.source),
      figure("elapsed_time", "Time between both readings", r.seconds, D::time,
             Shown{"hours", "hours", 1}, "as entered"),
      figure("volume", "Inner volume", r.volume.value, D::volume, Shown{"L", "ft3", 2},
             "as entered"),
      word_of("gas", "Test gas", "nitrogen", "dry, oxygen-free"),
      figure("gauge_uncertainty", "u(p) of one pressure reading", r.u_pressure,
             D::pressure_difference, Shown{"kPa", "psi", 2},
             source("--gauge-uncertainty", "tightness.gauge_uncertainty")),
      figure("temperature_uncertainty", "u(dT) of the temperature change", r.u_temperature,
             D::temperature_difference, Shown{},
             source("--temperature-uncertainty", "tightness.temperature_uncertainty")),
      figure("barometer_uncertainty", "u(b) of the barometer's change", r.u_barometer,
             D::pressure_difference, Shown{"kPa", "psi", 2},
             source("--barometer-uncertainty", form.has("--end-barometer")
                                                   ? "tightness.barometer_uncertainty"
                                                   : "tightness.barometer_drift")),
      word_of("refrigerant", "Refrigerant in service",
              r.refrigerant + " at " +
                  format_si(r.refrigerant_temperature.value, D::temperature, units),
              form.has("--refrigerant") ? "as entered" : "default"),
  };
}

void add_results(const TightnessReadings& r, const TightnessResult& out, FieldSheet& sheet) {
  using D = Dimension;
  const std::string span = "Span et al. 2000, equation of state of nitrogen";
  const std::string law = "scaled from nitrogen by laminar and by choked flow; the larger is shown";
  Figure residual = figure("residual", "Residual r, measured minus predicted", out.residual,
                           D::pressure_difference, small_pressure, "");
  residual.low = out.residual - out.expanded;
  residual.high = out.residual + out.expanded;
  Figure leak =
      figure("leak_unseen", "Leak that this test could not have seen, as " + r.refrigerant,
             out.unseen.refrigerant_high, D::mass_flow, yearly, law);
  sheet.results = {
      figure("predicted_end_pressure", "Predicted end pressure", out.predicted, D::pressure,
             gauge_pressure, span),
      figure("predicted_end_pressure_ideal_gas", "The same by the ideal-gas law, for comparison",
             out.predicted_ideal, D::pressure, gauge_pressure, "p T2/T1"),
      residual,
      std::move(leak),
      figure("slope", "dp/dT at constant density", out.slope, D::pressure_difference,
             Shown{"kPa/K", "psi/F", 2}, span),
      figure("u_pressure", "Term of two pressure readings, sqrt(2) u(p)", out.u_pressure,
             D::pressure_difference, small_pressure, ""),
      figure("u_temperature", "Term of the temperature, dp/dT u(dT)", out.u_temperature,
             D::pressure_difference, small_pressure, ""),
      figure("u_points", "Term of the points' disagreement", out.u_points, D::pressure_difference,
             small_pressure, "standard deviation of the points' changes over sqrt(n)"),
      figure("u_barometer", "Term of the barometer", out.u_barometer, D::pressure_difference,
             small_pressure, ""),
      figure("u_volume", "Term of the pipes' own expansion", out.u_volume, D::pressure_difference,
             small_pressure, detail::default_of("tightness.copper_expansion").source),
      figure("u", "Combined standard uncertainty u(r)", out.u, D::pressure_difference,
             small_pressure, "root of the sum of squares"),
      figure("expanded_uncertainty", "2 u(r), about 95 %", out.expanded, D::pressure_difference,
             small_pressure, ""),
      figure("leak_measured_nitrogen", "Loss of the residual as nitrogen", out.measured.nitrogen,
             D::mass_flow, Shown{"g/day", "g/day", 1}, "m = r V M/(R T t)"),
      figure("leak_throughput_unseen", "Leak not seen, as throughput of nitrogen",
             out.unseen.throughput, D::leak_flow, {}, "2u V/t"),
      figure("leak_unseen_nitrogen", "Leak not seen, as nitrogen", out.unseen.nitrogen,
             D::mass_flow, yearly, ""),
      figure("leak_unseen_low", "Leak not seen, by the smaller of the two flow laws",
             out.unseen.refrigerant_low, D::mass_flow, yearly, ""),
      figure("refrigerant_pressure", "Pressure of the refrigerant behind that leak",
             out.unseen.refrigerant_pressure, D::pressure, gauge_pressure, "saturated vapour"),
  };
}

void add_formulas(const TightnessReadings& r, const TightnessResult& out, const Writer& w,
                  FieldSheet& sheet) {
  sheet.formulas = {
      {"Predicted end pressure", "p2 = p1 (T2/T1) (Z2/Z1), both at the same density",
       w.absolute(r.start_pressure.value) + " x (" + w.kelvin(out.end_temperature) + " / " +
           w.kelvin(out.start_temperature) + ") x (" + fixed(out.z_end, 5) + " / " +
           fixed(out.z_start, 5) + ")",
       w.absolute(out.predicted) + " = " + w.gauge(out.predicted),
       "Z from Span et al. 2000 at " + fixed(out.density, 3) + " kg/m3"},
      {"Residual", "r = p2 measured - p2 predicted",
       w.absolute(r.end_pressure.value) + " - " + w.absolute(out.predicted),
       w.difference(out.residual), ""},
      {"Uncertainty", "u = sqrt( 2 u(p)^2 + (dp/dT u(dT))^2 + u(points)^2 + u(b)^2 + u(V)^2 )",
       "sqrt( 2 x (" + w.difference(r.u_pressure) + ")^2 + (" + w.difference(out.u_temperature) +
           ")^2 + (" + w.difference(out.u_points) + ")^2 + (" + w.difference(out.u_barometer) +
           ")^2 + (" + w.difference(out.u_volume) + ")^2 )",
       "u = " + w.difference(out.u) + ", 2u = " + w.difference(out.expanded),
       "GUM (JCGM 100:2008) 5.1.2, coverage factor 2"},
      {"Leak not seen", "Q = 2u V / t;  m(N2) = Q M/(R T)",
       w.difference(out.expanded) + " x " + w.volume(r.volume.value) + " / " +
           fixed(r.seconds / 3600.0, 1) + " h",
       number_text(out.unseen.throughput, 3) + " Pa m3/s = " + w.per_year(out.unseen.nitrogen) +
           " of nitrogen = " + w.per_year(out.unseen.refrigerant_high) + " of " + r.refrigerant,
       "M = 28.013 g/mol, R = 8.31446 J/(mol K); refrigerant as saturated vapour"},
  };
}

std::vector<std::string> next_steps(TightnessVerdict verdict) {
  switch (verdict) {
    case TightnessVerdict::losing:
      return {
          "Find the leak with the pressure on: soap every joint, flare and valve cap, an "
          "ultrasonic detector, or trace gas in nitrogen.",
          "Let the nitrogen off before any joint is touched; repair; test again from the start."};
    case TightnessVerdict::tight:
      return {
          "Let the nitrogen off slowly and outdoors, then evacuate. A vacuum rise does not "
          "replace this test."};
    case TightnessVerdict::cannot_tell:
      break;
  }
  return {"Hold longer: what the test can see grows with its length.",
          "Read the temperature at several points out of the sun, and the barometer at both ends.",
          "Judge again when the pipe is near the temperature it had at the start."};
}

FieldSheet empty_sheet(const Form& form, const Site& site) {
  FieldSheet sheet;
  sheet.procedure = "tightness";
  sheet.title = "Tightness test with nitrogen";
  sheet.barometer = site.barometer;
  sheet.date = form.text_or("--date", "");
  sheet.cautions = nitrogen_cautions();
  sheet.signed_by = {"Technician", "Witness"};
  sheet.limits = {
      "A leak that opens only when hot, cold or vibrating does not show in a standing test.",
      "The mean of a few clamps is not the temperature of all the gas: sun on a riser, or a pipe "
      "partly indoors, is the largest error of this test."};
  sheet.sources = {
      "R. Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361: equation of state of nitrogen",
      "JCGM 100:2008 (GUM): combined uncertainty",
      "Spain, RD 552/2019, IF-09: pre-test, steps, 30 min, then the tightness pressure",
      "UFGS 15182 and others: 24 h hold with the temperature logged"};
  return sheet;
}

Result<FieldSheet> two_readings(const Form& form, const Site& site, UnitSystem units) {
  const Result<TightnessReadings> readings = read_readings(form, site);
  if (!readings) return readings.error();
  const Result<TightnessResult> result = judge_tightness(*readings);
  if (!result) return result.error();
  FieldSheet sheet = empty_sheet(form, site);
  sheet.verdict = words_of(result->verdict);
  sheet.alarm = result->verdict == TightnessVerdict::losing;
  sheet.because = {result->because};
  if (readings->gauge && site.assumed) {
    sheet.because.push_back(
        "Gauge pressures were turned absolute with the standard atmosphere: give " +
        told(form.reader, "--altitude or --barometer", "altitude or barometer") +
        " for a site above the sea.");
  }
  add_inputs(*readings, *result, site, form, units, sheet);
  add_results(*readings, *result, sheet);
  add_formulas(*readings, *result, Writer(units, site.barometer), sheet);
  for (Figure& f : sheet.results) {
    if (f.key == "slope") f.si_unit = "Pa/K";
  }
  sheet.next = next_steps(result->verdict);
  const double kilogram_a_year = 1.0 / seconds_per_year;
  if (result->unseen.refrigerant_high > kilogram_a_year) {
    const double days =
        readings->seconds / 86400.0 * result->unseen.refrigerant_high / kilogram_a_year;
    sheet.next.push_back("With these uncertainties, a hold of " + fixed(days, 1) +
                         " days would show a leak of 1 kg (2.2 lb) a year.");
  }
  return sheet;
}

void add_log_results(const LogFit& fit, const std::string& refrigerant, double measured,
                     double unseen, const Writer& w, FieldSheet& sheet) {
  using D = Dimension;
  Figure loss = figure("pressure_loss", "Loss at constant temperature", fit.loss,
                       D::pressure_difference, Shown{"kPa/day", "psi/day", 3}, "fit, 95 %");
  loss.low = fit.loss_low;
  loss.high = fit.loss_high;
  loss.si_unit = "Pa/s";
  sheet.results = {
      loss,
      figure("mean_pressure", "Mean pressure", fit.mean_pressure, D::pressure, gauge_pressure, ""),
      figure("mean_temperature", "Mean temperature", fit.mean_temperature, D::temperature, degrees,
             ""),
      figure("temperature_swing", "Temperature, highest minus lowest", fit.swing,
             D::temperature_difference, {}, ""),
      figure("swing_removed", "Pressure swing that temperature explains, taken out",
             fit.swing_removed, D::pressure_difference, small_pressure, "dp/dT of real nitrogen"),
      figure("scatter", "Scatter of what is left", fit.scatter, D::pressure_difference,
             Shown{"kPa", "psi", 2}, ""),
      figure("correlation", "Correlation of neighbouring readings", fit.correlation, D::ratio,
             Shown{"x", "x", 2}, "widens the interval"),
      figure("elapsed_time", "Length of the log", fit.seconds, D::time, Shown{"hours", "hours", 1},
             ""),
      figure("leak_measured", "The fitted loss as " + refrigerant, measured, D::mass_flow, yearly,
             "may be negative: scatter"),
      figure("leak_unseen", "Largest leak that the log leaves possible, as " + refrigerant, unseen,
             D::mass_flow, yearly, "upper end of the interval")};
  sheet.formulas = {
      {"Each reading at the mean temperature", "p' = p(rho(p, T), T mean)",
       "T mean = " + w.kelvin(fit.mean_temperature), "", "Span et al. 2000"},
      {"Fit", "p' = a - L t + b (T - T mean) + c dT/dt", std::to_string(fit.used) + " points",
       "L = " + shown_text(loss, w.units(), sheet.barometer),
       "least squares; interval by Student's t, widened by (1 + r)/(1 - r) for neighbours that "
       "hang together"}};
}

Result<FieldSheet> from_log(const Form& form, const Site& site, UnitSystem units) {
  using D = Dimension;
  const auto file = form.file("--log");
  if (!file) return file.error();
  const std::string& path = file->name;
  const Result<PressureLog> log = read_pressure_log(file->text, path, site.barometer);
  if (!log) return log.error();
  const auto volume = form.need("--volume", D::volume, volumes);
  if (!volume) return volume.error();
  TightnessReadings readings;
  if (Status s = read_uncertainties(form, false, readings); !s) return s.error();
  if (Status s = read_leak(form, readings); !s) return s.error();
  const Result<LogFit> fit =
      fit_tightness_log(log->samples, log->gauge ? readings.u_barometer : 0.0);
  if (!fit) return fit.error();
  const auto equivalent = [&](double loss) {
    return leak_equivalent(loss, Pascal{fit->mean_pressure}, Kelvin{fit->mean_temperature},
                           CubicMetre{*volume}, Pascal{site.barometer}, readings.refrigerant,
                           readings.refrigerant_temperature);
  };
  const auto unseen = equivalent(std::max(0.0, fit->loss_high));
  if (!unseen) return unseen.error();
  const auto measured = equivalent(fit->loss);
  if (!measured) return measured.error();

  FieldSheet sheet = empty_sheet(form, site);
  std::string because;
  const TightnessVerdict verdict = judge_log(*fit, because);
  sheet.verdict = words_of(verdict);
  sheet.alarm = verdict == TightnessVerdict::losing;
  sheet.because = {because};
  if (log->rejected > 0) {
    sheet.because.push_back(std::to_string(log->rejected) + " rows of the log were not used; " +
                            log->first_reject + ".");
  }
  sheet.inputs = {
      word_of("log", "Log", path + ", " + std::to_string(log->samples.size()) + " readings", ""),
      figure("barometer", "Barometer", site.barometer, D::pressure, Shown{"kPa(a)", "psi(a)", 2},
             site.source),
      figure("volume", "Inner volume", *volume, D::volume, Shown{"L", "ft3", 2}, "as entered"),
      figure("barometer_uncertainty", "u(b) of the barometer's change", readings.u_barometer,
             D::pressure_difference, Shown{"kPa", "psi", 2},
             detail::default_of("tightness.barometer_drift").source),
      word_of("refrigerant", "Refrigerant in service", readings.refrigerant, "")};
  add_log_results(*fit, readings.refrigerant, measured->refrigerant_high, unseen->refrigerant_high,
                  Writer(units, site.barometer), sheet);
  sheet.next = next_steps(verdict);
  return sheet;
}

}  // namespace

std::span<const Question> tightness_questions() noexcept { return questions; }

Result<FieldSheet> tightness(const Form& form, UnitSystem units) {
  if (Status s = check_gas(form); !s) return s.error();
  if (form.has("--date")) {
    if (const auto day = form.date("--date"); !day) return day.error();
  }
  const Result<Site> site = read_site(form);
  if (!site) return site.error();
  if (form.has("--plan")) return pressure_plan(form, *site, empty_sheet(form, *site), units);
  if (form.has("--log")) return from_log(form, *site, units);
  return two_readings(form, *site, units);
}

}  // namespace cw::field
