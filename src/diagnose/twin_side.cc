#include "diagnose/twin_side.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <limits>
#include <thread>
#include <utility>

#include "twin/solve_near.h"

namespace cw::diagnose {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

using twin::Model;
using twin::Orders;
using twin::Parameters;
using twin::State;

/// What one does not know of a machine although its sheet is right: `sigmas` times one sigma of it.
/// Own estimates: published maps and films hold within some per cent, volumes of coils and pipes
/// within 15.
struct Unknown {
  const char* name;
  void (*bend)(Parameters&, double sigmas);
  bool two_sided = true;
  /// Of what the control keeps within its band: how many sigmas it also strays from moment to
  /// moment.
  double strays = 0.0;
};
constexpr std::array unknowns = {
    Unknown{"outdoor coil", [](Parameters& p, double s) { p.outdoor_coil_factor *= 1 + 0.12 * s; }},
    Unknown{"indoor coils", [](Parameters& p, double s) { p.indoor_coil_factor *= 1 + 0.12 * s; }},
    Unknown{"outdoor air", [](Parameters& p, double s) { p.outdoor_air_factor *= 1 + 0.06 * s; }},
    Unknown{"compressor flow",
            [](Parameters& p, double s) { p.volumetric_factor *= 1 + 0.04 * s; }},
    Unknown{"compressor work", [](Parameters& p, double s) { p.work_factor *= 1 + 0.05 * s; }},
    Unknown{"volumes", [](Parameters& p, double s) { p.volume_factor *= 1 + 0.10 * s; }},
    // The model that holds the least in a coil; the others lie close together.
    Unknown{"void fraction", [](Parameters& p, double) { p.slip = twin::SlipModel::homogeneous; },
            false},
    Unknown{"condensing target",
            [](Parameters& p, double s) { p.controls.condensing_target_K += 0.4 * s; }, true, 1.0},
    Unknown{"evaporating target",
            [](Parameters& p, double s) { p.controls.evaporating_target_K += 0.3 * s; }, true, 1.0},
    Unknown{"subcooling target",
            [](Parameters& p, double s) { p.controls.subcooling_K += 0.4 * s; }, true, 2.0},
    Unknown{"superheat target", [](Parameters& p, double s) { p.controls.superheat_K += 0.4 * s; },
            true, 2.0},
};
/// Units at which causes are calculated; of a machine with more, the oddest. Own choice.
constexpr std::size_t most_units = 16;
/// Modules and units from which on the twin's failed searches are too dear. Own choice.
constexpr std::size_t large = 24;
/// A machine that stands at a limit answers otherwise to more than to less of something. Each side
/// is half of the variance, so that what is straight keeps its sigma.
constexpr double half_side = 0.70710678;
/// The void fraction of one model in three, the others near the twin's own.
constexpr double one_side = 0.57735027;

std::vector<double> scaled_features(const Model& model, const State& state,
                                    const twin::Faults& faults,
                                    const std::vector<Feature>& features, const Orders& orders) {
  twin::Readings readings;
  twin::read(model, state, faults, readings);
  const TwinView view{&readings, &model.system().refrigerant()};
  std::vector<double> out;
  for (const Feature& f : features) {
    out.push_back(none);
    if (f.trait->place != TraitPlace::module) {
      const bool calls = *orders.units[f.index].call;
      if (calls != (f.trait->place == TraitPlace::calling_unit)) continue;
    }
    out.back() = f.scaled(f.trait->read(view, f.index));
  }
  return out;
}

Result<State> healthy_state(const Model& model, const Moment& at) {
  const Setting healthy = healthy_setting(model.system(), at.weather);
  auto state = twin::state_at_rest(model, at.weather, at.room_K, healthy.charge_kg);
  if (!state) return state.error();
  const auto solved = twin::solve_steady(model, *state, at.weather, at.orders, healthy.faults,
                                         at.room_K, healthy.charge_kg);
  if (!solved) return solved.error();
  return state;
}

class Asker {
 public:
  Asker(const System& system, const Parameters& parameters, const std::vector<Feature>& features,
        const std::vector<Moment>& moments, Model model, const std::function<bool()>& stop)
      : system_(system),
        parameters_(parameters),
        features_(features),
        moments_(moments),
        model_(std::move(model)),
        stop_(stop) {}

