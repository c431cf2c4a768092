#include "twin/charge_view.h"

#include <algorithm>
#include <cmath>

#include "base/contract.h"
#include "fluid/state.h"
#include "twin/working_point.h"

namespace cw::twin {
namespace {

/// Spreads the calling units over the sheet's order, so that a part load is not one corner of it.
std::vector<bool> calls_of(const Model& model, double share) {
  std::vector<bool> calls;
  double due = 1.0;  // the first unit calls, whatever the share
  for (std::size_t i = 0; i < model.system().indoor().size(); ++i) {
    calls.push_back(due >= 1.0 - 1e-9);
    due += share - (calls.back() ? 1.0 : 0.0);
  }
  return calls;
}

double mean_of(double sum, std::size_t count) {
  return count > 0 ? sum / static_cast<double>(count) : 0.0;
}

/// A season with what every solve of it needs.
class Hour {
 public:
  Hour(const Model& model, const Season& season) : model_(model) {
    ask_.plant = season.plant;
    ask_.weather = season.weather;
    ask_.room_K = season.room_K;
    ask_.calls = calls_of(model, season.calling);
  }

  /// @param state  as of working_point
  ChargeSeat solve(double charge_kg, std::optional<State>& state) const {
    ChargeSeat seat;
    seat.charge = charge_kg;
    Ask ask = ask_;
    ask.charge_kg = charge_kg;
    const Result<WorkingPoint> point = working_point(model_, ask, state);
    if (point) {
      fill(*point, seat);
    } else {
      seat.why = point.error().message;
    }
    return seat;
  }

 private:
  void fill(const WorkingPoint& point, ChargeSeat& seat) const;
  void stock(const Inventory& inventory, ChargeSeat& seat) const;
  void spare(const Insight& insight, ChargeSeat& seat) const;
  void judge(double discharge_Pa, ChargeSeat& seat) const;

