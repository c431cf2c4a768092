#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "base/text.h"
#include "base/units.h"
#include "twin/detail/steady_solve.h"
#include "twin/solve_near.h"

/// The way to a steady state: the steady solve from where the machine is, else the dynamic model
/// towards rest with a steady solve from time to time, else words why there is none.
namespace cw::twin {

namespace {

using detail::ModelData;
using detail::StateData;

/// Charge goes into the accumulators as liquid; it comes out of them as long as they hold some, and
/// then out of the liquid line, of which some stays. Returns what went in [kg].
double put_in(const detail::ModelData& m, detail::StateData& s, double mass_kg) noexcept {
  const auto share = 1.0 / static_cast<double>(m.modules.size());
  double left = mass_kg;
  for (std::size_t j = 0; j < m.modules.size(); ++j) {
    detail::LumpState& vessel = s.lumps[m.accumulator_lump(j)];
    double part = mass_kg * share;
    const double spare =
        std::max(vessel.M - 1.2 * m.lumps[m.accumulator_lump(j)].volume / vessel.sat.vg, 0.0);
    part = std::max(part, -spare);
    const double h = vessel.state.x < 1.0 ? vessel.sat.hl : vessel.h;
    vessel.M += part;
    vessel.U += part * h;
    left -= part;
  }
  detail::LumpState& line = s.lumps[detail::liquid_lump];
  const double rest = std::max(left, -0.6 * line.M);
  line.M += rest;
  line.U += rest * line.h;
  return mass_kg - left + rest;
}

/// Figures whose range over a stretch of time tells whether a machine is at rest or hunts.
struct Watched {
  static constexpr std::size_t figures = 4;
  std::array<double, figures> low{}, high{};
  bool empty = true;

  void see(const std::array<double, figures>& now) noexcept {
    for (std::size_t k = 0; k < figures; ++k) {
      low[k] = empty ? now[k] : std::min(low[k], now[k]);
      high[k] = empty ? now[k] : std::max(high[k], now[k]);
    }
    empty = false;
  }
};

std::string degC(double T_K) { return number_text(T_K - zero_celsius) + " degC"; }
std::string bar(double p_Pa) { return number_text(1e-5 * p_Pa) + " bar"; }
std::string percent(double share) { return number_text(100.0 * share) + " %"; }

/// The search for one steady state. All pieces work on the same state.
class Search {
 public:
  Search(const Model& model, State& state, const Weather& weather, const Orders& orders,
         const Faults& faults, double room_K, double charge_kg)
      : model_(model),
        m_(model.data()),
        state_(state),
        weather_(weather),
        orders_(orders),
        faults_(faults),
        room_K_(room_K),
        charge_kg_(charge_kg) {}

  /// Leaves out the leap of a warm start.
  void walk() { leaps_ = false; }

  Result<Steady> run() {
    if (is_warm() && from_here()) return answer();
    if (auto begun = begin(); !begun) return begun.error();
    // On the way to rest the solve is tried again and again: from near enough it is quick, and it
    // finds states of rest that the controls themselves would leave.
    constexpr std::array<double, 8> stretches = {300.0,  300.0,  600.0,  1200.0,
                                                 1800.0, 3600.0, 7200.0, 14400.0};
    for (const double stretch : stretches) {
      if (auto went = go_on(stretch); !went) return why_lost(went.error());
      if (try_solve(5.0, solved)) return answer();
      if (at_rest()) return answer();
      if (auto trip = would_trip(false)) return *std::move(trip);
      if (given_up()) return would_trip(true).value_or(why_not());
    }
    return why_not();
  }

  /// The direct solve alone.
  Result<Steady> run_near() {
    if (is_warm() && from_here()) return answer();
    return Error{ErrorCode::no_convergence,
                 "no steady state near the one that was begun from",
                 {},
                 "search from rest with solve_steady"};
  }