  Result<TwinSide> run() {
    if (Status s = follow(); !s) return s.error();
    bend();
    list_causes();
    if (stopped()) return stopped_error();
    calculate_all();
    if (stopped()) return stopped_error();
    return std::move(out_);
  }

 private:
  const Moment& moment(std::size_t m) const { return moments_[out_.moments[m]]; }
  bool stopped() const { return stop_ && stop_(); }
  Status follow();
  void bend();
  void bend_weather();
  void add_strays(const Unknown& unknown);
  void add_mode(const char* name, double scale, const std::vector<std::vector<double>>& bent);
  std::vector<std::size_t> places_of(const CauseKind& kind) const;
  double oddness(std::size_t unit) const;
  void keep_the_oddest(const CauseKind& kind, std::vector<std::size_t>& places);
  bool seen_at(const CauseKind& kind, std::size_t index, std::size_t m) const;
  bool is_large() const { return system_.outdoor().size() + system_.indoor().size() > large; }
  bool worth_a_second_try(const CauseKind& kind) const;
  void list_causes();
  template <class Work>
  void in_parallel(Work work) const;
  void calculate_all();
  void calculate(Calculated& out, const Calculated* scout) const;
  const Calculated* twin_of(std::size_t k) const;
  static void stretch(double severity, Calculated& out);
  std::optional<std::vector<double>> at_knot(const CauseKind& kind, const CauseSite& site,
                                             double severity, std::vector<State>& from) const;

  const System& system_;
  const Parameters& parameters_;
  const std::vector<Feature>& features_;
  const std::vector<Moment>& moments_;
  Model model_;
  const std::function<bool()>& stop_;
  TwinSide out_;
};

Status Asker::follow() {
  std::optional<Error> last;
  std::array<std::size_t, 2> given{};
  for (std::size_t k = 0; k < moments_.size(); ++k) {
    const Moment& at = moments_[k];
    ++given[at.sound ? 1 : 0];
    auto state = healthy_state(model_, at);
    if (!state) {
      if (!at.sound) last = state.error();
      continue;
    }
    out_.present += at.sound ? 0 : 1;
    out_.moments.push_back(k);
    out_.healthy.push_back(scaled_features(model_, *state, {}, features_, at.orders));
    out_.states.push_back(std::move(*state));
  }
  if (out_.present == 0) {
    // A machine that trips there, too, has no state to compare with.
    Error error = *last;
    error.code = ErrorCode::no_convergence;
    error.message =
        "the twin finds no healthy steady state at any moment that was to be compared: " +
        error.message;
    return error;
  }
  if (out_.present < given[0]) {
    out_.notes.push_back("At " + std::to_string(given[0] - out_.present) + " of " +
                         std::to_string(given[0]) +
                         " moments the twin found no healthy steady state; they were left out.");
  }
  if (out_.moments.size() == out_.present && given[1] > 0) {
    out_.notes.push_back(
        "The recording of the sound machine was not used: the twin finds no steady state in it.");
  }
  return Done{};
}

void Asker::add_mode(const char* name, double scale, const std::vector<std::vector<double>>& bent) {
  std::vector<double> mode;
  for (std::size_t m = 0; m < bent.size(); ++m) {
    for (std::size_t f = 0; f < features_.size(); ++f) {
      const double change = scale * (bent[m][f] - out_.healthy[m][f]);
      mode.push_back(std::isfinite(change) ? change : 0.0);
    }
  }
  out_.modes.push_back(std::move(mode));
  out_.mode_names.emplace_back(name);
}

/// The last mode again, with other numbers at each moment.
void Asker::add_strays(const Unknown& unknown) {
  const std::vector<double> together = out_.modes.back();
  const std::size_t width = features_.size();
  for (std::size_t m = 0; m < out_.moments.size(); ++m) {
    std::vector<double> mode(together.size(), 0.0);
    for (std::size_t f = m * width; f < (m + 1) * width; ++f) {
      mode[f] = unknown.strays * together[f];
    }
    out_.modes.push_back(std::move(mode));
    out_.mode_names.emplace_back(unknown.name);
  }
}

void Asker::bend() {
  for (const Unknown& unknown : unknowns) {
    for (const double side : {1.0, -1.0}) {
      if (side < 0.0 && !unknown.two_sided) continue;
      if (stopped()) return;
      Parameters parameters = parameters_;
      unknown.bend(parameters, side);
      const auto model = twin::make_model(system_, parameters);
      if (!model) continue;
      std::vector<std::vector<double>> bent;
      for (std::size_t m = 0; m < out_.moments.size(); ++m) {
        const Setting healthy = healthy_setting(system_, moment(m).weather);
        State state = out_.states[m];
        const auto solve = is_large() ? twin::solve_near : twin::solve_steady;
        const auto solved = solve(*model, state, moment(m).weather, moment(m).orders,
                                  healthy.faults, moment(m).room_K, healthy.charge_kg);
        bent.push_back(
            solved ? scaled_features(*model, state, healthy.faults, features_, moment(m).orders)
                   : out_.healthy[m]);
      }
      add_mode(unknown.name, unknown.two_sided ? half_side : one_side, bent);
      if (unknown.strays > 0.0) add_strays(unknown);
    }
  }
  bend_weather();
}

/// Air at the coil and in the rooms is known only as well as the sensors are.
void Asker::bend_weather() {
  for (const auto& [name, outdoor_K, room_K] :
       {std::tuple{"outdoor air temperature", 0.7, 0.0},
        std::tuple{"outdoor air temperature", -0.7, 0.0}, std::tuple{"room temperature", 0.0, 0.5},
        std::tuple{"room temperature", 0.0, -0.5}}) {
    std::vector<std::vector<double>> bent;
    for (std::size_t m = 0; m < out_.moments.size(); ++m) {
      Setting setting = healthy_setting(system_, moment(m).weather);
      setting.weather.temperature_K += outdoor_K;
      const auto solved = solve_setting(model_, out_.states[m], setting, moment(m).orders,
                                        moment(m).room_K + room_K, is_large());
      bent.push_back(solved ? scaled_features(model_, solved->state, setting.faults, features_,
                                              moment(m).orders)
                            : out_.healthy[m]);
    }
    add_mode(name, half_side, bent);
  }
}

std::vector<std::size_t> Asker::places_of(const CauseKind& kind) const {
  const std::size_t count = kind.place == CausePlace::system   ? 1
                            : kind.place == CausePlace::module ? system_.outdoor().size()
                                                               : system_.indoor().size();
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < count; ++i) {
    bool any = false;
    for (std::size_t m = 0; m < out_.present; ++m) any = any || seen_at(kind, i, m);
    if (any) out.push_back(i);
  }
  return out;
}

