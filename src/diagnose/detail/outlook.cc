#include "diagnose/detail/outlook.h"

#include <algorithm>
#include <cmath>

#include "twin/working_point.h"

namespace cw::diagnose::detail {
namespace {

/// An interval wider than this share of the sheet's charge says nothing worth acting on.
constexpr double widest = 0.3;
/// A cause is put into the machine of the design days from here on.
constexpr double believed = 0.5;

class Outlook {
 public:
  Outlook(const Fitted& fitted, const DiagnoseOptions& options, twin::Model model, Diagnosis& out)
      : f_(fitted), options_(options), model_(std::move(model)), out_(out) {}

  void run() {
    choose_cause();
    estimate_charge();
    find_stores();
    design_day(twin::Plant::heating, twin::coldest_weather(options_.days));
    design_day(twin::Plant::cooling, twin::hottest_weather(options_.days));
  }

 private:
  bool of_charge(const CauseKind& kind) const {
    return kind.id == "undercharge" || kind.id == "overcharge" || kind.id == "leak";
  }
  void choose_cause();
  void estimate_charge();
  static void widen_by_then(ChargeEstimate& charge);
  void find_stores();
  void design_day(twin::Plant plant, const twin::Weather& weather);
  bool with_cause(Setting& setting) const;
  std::optional<Solved> settled(const Setting& setting, const twin::Orders& orders,
                                double room_K) const;

