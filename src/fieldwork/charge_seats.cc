#include "fieldwork/charge_seats.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <thread>

#include "base/file.h"
#include "base/text.h"
#include "fieldwork/detail/kept_views.h"
#include "twin/charge_view.h"
#include "twin/design_days.h"

namespace cw::field {
namespace {

using D = Dimension;
using twin::ChargeOutcome;
using twin::ChargeSeat;
using twin::ChargeView;
constexpr Shown kilograms{"kg", "lb", 2};
constexpr Shown degrees{"degC", "degF", 0};

// The search goes from four tenths to 1.7 times the charge in steps of a twelfth.
constexpr double search_from = 0.4, search_to = 1.7, search_step = 1.0 / 12.0;

/// One season by each of two slip models: what lies in a two-phase coil depends on how much faster
/// the vapour runs than the liquid, and published models differ by more than they are wrong by.
struct Look {
  ChargeView likely;  ///< Zivi
  ChargeView other;   ///< homogeneous: the least that a coil can hold
};

std::string lower_first(std::string text) {
  if (!text.empty()) text.replace(0, 1, to_lower(std::string_view(text).substr(0, 1)));
  return text;
}

std::vector<twin::Season> seasons_of(const DesignDays& days) {
  const twin::Weather cold = twin::coldest_weather(days.days);
  const twin::Weather hot = twin::hottest_weather(days.days);
  const twin::Weather mild{zero_celsius + 7.0, 0.8};  // EN 14511 standard rating, from memory
  using twin::cooled_room_K;
  using twin::heated_room_K;
  using twin::Plant;
  return {{"Winter, all units", Plant::heating, cold, heated_room_K, 1.0},
          {"Winter, a quarter", Plant::heating, cold, heated_room_K, 0.25},
          {"Mild, all units", Plant::heating, mild, heated_room_K, 1.0},
          {"Mild, a quarter", Plant::heating, mild, heated_room_K, 0.25},
          {"Summer, all units", Plant::cooling, hot, cooled_room_K, 1.0},
          {"Summer, a quarter", Plant::cooling, hot, cooled_room_K, 0.25}};
}

ChargeView view_of(const twin::Model& model, const twin::Season& season, double charge_kg) {
  return twin::view_charge(model, season, charge_kg, search_from * charge_kg, search_to * charge_kg,
                           search_step * charge_kg);
}

Result<std::array<twin::Model, 2>> models_of(const System& system) {
  Result<twin::Parameters> parameters = twin::parameters_of(system);
  if (!parameters) return parameters.error();
  parameters->slip = twin::SlipModel::zivi;
  const Result<twin::Model> likely = twin::make_model(system, *parameters);
  if (!likely) return likely.error();
  parameters->slip = twin::SlipModel::homogeneous;
  const Result<twin::Model> other = twin::make_model(system, *parameters);
  if (!other) return other.error();
  return std::array<twin::Model, 2>{*likely, *other};
}

/// All that a look depends on. Bits, not digits: another charge by a gram is another one.
std::string key_of(const std::string& sheet, const twin::Season& season, double charge_kg,
                   std::size_t slip) {
  std::string out = sheet + " " + season.name;
  for (const double value : {season.weather.temperature_K, season.weather.relative_humidity,
                             season.room_K, season.calling, charge_kg}) {
    out += " " + std::to_string(std::bit_cast<std::uint64_t>(value));
  }
  return out + " " + std::to_string(slip);
}

/// The views are independent, so that every processor takes the next one that is left.
Result<std::vector<Look>> look(const System& system, const std::string& sheet_text,
                               double charge_kg, const DesignDays& days) {
  const Result<std::array<twin::Model, 2>> models = models_of(system);
  if (!models) return models.error();
  const std::vector<twin::Season> seasons = seasons_of(days);
  std::vector<Look> out(seasons.size());
  detail::KeptViews& kept = detail::KeptViews::shared();
  const std::string sheet = sheet_text.empty() ? std::string() : content_hash(sheet_text);
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t k = next++; k < 2 * seasons.size(); k = next++) {
      ChargeView& view = k % 2 == 0 ? out[k / 2].likely : out[k / 2].other;
      const twin::Season& season = seasons[k / 2];
      const auto make = [&] { return view_of((*models)[k % 2], season, charge_kg); };
      view = sheet.empty() ? make() : kept.take(key_of(sheet, season, charge_kg, k % 2), make);
    }
  };
  std::vector<std::thread> others(std::clamp(std::thread::hardware_concurrency(), 1U, 8U) - 1);
  for (std::thread& thread : others) thread = std::thread(work);
  work();
  for (std::thread& thread : others) thread.join();
  return out;
}