 private:
  StateData& s() { return state_.data(); }
  bool cooling() const { return orders_.plant == Plant::cooling; }
  double missing() { return charge_kg_ - detail::booked_mass(m_, s()); }
  bool is_warm() {
    return s().modules[0].flow > 0.05 * m_.modules[0].rated_flow && s().reversed == cooling();
  }
  detail::SteadySolve solver() { return {m_, weather_, orders_, faults_, room_K_, s()}; }

  bool from_here() { return (leaps_ && from_near()) || by_portions(); }

  /// On the backup, since a leap that fails spoils its state.
  bool from_near() {
    detail::keep_copy(s());
    put_in(m_, s(), missing());
    if (solver().leap(solved, report_) && std::abs(missing()) <= 1e-6 * charge_kg_) return true;
    detail::go_back(s());
    return false;
  }

  /// Large differences in charge go in portions, each settled a little before the next.
  bool by_portions() {
    constexpr double portion = 1.5;  // kg
    constexpr double settled = 3e-3;
    constexpr double weighed = 1e-9;  // kg
    for (bool last = false; !last;) {
      const double before = missing();
      put_in(m_, s(), std::clamp(before, -portion, portion));
      last = std::abs(missing()) <= weighed || std::abs(missing() - before) <= weighed;
      if (!solver().run(20.0, last ? solved : settled, report_)) return false;
    }
    return std::abs(missing()) <= 1e-6 * charge_kg_;
  }

  /// The first minute. A machine whose accumulators stand full of cold liquid may not get through
  /// it: then with less, and the rest put in once it runs.
  Status begin() {
    constexpr double first = 60.0;  // s
    if (auto made = start(charge_kg_); !made) return made;
    const Status began = go_on(first);
    if (began) return Done{};
    const Error lost = why_lost(began.error());
    constexpr double less = 0.6;
    if (auto made = start(less * charge_kg_); !made) return made;
    if (!go_on(5.0 * first)) return lost;
    for (const double portion = 0.05 * charge_kg_; missing() > 1e-9;) {
      put_in(m_, s(), std::min(missing(), portion));
      take_in();
      if (auto went = go_on(2.0 * first); !went) return why_lost(went.error());
    }
    return Done{};
  }

  /// Makes the accumulators' states fit what was put into them, for short steps.
  void take_in() {
    for (std::size_t j = 0; j < s().modules.size(); ++j) {
      const std::size_t l = m_.accumulator_lump(j);
      detail::LumpState& vessel = s().lumps[l];
      vessel.h = (vessel.U + vessel.p * m_.lumps[l].volume) / vessel.M;
    }
    detail::refresh(m_, detail::topology_of(m_, s()), s());
  }

  /// From rest, with the speed that the calling units can take.
  Status start(double charge_kg) {
    auto fresh = state_at_rest(model_, weather_, room_K_, charge_kg);
    if (!fresh) return fresh.error();
    state_ = std::move(*fresh);
    solver().arrange();
    StateData& d = s();
    d.activity = Activity::starting;
    d.activity_for = 0.0;
    double called = 0.0;
    double all = 0.0;
    for (std::size_t i = 0; i < d.units.size(); ++i) {
      all += m_.units[i].heating_W;
      called += d.units[i].calling ? m_.units[i].heating_W : 0.0;
    }
    d.speed_share =
        std::max(m_.parameters.controls.start_speed * called / all, detail::lowest_share(m_));
    d.outdoor_fan = 1.0;
    for (detail::ModuleState& module : d.modules) module.trim = 0.3;
    return Done{};
  }

  /// The dynamic model, rooms held, watched once a minute.
  Status go_on(double seconds) {
    constexpr double piece = 60.0;  // s
    watched_ = {};
    for (double gone = 0.0; gone < seconds; gone += piece) {
      // In the second half of the stretch only: what it comes from does not count.
      if (gone > 0.5 * seconds) watched_.see(figures());
      auto went = detail::march(m_, s(), weather_, orders_, faults_, piece, true);
      if (!went) return went.error();
      steps_ += went->steps + went->rejected;
      watched_for_ = 0.5 * seconds;
      beyond_ = would_trip(true) ? beyond_ + 1 : 0;
      if (given_up()) break;
    }
    watched_.see(figures());
    return Done{};
  }