  const Fitted& f_;
  const DiagnoseOptions& options_;
  twin::Model model_;
  Diagnosis& out_;
  std::optional<std::size_t> cause_;  ///< hypothesis that is believed
};

void Outlook::choose_cause() {
  double best = believed;
  for (std::size_t h = 0; h < f_.posterior.fits.size(); ++h) {
    if (f_.problem.by_table[h] || f_.posterior.fits[h].probability < best) continue;
    best = f_.posterior.fits[h].probability;
    cause_ = h;
  }
}

void Outlook::estimate_charge() {
  ChargeEstimate charge;
  charge.sheet_kg = f_.system.charge().total_kg();
  charge.kg = charge.low_kg = charge.high_kg = charge.sheet_kg;
  if (out_.generic) {
    charge.why = "Without a system sheet no volume is known.";
    out_.charge = charge;
    return;
  }
  Residuals left = f_.problem.residuals;
  if (cause_ && !of_charge(*f_.side.causes[*cause_].kind)) {
    const std::vector<double>& explained = f_.posterior.fits[*cause_].explained;
    for (std::size_t r = 0; r < left.value.size(); ++r) left.value[r] -= explained[r];
  }
  const std::vector<Hypothesis> only = {charge_hypothesis(f_.problem, f_.side)};
  InferOptions weighing;
  weighing.temperature = cause_book().temperature;
  weighing.effect_error = effect_error;
  const auto answer = only.front().knots.empty() ? std::nullopt : infer(left, only, weighing);
  if (!answer) {
    charge.why = "The twin found no state with more or less refrigerant.";
    out_.charge = charge;
    return;
  }
  const Fit& fit = answer->fits.front();
  charge.kg = charge.sheet_kg * (1.0 + fit.severity);
  charge.low_kg = charge.sheet_kg * (1.0 + std::min(fit.low, fit.severity));
  charge.high_kg = charge.sheet_kg * (1.0 + std::max(fit.high, fit.severity));
  if (out_.compared_with_sound) widen_by_then(charge);
  charge.proven = (charge.high_kg - charge.low_kg) < widest * charge.sheet_kg;
  charge.why = charge.proven
                   ? "From what more or less refrigerant would change in the readings compared."
                   : "In these hours more or less refrigerant would hardly show: an accumulator "
                     "that holds liquid hides it. A recording with all units in cooling, or in "
                     "heating on a cold day, shows more.";
  if (out_.compared_with_sound) {
    charge.why +=
        " It is measured against the earlier recording: what was missing or too much by "
        "then is allowed for in the range, and not told.";
  }
  out_.charge = charge;
}

/// What the sound machine held is known only as well as its sheet.
void Outlook::widen_by_then(ChargeEstimate& charge) {
  const double then = 1.645 * charge_share * charge.sheet_kg;  // 5 % on each side
  charge.low_kg = charge.kg - std::hypot(charge.kg - charge.low_kg, then);
  charge.high_kg = charge.kg + std::hypot(charge.high_kg - charge.kg, then);
}

/// Puts what was found into a machine; false when nothing is sure enough.
bool Outlook::with_cause(Setting& setting) const {
  bool any = false;
  if (cause_) {
    const Calculated& cause = f_.side.causes[*cause_];
    if (!of_charge(*cause.kind)) {
      const CauseSite site = site_of(f_.system, f_.side, f_.features, *cause.kind, cause.index);
      cause.kind->apply(site, f_.posterior.fits[*cause_].severity, setting);
      any = true;
    }
  }
  if (out_.charge && out_.charge->proven) {
    setting.charge_kg = out_.charge->kg;
    any = true;
  }
  return any;
}

void Outlook::find_stores() {
  const std::size_t m = f_.side.present - 1;
  const Moment& at = f_.moments[f_.side.moments[m]];
  const auto stock = [&](double charge_kg) -> std::optional<twin::Inventory> {
    Setting setting = healthy_setting(f_.system, at.weather);
    with_cause(setting);
    setting.charge_kg = charge_kg;
    auto solved = solve_setting(model_, f_.side.states[m], setting, at.orders, at.room_K);
    if (!solved) return std::nullopt;
    return std::move(solved->inventory);
  };
  const bool proven = out_.charge->proven;
  const double sheet = out_.charge->sheet_kg;
  const auto middle = stock(proven ? out_.charge->kg : sheet);
  const auto low = stock(proven ? out_.charge->low_kg : 0.9 * sheet);
  const auto high = stock(proven ? out_.charge->high_kg : 1.1 * sheet);
  if (!middle) return;
  const auto add = [&](std::string place, auto part) {
    const double kg = part(*middle);
    // Volumes and void fractions are known to some 15 %.
    const double own = 0.15 * kg;
    const double a = low ? part(*low) : kg;
    const double b = high ? part(*high) : kg;
    out_.stores.push_back({std::move(place), kg, std::max(std::min({a, b, kg}) - own, 0.0),
                           std::max({a, b, kg}) + own});
  };
  using I = const twin::Inventory&;
  add("outdoor coils", [](I i) {
    double sum = 0.0;
    for (const auto& x : i.modules) sum += x.coil;
    return sum;
  });
  add("accumulators", [](I i) {
    double sum = 0.0;
    for (const auto& x : i.modules) sum += x.accumulator;
    return sum;
  });
  add("indoor coils", [](I i) {
    double sum = 0.0;
    for (const auto& x : i.units) sum += x.coil;
    return sum;
  });
  add("liquid line", [](I i) { return i.liquid_line; });
  add("gas lines", [](I i) { return i.gas_line + i.third_line; });
  add("discharge lines and oil", [](I i) {
    double sum = 0.0;
    for (const auto& x : i.modules) sum += x.discharge + x.dissolved;
    return sum;
  });
}

std::optional<Solved> Outlook::settled(const Setting& setting, const twin::Orders& orders,
                                       double room_K) const {
  auto state = twin::state_at_rest(model_, setting.weather, room_K, setting.charge_kg);
  if (!state) return std::nullopt;
  return solve_setting(model_, *state, setting, orders, room_K);
}

void Outlook::design_day(twin::Plant plant, const twin::Weather& weather) {
  DesignDay day;
  day.cooling = plant == twin::Plant::cooling;
  day.outdoor_K = weather.temperature_K;
  const double room_K = day.cooling ? twin::cooled_room_K : twin::heated_room_K;
  const twin::Orders orders =
      twin::fixed_calls(plant, room_K, std::vector<bool>(f_.system.indoor().size(), true));
  Setting setting = healthy_setting(f_.system, weather);
  const auto healthy = settled(setting, orders, room_K);
  day.fitted = with_cause(setting);
  const auto fitted = day.fitted ? settled(setting, orders, room_K) : healthy;
  if (healthy) day.healthy_heat_W = std::abs(healthy->insight.heat_to_rooms_W);
  day.discharge_limit_K = f_.parameters.controls.discharge_limit_K;
  if (fitted) {
    day.solved = true;
    day.heat_W = std::abs(fitted->insight.heat_to_rooms_W);
    double speed_share = 0.0;
    for (std::size_t j = 0; j < fitted->readings.modules.size(); ++j) {
      const auto& m = fitted->readings.modules[j];
      day.discharge_K = std::max(day.discharge_K, m.discharge_temperature);
      day.accumulator_level =
          std::max(day.accumulator_level, fitted->inventory.modules[j].accumulator_level);
      speed_share =
          std::max(speed_share, m.compressor_frequency / f_.system.outdoor()[j].speed_highest_Hz);
    }
    day.slowed = speed_share < 0.99 && !twin::limits_reached(model_, fitted->readings).empty();
  }
  out_.days.push_back(day);
}

}  // namespace

void look_at_fitted(const Fitted& fitted, const DiagnoseOptions& options, Diagnosis& out) {
  auto model = twin::make_model(fitted.system, fitted.parameters);
  if (!model) return;
  Outlook(fitted, options, std::move(*model), out).run();
}

}  // namespace cw::diagnose::detail
