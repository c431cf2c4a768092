#include <cmath>

#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/fieldwork.h"
#include "fieldwork/detail/defaults.h"
#include "fieldwork/detail/evacuation_parts.h"
#include "fieldwork/evacuation.h"

namespace cw::field::detail {
namespace {

using D = Dimension;
constexpr Shown microns{"micron", "micron", 0};
constexpr Shown micron_rate{"micron/min", "micron/min", 2};

struct Rule {
  std::string title, source;
  double target = 0.0, hold = 0.0;
  double largest_end = 0.0;   // Pa, 0 when the rule has none
  double largest_rise = 0.0;  // Pa, 0 when the rule has none
};

Result<Rule> rule_named(const std::string& name) {
  for (const EmbeddedFile& file : embedded::fieldwork()) {
    if (!file.name.ends_with("evacuation.toml")) continue;
    const Result<toml::table> table = parse_toml(file.text, file.name);
    if (!table) return table.error();
    const toml::table* rule = (*table)[name].as_table();
    if (rule == nullptr) break;
    Rule out;
    out.title = (*rule)["title"].value_or(std::string{});
    out.source = (*rule)["source"].value_or(std::string{});
    const auto quantity = [&](std::string_view key, Dimension dimension) {
      return rule->contains(key) ? toml_quantity(*rule, key, dimension, file.name).value_or(0.0)
                                 : 0.0;
    };
    out.target = quantity("target", D::pressure_difference);
    out.hold = quantity("hold", D::time);
    out.largest_end = quantity("largest_end", D::pressure_difference);
    out.largest_rise = quantity("largest_rise", D::pressure_difference);
    return out;
  }
  return Error{ErrorCode::not_found, "there is no rule \"" + name + "\"", "--rule",
               "Use ufgs, rd552-large, rd552-small or us-practice"};
}

/// Pressure at a time, linear between the readings.
double pressure_at(const std::vector<RisePoint>& points, double seconds) {
  for (std::size_t i = 1; i < points.size(); ++i) {
    if (points[i].seconds < seconds) continue;
    const double part =
        (seconds - points[i - 1].seconds) / (points[i].seconds - points[i - 1].seconds);
    return points[i - 1].pressure + part * (points[i].pressure - points[i - 1].pressure);
  }
  return points.back().pressure;
}

Status add_rule(const Form& form, const std::vector<RisePoint>& points, FieldSheet& sheet) {
  const auto name = form.text("--rule");
  if (!name) return Done{};
  const Result<Rule> rule = rule_named(*name);
  if (!rule) return rule.error();
  const double start = points.front().pressure;
  const double held = points.back().seconds - points.front().seconds;
  const double end = pressure_at(points, points.front().seconds + rule->hold);
  const bool over = start > rule->target || (rule->largest_end > 0.0 && end > rule->largest_end) ||
                    (rule->largest_rise > 0.0 && end - start > rule->largest_rise);
  const std::string words = over                          ? "over"
                            : held < rule->hold * 0.99999 ? "needs data: held too short"
                                                          : "within this rule as entered";
  sheet.results.push_back(word_of("rule", rule->title, words, rule->source));
  return Done{};
}

std::vector<std::string> next_of(RiseShape shape, bool frozen) {
  std::vector<std::string> out;
  switch (shape) {
    case RiseShape::leak:
      out = {
          "Rule out hoses, gauge and cores first: close the valve at the system and watch the "
          "rig alone.",
          "Break the vacuum with dry nitrogen and find the leak under pressure: it cannot be "
          "found under vacuum."};
      break;
    case RiseShape::leak_and_levelling:
      out = {"Find the leak first, under nitrogen pressure; a leak also brings the water in.",
             "Then dry: sweep with nitrogen, evacuate, fresh pump oil, repeat."};
      break;
    case RiseShape::levelling:
    case RiseShape::undecided:
      out = {
          "Dry: break the vacuum with dry nitrogen to a little above the barometer, let it stand, "
          "evacuate again; change the pump's oil.",
          "Warm the coldest part: water leaves it far faster."};
      break;
    case RiseShape::outgassing:
      out = {
          "Keep pumping: what comes from oil and plastics gets less each hour. Repeat the rise "
          "test and compare."};
      break;
    case RiseShape::rising:
    case RiseShape::too_few:
      out = {"Go on reading: one reading every 5 min over an hour tells a line from a curve."};
      break;
    case RiseShape::flat:
      out = {"Charge by weight through the liquid side without letting air back in."};
      break;
  }
  if (frozen) {
    out.push_back(
        "Liquid water at this pressure freezes where it lies and hides: warm the low "
        "points, break with nitrogen, and do not trust a deep reading on a cold system.");
  }
  return out;
}

Result<std::vector<RisePoint>> readings_of(const Form& form, FieldSheet& sheet) {
  if (const auto text = form.text("--rise")) return read_rise(*text, "--rise");
  const auto file = form.file("--log");
  if (!file) return file.error();
  std::size_t rejected = 0;
  Result<std::vector<RisePoint>> points = read_rise_log(file->text, file->name, rejected);
  if (rejected > 0) {
    sheet.because.push_back(std::to_string(rejected) + " rows of the log were not used.");
  }
  return points;
}

void add_water(const EvacuationSite& place, const WaterThere& water, const RiseFit& fit,
               FieldSheet& sheet) {
  sheet.results.push_back(figure_of(
      "water_saturation", "Saturation of water at the coldest part", water.saturation, D::pressure,
      water.ice ? "over ice; Hyland and Wexler" : "Hyland and Wexler", microns));
  sheet.results.push_back(figure_of("water_at_saturation",
                                    "Water vapour that the volume holds there", water.held, D::mass,
                                    "p V M/(R T)", Shown{"g", "oz", 2}));
  const double from_level =
      fit.level * place.volume.value * 0.01801528 / (8.314462618 * place.temperature.value);
  sheet.results.push_back(figure_of(
      "water_seen", "What levelled off, if it was all water", from_level, D::mass,
      "the least that was there: liquid or ice left is not counted", Shown{"g", "oz", 3}));
  if (fit.plateau > water.saturation && fit.level_low > 0.0) {
    sheet.because.push_back(
        "It levels above the saturation pressure of water at the coldest part: not water alone; "
        "refrigerant leaving the oil does that.");
  }
}

void add_fit(const EvacuationSite& place, const RiseFit& fit, FieldSheet& sheet) {
  Figure leak = with_interval(figure_of("leak_rate_of_rise", "Steady rise (leak)", fit.leak,
                                        D::pressure_difference, "fit, 95 %", micron_rate),
                              fit.leak_low, fit.leak_high);
  leak.si_unit = "Pa/s";
  const double v = place.volume.value;
  const double air = air_of_rise(1.0, place.volume, place.temperature);
  sheet.results.push_back(std::move(leak));
  sheet.results.push_back(
      with_interval(figure_of("leak_throughput", "The same as throughput, Q = V dp/dt",
                              fit.leak * v, D::leak_flow, ""),
                    fit.leak_low * v, fit.leak_high * v));
  sheet.results.push_back(
      with_interval(figure_of("leak_air", "The same as air drawn in", fit.leak * air, D::mass_flow,
                              "", Shown{"g/yr", "oz/yr", 0}),
                    fit.leak_low * air, fit.leak_high * air));
  sheet.results.push_back(with_interval(figure_of("level", "Part that levels off", fit.level,
                                                  D::pressure_difference, "fit, 95 %", microns),
                                        fit.level_low, fit.level_high));
  sheet.results.push_back(figure_of("plateau", "Where it levels, without the leak", fit.plateau,
                                    D::pressure, "p0 + level", microns));
  sheet.results.push_back(figure_of("time_constant", "Time constant of the levelling", fit.tau,
                                    D::time, "", Shown{"min", "min", 1}));
  sheet.results.push_back(figure_of(
      "scatter", "Scatter of one reading used for the intervals", fit.scatter,
      D::pressure_difference, "stated, or what the residuals show", Shown{"micron", "micron", 1}));
  sheet.results.push_back(figure_of("misfit", "Root mean square of the residuals", fit.misfit,
                                    D::pressure_difference, "", Shown{"micron", "micron", 1}));
}

}  // namespace

Status add_rise(const Form& form, const EvacuationSite& place, UnitSystem units,
                FieldSheet& sheet) {
  const Result<std::vector<RisePoint>> points = readings_of(form, sheet);
  if (!points) return points.error();
  const auto u =
      form.quantity_or("--gauge-uncertainty", D::pressure_difference,
                       default_of("evacuation.gauge_uncertainty").value,
                       {0.01, 1000.0, "no reading is exact, and none that far off is of use",
                        "Give for example 10um"});
  if (!u) return u.error();
  const Result<RiseFit> fit = fit_rise(*points, *u);
  if (!fit) return fit.error();
  if (!place.coldest_known) {
    return Error{ErrorCode::not_found, "the temperature of the coldest part is missing",
                 "--coldest", "Water shows itself there first; give for example 25C"};
  }
  const Result<WaterThere> water = water_at(place.coldest, place.volume);
  if (!water) return water.error();
  sheet.verdict = words_of(fit->shape, fit->plateau);
  sheet.alarm = fit->shape == RiseShape::leak || fit->shape == RiseShape::leak_and_levelling;
  if (fit->shape == RiseShape::leak) {
    sheet.because.push_back(
        "It keeps rising in a line and does not bend towards a plateau. A source "
        "of gas slower than this test would look the same.");
  } else if (fit->shape == RiseShape::flat) {
    sheet.because.push_back("Dry as far as this gauge can see. That is not proof of tightness.");
  }
  const bool frozen = water->ice || points->front().pressure < water_triple_pressure;
  if (water->ice) {
    sheet.because.push_back(
        "The coldest part is below freezing: water there is ice and gives off "
        "vapour only up to the pressure over ice.");
  } else if (frozen) {
    sheet.because.push_back(
        "The pressure is below water's triple point (4588 micron): liquid water freezes and "
        "hides.");
  }
  add_fit(place, *fit, sheet);
  add_water(place, *water, *fit, sheet);
  if (Status s = add_rule(form, *points, sheet); !s) return s.error();
  Table table{"readings",
              "Readings and fit",
              {{"time", "Time", D::time, Shown{"min", "min", 1}},
               {"pressure", "Pressure", D::pressure, microns}},
              {}};
  for (const RisePoint& p : *points) table.rows.push_back({p.seconds, p.pressure});
  if (table.rows.size() <= 40) sheet.tables.push_back(std::move(table));
  const Writer w(units, sheet.barometer);
  sheet.formulas.push_back(
      {"Rise", "p(t) = p0 + (Q/V) t + D s(t), s = 1 - exp(-t/tau) or ln(1 + t/t0)",
       w.micron(fit->start) + " + " + fixed(fit->leak * 60 / 0.133322387415, 2) +
           " micron/min x t + " + w.micron(fit->level) + " x s(t)",
       "misfit " + w.micron(fit->misfit), "least squares; intervals by profile"});
  sheet.formulas.push_back(
      {"Leak", "Q = V dp/dt",
       w.volume(place.volume.value) + " x " + number_text(fit->leak, 4) + " Pa/s",
       number_text(fit->leak * place.volume.value, 3) + " Pa m3/s", ""});
  sheet.next = next_of(fit->shape, frozen);
  return Done{};
}

}  // namespace cw::field::detail