void add_seat_table(const std::vector<Look>& looks, FieldSheet& sheet) {
  Table table{"where_it_sits",
              "Where the charge sits, by the physical model",
              {{"season", "Season", D::ratio, {}},
               {"outdoor", "Outdoor", D::temperature, degrees},
               {"outdoor_coils", "Out coils", D::mass, kilograms},
               {"calling_coils", "Calling", D::mass, kilograms},
               {"stopped_coils", "Stopped", D::mass, kilograms},
               {"liquid_line", "Liquid", D::mass, kilograms},
               {"gas_lines", "Gas", D::mass, kilograms},
               {"accumulators", "Accum.", D::mass, kilograms},
               {"dissolved", "Oil", D::mass, kilograms},
               {"level", "Level", D::ratio, {}},
               {"spare", "Spare", D::mass, kilograms},
               {"outcome", "Outcome", D::ratio, {}}},
              {}};
  for (const Look& look : looks) {
    const ChargeSeat& s = look.likely.seat;
    const bool solved = s.outcome != ChargeOutcome::unsolved;
    const auto cell = [&](double value) -> Table::Cell { return solved ? value : std::nan(""); };
    table.rows.push_back({look.likely.season.name, look.likely.season.weather.temperature_K,
                          cell(s.outdoor_coils), cell(s.calling_coils), cell(s.stopped_coils),
                          cell(s.liquid_line), cell(s.gas_lines), cell(s.accumulators),
                          cell(s.dissolved), cell(s.accumulator_level), cell(s.accumulator_spare),
                          std::string(twin::name_of(s.outcome))});
  }
  sheet.tables.push_back(std::move(table));
}

std::string bound_in_words(ChargeOutcome outcome) {
  switch (outcome) {
    case ChargeOutcome::short_of:
      return "short";
    case ChargeOutcome::over:
      return "over";
    case ChargeOutcome::unsolved:
      return "not known: not solved";
    case ChargeOutcome::in_order:
      return "not looked further";
  }
  return "";
}

void add_range_table(const std::vector<Look>& looks, FieldSheet& sheet) {
  Table table{"charge_range",
              "Charges between which each season is in order, by the physical model",
              {{"season", "Season", D::ratio, {}},
               {"least", "Least", D::mass, kilograms},
               {"below", "Below it", D::ratio, {}},
               {"most", "Most", D::mass, kilograms},
               {"above", "Above it", D::ratio, {}},
               {"least_other", "Least, other slip model", D::mass, kilograms},
               {"most_other", "Most, other slip model", D::mass, kilograms}},
              {}};
  const double nan = std::nan("");
  for (const Look& look : looks) {
    const ChargeView& v = look.likely;
    table.rows.push_back({v.season.name, v.least.value_or(nan), bound_in_words(v.below),
                          v.most.value_or(nan), bound_in_words(v.above),
                          look.other.least.value_or(nan), look.other.most.value_or(nan)});
  }
  sheet.tables.push_back(std::move(table));
}

/// The tightest bound over the seasons that a sign of the machine, and not the solver, has set.
struct Bounds {
  double least = -std::numeric_limits<double>::infinity();
  double most = std::numeric_limits<double>::infinity();
  std::string least_in, most_in;
  bool all_solved = true;
};

Bounds bounds_of(const std::vector<Look>& looks, ChargeView Look::*which) {
  Bounds out;
  for (const Look& look : looks) {
    const ChargeView& v = look.*which;
    out.all_solved = out.all_solved && v.least && v.most && v.below != ChargeOutcome::unsolved &&
                     v.above != ChargeOutcome::unsolved;
    if (v.least && v.below == ChargeOutcome::short_of && *v.least > out.least) {
      out.least = *v.least;
      out.least_in = v.season.name;
    }
    if (v.most && v.above == ChargeOutcome::over && *v.most < out.most) {
      out.most = *v.most;
      out.most_in = v.season.name;
    }
  }
  return out;
}

Figure bound_figure(std::string key, std::string label, double likely, double other,
                    const std::string& season, const Writer& w) {
  if (!std::isfinite(likely)) {
    return figure_of(std::move(key), std::move(label), std::nan(""), D::mass,
                     "no season set this bound within what was looked at", kilograms);
  }
  return figure_of(std::move(key), std::move(label), likely, D::mass,
                   "physical model; set by: " + lower_first(season) +
                       (std::isfinite(other) ? "; by the other slip model " + w.mass(other)
                                             : "; the other slip model sets no such bound"),
                   kilograms);
}

/// What the accumulators can still take in the heating season in which they are fullest.
void add_reserve(const std::vector<Look>& looks, FieldSheet& sheet) {
  const ChargeView* fullest = nullptr;
  for (const Look& look : looks) {
    const ChargeView& v = look.likely;
    if (v.season.plant != twin::Plant::heating || v.seat.outcome == ChargeOutcome::unsolved)
      continue;
    const bool fuller =
        fullest == nullptr || v.seat.accumulator_spare < fullest->seat.accumulator_spare;
    if (fuller) fullest = &v;
  }
  sheet.results.push_back(
      figure_of("accumulator_spare", "Accumulators have to spare in heating, at least",
                fullest != nullptr ? fullest->seat.accumulator_spare : std::nan(""), D::mass,
                fullest != nullptr ? "physical model; " + lower_first(fullest->season.name)
                                   : "no season was solved",
                kilograms));
}