  const Model& model_;
  Ask ask_;
};

void Hour::stock(const Inventory& inventory, ChargeSeat& seat) const {
  seat.liquid_line = inventory.liquid_line;
  seat.gas_lines = inventory.gas_line + inventory.third_line;
  for (const Inventory::Module& m : inventory.modules) {
    seat.outdoor_coils += m.coil;
    seat.gas_lines += m.discharge;
    seat.accumulators += m.accumulator;
    seat.dissolved += m.dissolved;
    seat.accumulator_level = std::max(seat.accumulator_level, m.accumulator_level);
  }
  for (std::size_t i = 0; i < inventory.units.size(); ++i) {
    (ask_.calls[i] ? seat.calling_coils : seat.stopped_coils) += inventory.units[i].coil;
  }
}

void Hour::spare(const Insight& insight, ChargeSeat& seat) const {
  const System& system = model_.system();
  const auto at = [&](double quality) {
    const auto state = fluid::state_from(system.refrigerant(), fluid::InputPair::T_q,
                                         insight.evaporating_K, quality);
    return state ? state->rho : std::nan("");
  };
  double room_m3 = 0.0;
  for (std::size_t j = 0; j < insight.modules.size(); ++j) {
    room_m3 +=
        (1.0 - insight.modules[j].accumulator_level) * system.outdoor()[j].accumulator_usable_m3;
  }
  seat.accumulator_spare = room_m3 * (at(0.0) - at(1.0));
}

void Hour::fill(const WorkingPoint& point, ChargeSeat& seat) const {
  const Insight& insight = point.insight;
  stock(point.inventory, seat);
  spare(insight, seat);
  seat.condensing_K = insight.condensing_K;
  seat.evaporating_K = insight.evaporating_K;
  seat.heat_W = insight.heat_to_rooms_W;
  double highest_Pa = 0.0;
  for (const ModuleReadings& m : point.readings.modules) {
    seat.discharge_K = std::max(seat.discharge_K, m.discharge_temperature);
    highest_Pa = std::max(highest_Pa, m.discharge_pressure);
  }
  double units_cold = 0.0, units_warm = 0.0, modules_cold = 0.0, modules_warm = 0.0;
  std::size_t calling = 0;
  for (std::size_t i = 0; i < insight.units.size(); ++i) {
    if (!ask_.calls[i]) continue;
    ++calling;
    units_cold += insight.units[i].subcooling_K;
    units_warm += insight.units[i].superheat_K;
  }
  for (const Insight::Module& m : insight.modules) {
    modules_cold += m.subcooling_K;
    modules_warm += m.coil_superheat_K;
  }
  const bool heating = ask_.plant == Plant::heating;
  seat.subcooling_K =
      heating ? mean_of(units_cold, calling) : mean_of(modules_cold, insight.modules.size());
  seat.superheat_K =
      heating ? mean_of(modules_warm, insight.modules.size()) : mean_of(units_warm, calling);
  judge(highest_Pa, seat);
}

void Hour::judge(double discharge_Pa, ChargeSeat& seat) const {
  if (seat.accumulator_level > 1.0) {
    seat.outcome = ChargeOutcome::over;
    seat.why = "an accumulator is full and liquid leaves it towards the compressor";
  } else if (discharge_Pa >
             (1.0 - near_limit_share) * model_.parameters().controls.high_pressure_limit_Pa) {
    seat.outcome = ChargeOutcome::over;
    seat.why = "the high-pressure limit holds the machine back";
  } else if (seat.subcooling_K < short_subcooling_K) {
    seat.outcome = ChargeOutcome::short_of;
    seat.why = "vapour reaches the expansion valves";
  } else if (seat.superheat_K > starved_superheat_K) {
    seat.outcome = ChargeOutcome::short_of;
    seat.why = "the evaporators are starved";
  } else {
    seat.outcome = ChargeOutcome::in_order;
  }
}

struct Step {
  ChargeSeat seat;
  std::optional<State> state;
};

/// Walks from `first` by `step` until the bound, or until a stretch in order has ended; one entry a
/// charge, `first` itself not among them.
std::vector<Step> walk(const Hour& hour, const Step& first, double step, double bound) {
  std::vector<Step> out;
  std::optional<State> guess = first.state;
  bool was_in_order = first.seat.outcome == ChargeOutcome::in_order;
  for (int k = 1;; ++k) {
    const double charge = first.seat.charge + k * step;
    if (step > 0.0 ? charge > bound : charge < bound) return out;
    Step next;
    next.state = guess;
    next.seat = hour.solve(charge, next.state);
    if (next.state) guess = next.state;
    const bool in_order = next.seat.outcome == ChargeOutcome::in_order;
    out.push_back(std::move(next));
    if (was_in_order && !in_order) return out;
    was_in_order = in_order;
  }
}

/// Halves the step between a charge in order and its neighbour that is not, three times.
double edge(const Hour& hour, const Step& inside, const ChargeSeat& outside) {
  double good = inside.seat.charge;
  double bad = outside.charge;
  for (int k = 0; k < 3; ++k) {
    const double middle = 0.5 * (good + bad);
    std::optional<State> state = inside.state;
    const ChargeSeat seat = hour.solve(middle, state);
    (seat.outcome == ChargeOutcome::in_order ? good : bad) = middle;
  }
  return good;
}

}  // namespace

ChargeSeat seat_of_charge(const Model& model, const Season& season, double charge_kg) {
  std::optional<State> state;
  return Hour(model, season).solve(charge_kg, state);
}

ChargeView view_charge(const Model& model, const Season& season, double charge_kg, double from_kg,
                       double to_kg, double step_kg) {
  CW_REQUIRE(0.0 < from_kg && from_kg <= charge_kg && charge_kg <= to_kg && step_kg > 0.0);
  const Hour hour(model, season);
  ChargeView view;
  view.season = season;
  Step asked;
  asked.seat = hour.solve(charge_kg, asked.state);
  view.seat = asked.seat;

  // What is short gets no better with less, what is over not with more.
  std::vector<Step> down;
  std::vector<Step> up;
  if (asked.seat.outcome != ChargeOutcome::short_of) down = walk(hour, asked, -step_kg, from_kg);
  if (asked.seat.outcome != ChargeOutcome::over) up = walk(hour, asked, step_kg, to_kg);
  std::vector<Step> all;
  for (auto it = down.rbegin(); it != down.rend(); ++it) all.push_back(std::move(*it));
  const std::size_t at = all.size();
  all.push_back(std::move(asked));
  for (Step& s : up) all.push_back(std::move(s));

  // The stretch in order that is nearest to the charge asked for.
  const auto in_order = [&](std::size_t k) {
    return all[k].seat.outcome == ChargeOutcome::in_order;
  };
  std::optional<std::size_t> nearest;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const auto away = [&](std::size_t i) { return i > at ? i - at : at - i; };
    if (in_order(k) && (!nearest || away(k) < away(*nearest))) nearest = k;
  }
  if (!nearest) {
    view.below = view.above = view.seat.outcome;
    return view;
  }
  std::size_t low = *nearest;
  std::size_t high = *nearest;
  while (low > 0 && in_order(low - 1)) --low;
  while (high + 1 < all.size() && in_order(high + 1)) ++high;
  // At the ends: the walk went to its bound, or the charge asked for was where it began.
  view.below = low > 0 ? all[low - 1].seat.outcome : ChargeOutcome::in_order;
  view.above = high + 1 < all.size() ? all[high + 1].seat.outcome : ChargeOutcome::in_order;
  // Where the search ended on an unsolved charge, a finer look would not say more of the machine.
  const auto refined = [&](std::size_t inside, ChargeOutcome beyond, std::size_t outside) {
    const bool sharp = beyond == ChargeOutcome::short_of || beyond == ChargeOutcome::over;
    return sharp ? edge(hour, all[inside], all[outside].seat) : all[inside].seat.charge;
  };
  view.least = refined(low, view.below, low - 1);
  view.most = refined(high, view.above, high + 1);
  return view;
}

}  // namespace cw::twin
