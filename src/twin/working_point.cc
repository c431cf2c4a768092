#include "twin/working_point.h"

#include <algorithm>

namespace cw::twin {
namespace {

Result<Orders> orders_of(const Model& model, const Ask& ask) {
  const std::size_t units = model.system().indoor().size();
  const std::size_t modules = model.system().outdoor().size();
  if (!ask.calls.empty() && ask.calls.size() != units) {
    return Error{
        ErrorCode::invalid_argument,
        std::to_string(ask.calls.size()) + " calls for " + std::to_string(units) + " indoor units",
        "calls", "Give one for each indoor unit, in the order of the sheet"};
  }
  if ((!ask.faults.units.empty() && ask.faults.units.size() != units) ||
      (!ask.faults.modules.empty() && ask.faults.modules.size() != modules)) {
    return Error{ErrorCode::invalid_argument, "the faults do not fit the system", "faults",
                 "Give one for each unit (" + std::to_string(units) + ") or module (" +
                     std::to_string(modules) + "), or none"};
  }
  return fixed_calls(ask.plant, ask.room_K,
                     ask.calls.empty() ? std::vector<bool>(units, true) : ask.calls);
}

/// What a state says of itself beside its readings.
void find_limits(const Model& model, WorkingPoint& point) {
  point.limits = limits_reached(model, point.readings);
  for (const LimitReached& limit : point.limits) point.trips = point.trips || limit.trips;
  for (const Insight::Module& m : point.insight.modules) {
    point.floods = point.floods || m.accumulator_level >= 1.0;
  }
}

void find_subcooling(const Ask& ask, WorkingPoint& point) {
  double least = 1e9;
  for (std::size_t i = 0; i < point.insight.units.size(); ++i) {
    if (ask.plant == Plant::heating && point.readings.units[i].calling) {
      least = std::min(least, point.insight.units[i].subcooling_K);
    }
  }
  for (const Insight::Module& m : point.insight.modules) {
    if (ask.plant == Plant::cooling) least = std::min(least, m.subcooling_K);
  }
  point.subcooling_K = least;
}

Result<WorkingPoint> solve_from(const Model& model, const Ask& ask, const Orders& orders,
                                State& state) {
  WorkingPoint out;
  out.charge_kg = ask.charge_kg;
  const Result<Steady> solve =
      solve_steady(model, state, ask.weather, orders, ask.faults, ask.room_K, ask.charge_kg);
  if (!solve) return solve.error();
  out.solve = *solve;
  read(model, state, ask.faults, out.readings);
  take_stock(model, state, out.inventory);
  look_inside(model, state, out.insight);
  find_subcooling(ask, out);
  find_limits(model, out);
  return out;
}

/// The sheet's charge where none is asked for, and faults for every part.
Ask completed(const Model& model, const Ask& ask) {
  Ask out = ask;
  if (out.charge_kg <= 0.0) out.charge_kg = model.system().charge().total_kg();
  out.faults.modules.resize(model.system().outdoor().size());
  out.faults.units.resize(model.system().indoor().size());
  return out;
}

}  // namespace

std::vector<LimitReached> limits_reached(const Model& model, const Readings& readings) {
  const Controls& c = model.parameters().controls;
  std::vector<LimitReached> out;
  const auto add = [&](std::string_view what, std::size_t module, double value, double limit,
                       Dimension dimension, bool trips) {
    out.push_back({what, model.system().outdoor()[module].id, value, limit, dimension, trips});
  };
  for (std::size_t j = 0; j < readings.modules.size(); ++j) {
    const ModuleReadings& m = readings.modules[j];
    if (m.discharge_temperature >= c.discharge_trip_K - near_limit_K) {
      add("discharge temperature", j, m.discharge_temperature, c.discharge_trip_K,
          Dimension::temperature, true);
    } else if (m.discharge_temperature >= c.discharge_limit_K - near_limit_K) {
      add("discharge temperature", j, m.discharge_temperature, c.discharge_limit_K,
          Dimension::temperature, false);
    }
    if (m.discharge_pressure >= c.high_pressure_trip_Pa * (1.0 - near_limit_share)) {
      add("discharge pressure", j, m.discharge_pressure, c.high_pressure_trip_Pa,
          Dimension::pressure, true);
    } else if (m.discharge_pressure >= c.high_pressure_limit_Pa * (1.0 - near_limit_share)) {
      add("discharge pressure", j, m.discharge_pressure, c.high_pressure_limit_Pa,
          Dimension::pressure, false);
    }
    if (m.suction_pressure <= c.low_pressure_limit_Pa * (1.0 + near_limit_share)) {
      add("suction pressure", j, m.suction_pressure, c.low_pressure_limit_Pa, Dimension::pressure,
          false);
    }
  }
  return out;
}

Orders fixed_calls(Plant plant, double room_K, const std::vector<bool>& calls) {
  Orders out;
  out.plant = plant;
  for (const bool calls_now : calls) {
    UnitOrder order;
    order.on = calls_now;
    order.call = calls_now;
    order.cooling = plant == Plant::cooling;
    // Far enough from the room that no thermostat has a say.
    order.set_point_K = room_K + (order.cooling ? -3.0 : 3.0);
    out.units.push_back(order);
  }
  return out;
}

Result<WorkingPoint> working_point(const Model& model, const Ask& ask,
                                   std::optional<State>& state) {
  const Result<Orders> orders = orders_of(model, ask);
  if (!orders) return orders.error();
  const Ask whole = completed(model, ask);
  if (state) {
    Result<WorkingPoint> near = solve_from(model, whole, *orders, *state);
    if (near) return near;
    state.reset();
  }
  Result<State> rest = state_at_rest(model, whole.weather, whole.room_K, whole.charge_kg);
  if (!rest) return rest.error();
  Result<WorkingPoint> point = solve_from(model, whole, *orders, *rest);
  if (point) state.emplace(std::move(*rest));
  return point;
}

Result<WorkingPoint> working_point(const Model& model, const Ask& ask) {
  std::optional<State> state;
  return working_point(model, ask, state);
}

Result<std::vector<std::vector<MapCell>>> charge_map(const Model& model, const Ask& ask,
                                                     const MapOptions& options) {
  // A question that makes no sense is one error and not one of every cell.
  if (const Result<Orders> orders = orders_of(model, ask); !orders) return orders.error();
  std::vector<std::vector<MapCell>> out(options.outdoors_K.size());
  const std::size_t total = out.size() * options.charges_kg.size();
  std::size_t done = 0;
  for (std::size_t i = 0; i < out.size(); ++i) {
    std::optional<State> state;
    for (const double charge : options.charges_kg) {
      if (options.stop && options.stop()) {
        return Error{ErrorCode::invalid_argument, "the map was stopped", "", ""};
      }
      Ask here = ask;
      here.weather.temperature_K = options.outdoors_K[i];
      here.charge_kg = charge;
      Result<WorkingPoint> point = working_point(model, here, state);
      MapCell cell;
      if (point) {
        cell.point = std::move(*point);
      } else {
        cell.why = point.error().message;
      }
      out[i].push_back(std::move(cell));
      if (options.progress) options.progress(++done, total);
    }
  }
  return out;
}

}  // namespace cw::twin