  /// Beyond a limit for so many minutes that no machine would still run, or more steps than any
  /// state of rest is worth (some seconds of calculation).
  bool given_up() const {
    constexpr int minutes = 15;
    constexpr int patience = 30000;
    return beyond_ >= minutes || steps_ > patience;
  }

  std::array<double, Watched::figures> figures() {
    const detail::Sight sight = detail::look(m_, s(), faults_);
    return {sight.p_high, sight.p_low, s().speed_share, sight.hottest};
  }

  /// On a copy, since a solve that fails spoils its state.
  bool try_solve(double first_dt, double tolerance) {
    const StateData before = s();
    put_in(m_, s(), missing());
    if (solver().run(first_dt, tolerance, report_) && std::abs(missing()) <= 1e-6 * charge_kg_) {
      return true;
    }
    s() = before;
    return false;
  }

  bool at_rest() {
    constexpr double least = 600.0;  // s
    if (watched_for_ < least) return false;
    double worst = 0.0;
    for (std::size_t k = 0; k < 2; ++k) {
      worst = std::max(worst, watched_.high[k] / watched_.low[k] - 1.0);
    }
    report_.residual = worst;
    // What has swung by no more than this for an hour is a state of rest for all purposes.
    constexpr double hour = 3600.0;
    const double still = watched_for_ >= hour ? 4e-3 : 1e-3;
    return worst < still && watched_.high[2] - watched_.low[2] < still;
  }

  /// A machine beyond a limit at its lowest speed, where nothing is left that could hold it back.
  /// With `anyway` whatever its speed.
  std::optional<Error> would_trip(bool anyway) {
    constexpr double starting = 1000.0;  // s, in which pressures may pass their limits
    const bool at_lowest = s().speed_share <= detail::lowest_share(m_);
    if (!anyway && (!at_lowest || s().time < starting)) return std::nullopt;
    const detail::Sight sight = detail::look(m_, s(), faults_);
    const Controls& c = m_.parameters.controls;
    if (sight.p_high > c.high_pressure_trip_Pa) {
      return none("the machine trips: its high pressure passes " + bar(c.high_pressure_trip_Pa) +
                  ", where it stops");
    }
    if (sight.hottest > c.discharge_trip_K) {
      return none("the machine trips: its discharge passes " + degC(c.discharge_trip_K) +
                  ", where it stops");
    }
    if (sight.p_low < c.low_pressure_trip_Pa) {
      return none("the machine trips: its low pressure falls below " + bar(c.low_pressure_trip_Pa) +
                  ", where it stops");
    }
    return std::nullopt;
  }

  /// Where the model cannot go on it may have been driven to where no machine goes.
  Error why_lost(const Error& lost) {
    if (auto trip = would_trip(true)) return *std::move(trip);
    for (std::size_t j = 0; j < s().modules.size(); ++j) {
      const detail::LumpState& vessel = s().lumps[m_.accumulator_lump(j)];
      const double liquid = (vessel.sat.hg - vessel.out.hf) / vessel.sat.hlg();
      constexpr double flooded = 0.3;
      if (vessel.level > 1.0 && liquid > flooded) {
        return none("liquid fills the accumulators and goes on to the compressors, " +
                    percent(std::round(100.0 * std::min(liquid, 1.0)) / 100.0) +
                    " of what they draw, and what follows is more than the model can calculate");
      }
    }
    return lost;
  }

  Result<Steady> answer() {
    if (auto trip = would_trip(true)) return *std::move(trip);
    detail::open_account(m_, s());
    s().last_hottest = 0.0;  // of the way here
    return report_;
  }