/// How far a unit's own readings are from the healthy twin's, squared, in sigmas of one reading.
double Asker::oddness(std::size_t unit) const {
  double worst = 0.0;
  for (std::size_t m = 0; m < out_.present; ++m) {
    double sum = 0.0;
    for (std::size_t f = 0; f < features_.size(); ++f) {
      const Trait& t = *features_[f].trait;
      if (t.place == TraitPlace::module || features_[f].index != unit) continue;
      const double off = moment(m).seen[f] - out_.healthy[m][f];
      if (!std::isfinite(off)) continue;
      sum += off * off / (t.common * t.common + t.own * t.own + t.bias * t.bias);
    }
    worst = std::max(worst, sum);
  }
  return worst;
}

/// A cause at one unit shows first in the unit's own readings: of many units only the oddest are
/// worth the twin's time.
void Asker::keep_the_oddest(const CauseKind& kind, std::vector<std::size_t>& places) {
  const bool of_unit =
      kind.place == CausePlace::calling_unit || kind.place == CausePlace::stopped_unit;
  if (!of_unit || places.size() <= most_units) return;
  std::stable_sort(places.begin(), places.end(),
                   [&](std::size_t a, std::size_t b) { return oddness(a) > oddness(b); });
  const std::size_t all = places.size();
  places.resize(most_units);
  std::sort(places.begin(), places.end());
  const std::string note = "Causes at one indoor unit were calculated for the " +
                           std::to_string(most_units) + " of " + std::to_string(all) +
                           " whose readings differ most from the twin's.";
  if (std::find(out_.notes.begin(), out_.notes.end(), note) == out_.notes.end()) {
    out_.notes.push_back(note);
  }
}

/// A search that fails takes a hundred times as long as one that succeeds, the longer the larger
/// the machine.
bool Asker::worth_a_second_try(const CauseKind& kind) const {
  const bool of_unit =
      kind.place == CausePlace::calling_unit || kind.place == CausePlace::stopped_unit;
  return !of_unit && !is_large();
}