void add_bounds(const std::vector<Look>& looks, double charge_kg, const std::string& whose,
                UnitSystem units, FieldSheet& sheet) {
  const Writer w(units, standard_atmosphere);
  const Bounds likely = bounds_of(looks, &Look::likely);
  const Bounds other = bounds_of(looks, &Look::other);
  sheet.results.push_back(figure_of("charge_looked_at", "Charge that the model looked at",
                                    charge_kg, D::mass, whose, kilograms));
  sheet.results.push_back(bound_figure("model_least_charge", "Least charge with no season short",
                                       likely.least, other.least, likely.least_in, w));
  sheet.results.push_back(bound_figure("model_most_charge", "Most charge with no season over",
                                       likely.most, other.most, likely.most_in, w));
  add_reserve(looks, sheet);
  const double spare = likely.most - charge_kg;
  sheet.results.push_back(figure_of("model_spare", "Charge to spare in the worst season",
                                    std::isfinite(spare) ? spare : std::nan(""), D::mass,
                                    "most charge - charge looked at; below zero it is over",
                                    kilograms));

  for (const Look& look : looks) {
    const ChargeSeat& a = look.likely.seat;
    const ChargeSeat& b = look.other.seat;
    if (a.outcome == ChargeOutcome::in_order) continue;
    if (a.outcome == ChargeOutcome::unsolved) {
      sheet.because.push_back("The physical model shows nothing of " + w.mass(charge_kg) +
                              " in: " + lower_first(look.likely.season.name) + " (" + a.why + ").");
      continue;
    }
    const bool agree = a.outcome == b.outcome;
    sheet.because.push_back("By the physical model " + w.mass(charge_kg) + " is " +
                            std::string(twin::name_of(a.outcome)) +
                            " in: " + lower_first(look.likely.season.name) + " (" + a.why + ")" +
                            (agree ? "; both slip models say so."
                                   : "; the other slip model says " +
                                         std::string(twin::name_of(b.outcome)) +
                                         ", so this is not sure."));
  }
}

}  // namespace

Result<DesignDays> read_design_days(const Form& form) {
  const twin::DesignDays usual;
  const auto coldest = form.quantity_or(
      "--coldest", D::temperature, usual.coldest_K,
      {twin::coldest_from_K, twin::coldest_to_K, "a winter's coldest day lies from -45 to 10 degC",
       "Give the site's heating design temperature, for example -18C"});
  if (!coldest) return coldest.error();
  const auto hottest = form.quantity_or(
      "--hottest", D::temperature, usual.hottest_K,
      {twin::hottest_from_K, twin::hottest_to_K, "a summer's hottest day lies from 15 to 55 degC",
       "Give the site's cooling design temperature, for example 34C"});
  if (!hottest) return hottest.error();
  const bool given = form.has("--coldest") && form.has("--hottest");
  return DesignDays{
      {*coldest, *hottest},
      given ? "as entered" : "where not entered -15 and 35 degC: common practice, no source"};
}

void add_seats(const System& system, const std::string& sheet_text, double charge_kg,
               const std::string& whose, const DesignDays& days, UnitSystem units,
               FieldSheet& sheet) {
  const Result<std::vector<Look>> looks = look(system, sheet_text, charge_kg, days);
  if (!looks) {
    sheet.limits.push_back("Where the charge sits in summer and winter is not shown: " +
                           looks.error().text());
    return;
  }
  sheet.inputs.push_back(figure_of("coldest", "Outdoor air in deep winter", days.days.coldest_K,
                                   D::temperature, days.source, degrees));
  sheet.inputs.push_back(figure_of("hottest", "Outdoor air in high summer", days.days.hottest_K,
                                   D::temperature, days.source, degrees));
  add_bounds(*looks, charge_kg, whose, units, sheet);
  add_seat_table(*looks, sheet);
  add_range_table(*looks, sheet);
  sheet.limits.push_back(
      "Where the charge sits is calculated by a physical model of the machine from its sheet, with "
      "what the sheet leaves out assumed. Coils' inside volumes and the slip between vapour and "
      "liquid decide it most: take the kilograms as 20 % wide, and the two slip models as the "
      "least "
      "of the doubt. It is no charge to weigh in: that is the documents'.");
  sheet.sources.push_back(
      "Physical model: liquid and vapour in coils by Zivi (1964), for comparison homogeneous; "
      "equations and limits in docs/design/twin.md");
}

}  // namespace cw::field