  Error why_not() {
    return none("the machine does not come to rest in " + number_text(s().time / 60.0) +
                " minutes; in the last " + number_text(watched_for_ / 60.0) +
                " its speed went between " + percent(watched_.low[2]) + " and " +
                percent(watched_.high[2]) + " of the highest, the high pressure between " +
                bar(watched_.low[0]) + " and " + bar(watched_.high[0]) +
                ", the low pressure between " + bar(watched_.low[1]) + " and " +
                bar(watched_.high[1]));
  }

  Error none(const std::string& what) {
    return {ErrorCode::inconsistent,
            "no steady state: " + what + stops(),
            {},
            "check charge, calls, weather and faults of this case"};
  }

  /// Which controls stand at their stops.
  std::string stops() {
    const StateData& d = s();
    std::vector<std::string> list;
    if (d.speed_share <= detail::lowest_share(m_))
      list.emplace_back("the compressors at their lowest speed");
    if (d.speed_share >= 1.0) list.emplace_back("the compressors at their highest speed");
    if (d.outdoor_fan <= detail::least_fan) list.emplace_back("the outdoor fans at their slowest");
    if (d.outdoor_fan >= 1.0) list.emplace_back("the outdoor fans at full speed");
    int wide = 0;
    int narrow = 0;
    for (std::size_t i = 0; i < d.units.size(); ++i) {
      const bool stuck = i < faults_.units.size() && faults_.units[i].valve_stuck.has_value();
      if (!d.units[i].calling || stuck) continue;
      wide += d.units[i].valve >= 1.0 ? 1 : 0;
      narrow += d.units[i].valve <= detail::least_unit_opening ? 1 : 0;
    }
    if (wide > 0) list.push_back("valves of " + std::to_string(wide) + " calling units wide open");
    if (narrow > 0)
      list.push_back("valves of " + std::to_string(narrow) + " calling units at their narrowest");
    std::string text;
    for (const std::string& one : list) text += (text.empty() ? "; at their stops: " : ", ") + one;
    return text;
  }

  static constexpr double solved = 2e-6;

  const Model& model_;
  const ModelData& m_;
  State& state_;
  const Weather& weather_;
  const Orders& orders_;
  const Faults& faults_;
  double room_K_, charge_kg_;
  bool leaps_ = true;
  Steady report_;
  Watched watched_;
  double watched_for_ = 0.0;
  int steps_ = 0;
  int beyond_ = 0;  ///< minutes in a row beyond a limit at which the machine trips
};

}  // namespace

Result<Steady> solve_steady(const Model& model, State& state, const Weather& weather,
                            const Orders& orders, const Faults& faults, double room_K,
                            double charge_kg) {
  if (auto wrong = detail::wrong_orders(model.data(), orders)) return *std::move(wrong);
  const bool any = std::any_of(orders.units.begin(), orders.units.end(),
                               [](const UnitOrder& u) { return u.call.value_or(u.on); });
  if (!any) {
    return Error{ErrorCode::inconsistent,
                 "no indoor unit calls: nothing runs",
                 {},
                 "let at least one unit call, or ask for the machine at rest"};
  }
  return Search(model, state, weather, orders, faults, room_K, charge_kg).run();
}

Result<Steady> solve_walking(const Model& model, State& state, const Weather& weather,
                             const Orders& orders, const Faults& faults, double room_K,
                             double charge_kg) {
  if (auto wrong = detail::wrong_orders(model.data(), orders)) return *std::move(wrong);
  Search search(model, state, weather, orders, faults, room_K, charge_kg);
  search.walk();
  return search.run();
}

Result<Steady> solve_near(const Model& model, State& state, const Weather& weather,
                          const Orders& orders, const Faults& faults, double room_K,
                          double charge_kg) {
  if (auto wrong = detail::wrong_orders(model.data(), orders)) return *std::move(wrong);
  return Search(model, state, weather, orders, faults, room_K, charge_kg).run_near();
}

}  // namespace cw::twin