bool Asker::seen_at(const CauseKind& kind, std::size_t index, std::size_t m) const {
  if (moment(m).sound && !kind.sound_too) return false;
  const bool cooling = moment(m).kind == PhaseKind::cooling;
  if (!(cooling ? kind.cooling : kind.heating)) return false;
  if (kind.place == CausePlace::calling_unit) return *moment(m).orders.units[index].call;
  if (kind.place == CausePlace::stopped_unit) return !*moment(m).orders.units[index].call;
  return true;
}

void Asker::list_causes() {
  for (const CauseKind& kind : cause_kinds()) {
    std::vector<std::size_t> places = places_of(kind);
    const std::size_t all = places.size();
    keep_the_oddest(kind, places);
    for (const std::size_t index : places) {
      Calculated cause;
      cause.kind = &kind;
      cause.index = index;
      cause.places = all;
      cause.place = kind.place == CausePlace::system   ? "system"
                    : kind.place == CausePlace::module ? system_.outdoor()[index].id
                                                       : system_.indoor()[index].id;
      out_.causes.push_back(std::move(cause));
    }
  }
}

/// Two kinds that differ in time alone are calculated once: the earlier one of the same, or null.
const Calculated* Asker::twin_of(std::size_t k) const {
  const Calculated& one = out_.causes[k];
  for (std::size_t j = 0; j < k; ++j) {
    const Calculated& other = out_.causes[j];
    if (other.kind->apply == one.kind->apply && other.index == one.index && !other.kind->grows) {
      return &other;
    }
  }
  return nullptr;
}

/// Several at once where the machine has the processors: they share nothing that changes.
template <class Work>
void Asker::in_parallel(Work work) const {
  std::atomic<std::size_t> next{0};
  const auto loop = [&] {
    for (std::size_t k = next++; k < out_.causes.size() && !stopped(); k = next++) work(k);
  };
  std::vector<std::jthread> helpers;
  const std::size_t threads = std::clamp(std::thread::hardware_concurrency(), 1U, 4U);
  for (std::size_t k = 1; k < threads; ++k) helpers.emplace_back(loop);
  loop();
}

/// Of a large machine each kind is tried at one place first, and at the others only as far as the
/// twin could follow it there.
void Asker::calculate_all() {
  const auto scout_of = [&](std::size_t k) {
    std::size_t first = k;
    while (first > 0 && out_.causes[first - 1].kind == out_.causes[k].kind) --first;
    return is_large() ? first : k;
  };
  in_parallel([&](std::size_t k) {
    if (twin_of(k) == nullptr && scout_of(k) == k) calculate(out_.causes[k], nullptr);
  });
  in_parallel([&](std::size_t k) {
    const std::size_t scout = scout_of(k);
    if (twin_of(k) == nullptr && scout != k) calculate(out_.causes[k], &out_.causes[scout]);
  });
  for (std::size_t k = 0; k < out_.causes.size(); ++k) {
    const Calculated* same = twin_of(k);
    if (same == nullptr) continue;
    out_.causes[k].severity = same->severity;
    out_.causes[k].change = same->change;
    out_.causes[k].stretched = same->stretched;
    out_.causes[k].why_not = same->why_not;
  }
}

void Asker::calculate(Calculated& out, const Calculated* scout) const {
  const CauseKind& kind = *out.kind;
  const CauseSite site = site_of(system_, out_, features_, kind, out.index);
  // Outwards from nothing on each side, each severity from the one before.
  for (const bool positive : {true, false}) {
    std::vector<double> knots;
    for (const double k : kind.knots) {
      if ((k > 0.0) == positive) knots.push_back(k);
    }
    if (!positive) std::reverse(knots.begin(), knots.end());
    std::vector<State> from = out_.states;
    for (std::size_t k = 0; k < knots.size(); ++k) {
      if (stopped()) return;
      const bool beyond = scout != nullptr && k >= scout->reached[positive ? 0 : 1];
      auto change = beyond ? std::nullopt : at_knot(kind, site, knots[k], from);
      if (!change) {
        out.why_not = "the twin finds no steady state";
        if (k > 0) stretch(knots[k], out);
        break;
      }
      out.severity.push_back(knots[k]);
      out.change.push_back(std::move(*change));
      ++out.reached[positive ? 0 : 1];
    }
  }
}

/// A fault larger than the twin can follow does at least more of the same.
void Asker::stretch(double severity, Calculated& out) {
  const double factor = severity / out.severity.back();
  std::vector<double> change = out.change.back();
  for (double& x : change) x *= factor;
  out.severity.push_back(severity);
  out.change.push_back(std::move(change));
  out.stretched = true;
}

std::optional<std::vector<double>> Asker::at_knot(const CauseKind& kind, const CauseSite& site,
                                                  double severity, std::vector<State>& from) const {
  std::vector<double> out;
  for (std::size_t m = 0; m < out_.moments.size(); ++m) {
    const bool cooling = moment(m).kind == PhaseKind::cooling;
    if (!seen_at(kind, site.index, m)) {
      out.insert(out.end(), features_.size(), 0.0);
      continue;
    }
    Setting setting = healthy_setting(system_, moment(m).weather);
    kind.apply(site, severity, setting);
    std::vector<double> found;
    if (cooling ? kind.acts_cooling : kind.acts_heating) {
      auto solved =
          solve_setting(model_, from[m], setting, moment(m).orders, moment(m).room_K, is_large());
      // From rest it takes longer, and finds some states that the way from the last one misses.
      if (!solved && worth_a_second_try(kind)) {
        auto rest =
            twin::state_at_rest(model_, setting.weather, moment(m).room_K, setting.charge_kg);
        if (rest) {
          solved = solve_setting(model_, *rest, setting, moment(m).orders, moment(m).room_K);
        }
      }
      if (!solved && moment(m).sound) {
        out.insert(out.end(), features_.size(), 0.0);
        continue;
      }
      if (!solved) return std::nullopt;
      from[m] = std::move(solved->state);
      found = scaled_features(model_, from[m], setting.faults, features_, moment(m).orders);
    } else {
      found = scaled_features(model_, out_.states[m], setting.faults, features_, moment(m).orders);
    }
    for (std::size_t f = 0; f < features_.size(); ++f) {
      const double change = found[f] - out_.healthy[m][f];
      out.push_back(std::isfinite(change) ? change : 0.0);
    }
  }
  return out;
}

}  // namespace

Setting healthy_setting(const System& system, const twin::Weather& weather) {
  Setting out;
  out.faults.modules.resize(system.outdoor().size());
  out.faults.units.resize(system.indoor().size());
  out.weather = weather;
  out.charge_kg = system.charge().total_kg();
  return out;
}

CauseSite site_of(const System& system, const TwinSide& side, const std::vector<Feature>& features,
                  const CauseKind& kind, std::size_t index) {
  CauseSite site{index, 0.1, system.charge().total_kg()};
  const std::string_view trait = kind.place == CausePlace::module ? "valve" : "unit_valve";
  for (const auto& healthy : side.healthy) {
    for (std::size_t f = 0; f < features.size(); ++f) {
      if (features[f].trait->name != trait || features[f].index != index) continue;
      if (!std::isfinite(healthy[f])) continue;
      site.opening = features[f].unscaled(healthy[f]);
      return site;
    }
  }
  return site;
}

std::optional<Solved> solve_setting(const Model& model, const State& from, const Setting& setting,
                                    const Orders& orders, double room_K, bool near) {
  Solved out{from, {}, {}, {}};
  const auto solve = near ? twin::solve_near : twin::solve_steady;
  const auto solved =
      solve(model, out.state, setting.weather, orders, setting.faults, room_K, setting.charge_kg);
  if (!solved) return std::nullopt;
  twin::look_inside(model, out.state, out.insight);
  twin::take_stock(model, out.state, out.inventory);
  twin::read(model, out.state, setting.faults, out.readings);
  return out;
}

Error stopped_error() {
  return {ErrorCode::invalid_argument, "the search for causes was stopped", "", ""};
}

Result<TwinSide> ask_twin(const System& system, const Parameters& parameters,
                          const std::vector<Feature>& features, const std::vector<Moment>& moments,
                          const std::function<bool()>& stop) {
  auto model = twin::make_model(system, parameters);
  if (!model) return model.error();
  return Asker(system, parameters, features, moments, std::move(*model), stop).run();
}

}  // namespace cw::diagnose
