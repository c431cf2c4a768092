#include "demo/indoor_units.h"

#include "demo/lag.h"

namespace cw::demo {
namespace {

/// A room: how it loses and gains heat, and what its unit can give.
struct Room {
  double set_point;      ///< by day [degC]
  double set_back;       ///< lowered by so much from 18:00 on [K]
  double loss_time_h;    ///< falls towards the outdoor temperature with this time constant [h]
  double heat_per_hour;  ///< unit at its full heat warms the room by so much [K/h]
  double day_gain;       ///< people, light, machines, sun while the offices are used [K/h]
  double gas_offset;     ///< unit near to (+) or far from (-) the outdoor modules [K]
};

// Units 1..6 on the ground floor, 7..12 upstairs. Corner rooms (little gain) call all the time and
// throttle; rooms with people, sun or a generous unit stop and call by turns.
constexpr std::array<Room, indoor_units> rooms = {{
    {21.0, 1.5, 33.0, 2.6, 0.15, 2.6},  //
    {21.0, 1.5, 36.0, 3.4, 0.38, 2.0},  //
    {21.5, 0.0, 34.0, 2.3, 0.05, 1.5},  //
    {21.0, 0.0, 40.0, 3.6, 0.35, 0.9},  //
    {20.5, 1.5, 36.0, 3.2, 0.45, 0.3},  //
    {21.0, 0.0, 32.0, 2.5, 0.10, 0.4},  //
    {21.5, 0.0, 34.0, 2.3, 0.00, 1.8},  // the valve that sticks
    {21.0, 1.5, 38.0, 2.9, 0.30, 1.2},  //
    {21.0, 0.0, 33.0, 2.4, 0.12, 0.7},  //
    {21.5, 1.5, 37.0, 3.8, 0.42, 0.7},  //
    {21.0, 0.0, 35.0, 2.5, 0.05, 0.3},  //
    {20.0, 1.5, 42.0, 2.9, 0.32, 0.5},  //
}};

constexpr double call_below = 0.4;    // [K] under the set point
constexpr double stop_above = 0.5;    // [K] over it
constexpr double least_demand = 0.3;  // a calling unit throttles no further

constexpr double neighbours_degC = 20.5;
constexpr double neighbour_time_h = 6.0;
constexpr double stuck_share = 0.05;  // of the heat that passes the stuck valve

bool is_stuck(int index, double minute) {
  return index + 1 == stuck_unit && minute >= valve_sticks;
}

double set_point_at(const Room& room, double minute) {
  const bool lowered = minute < switched_on || minute >= evening_set_back;
  return room.set_point - (lowered ? room.set_back : 0.0);
}

}  // namespace

IndoorSide::IndoorSide() {
  for (int index = 0; index < indoor_units; ++index) {
    const Room& room = rooms[static_cast<std::size_t>(index)];
    IndoorUnit& unit = units_[static_cast<std::size_t>(index)];
    unit.set_point = set_point_at(room, 0.0);
    unit.room = room.set_point - 1.0 - 0.03 * index;
    unit.gas_pipe = unit.room + 0.2;
    unit.liquid_pipe = unit.room - 0.1;
  }
}

void IndoorSide::step(double minute, const OutdoorSide& outdoor) {
  for (int index = 0; index < indoor_units; ++index) {
    step_control(index, minute);
    step_pipes(index, minute, outdoor);
    step_room(index, minute, outdoor);
  }
}

void IndoorSide::step_control(int index, double minute) {
  IndoorUnit& unit = units_[static_cast<std::size_t>(index)];
  unit.set_point = set_point_at(rooms[static_cast<std::size_t>(index)], minute);
  unit.on = minute >= switched_on;
  if (unit.room < unit.set_point - call_below) unit.calling = true;
  if (unit.room > unit.set_point + stop_above) unit.calling = false;
  unit.calling = unit.calling && unit.on;
  unit.demand =
      unit.calling ? clamped((unit.set_point + 0.8 - unit.room) / 1.2, least_demand, 1.0) : 0.0;

  double opening = 0.0;
  if (unit.calling) {
    opening = 22.0 + 50.0 * unit.demand;
  } else if (unit.on) {
    opening = 7.0;  // so that no liquid parks in the stopped coil
  }
  // The controller sees a cold pipe and asks for more; the valve does not follow.
  if (is_stuck(index, minute)) opening = 100.0;
  unit.valve_opening = lagged(unit.valve_opening, opening, is_stuck(index, minute) ? 20.0 : 1.0);
}

void IndoorSide::step_pipes(int index, double minute, const OutdoorSide& outdoor) {
  IndoorUnit& unit = units_[static_cast<std::size_t>(index)];
  const double offset = rooms[static_cast<std::size_t>(index)].gas_offset;
  const double condensing = outdoor.saturated_condensing();
  if (!unit.on) {
    unit.gas_pipe = lagged(unit.gas_pipe, unit.room + 0.2, 10.0);
    unit.liquid_pipe = lagged(unit.liquid_pipe, unit.room - 0.1, 10.0);
    return;
  }
  double gas = condensing + 0.29 * outdoor.discharge_superheat() + offset;
  double liquid = condensing - 9.0 + 3.0 * unit.demand + 0.5 * offset;
  double pipe_lag = 1.8;
  if (!unit.calling) {
    gas = unit.room + 13.0 + 0.8 * offset;
    liquid = unit.room + 9.0 + 0.8 * offset;
    pipe_lag = 5.0;
  } else if (is_stuck(index, minute)) {
    gas = 0.7 * condensing + 0.25 * unit.room;
    liquid = unit.room + 2.5;
    pipe_lag = 1.8;
  }
  if (defrost_at(minute) != nullptr) {
    gas = unit.calling ? 18.0 : 24.0;
    liquid = unit.calling ? 16.0 : 22.0;
  }
  unit.gas_pipe = lagged(unit.gas_pipe, gas, pipe_lag);
  unit.liquid_pipe = lagged(unit.liquid_pipe, liquid, pipe_lag);
}

void IndoorSide::step_room(int index, double minute, const OutdoorSide& outdoor) {
  IndoorUnit& unit = units_[static_cast<std::size_t>(index)];
  const Room& room = rooms[static_cast<std::size_t>(index)];
  const double warm = clamped((unit.gas_pipe - 32.0) / 26.0, 0.0, 1.1);
  unit.flow = is_stuck(index, minute) ? stuck_share * unit.demand : unit.demand;
  const double change_per_hour = unit.flow * warm * room.heat_per_hour -
                                 (unit.room - outdoor.outdoor_temperature()) / room.loss_time_h +
                                 (neighbours_degC - unit.room) / neighbour_time_h +
                                 room.day_gain * occupied(minute);
  unit.room += change_per_hour * step_s / 3600.0;
}

double IndoorSide::load() const {
  double sum = 0.0;
  for (const IndoorUnit& unit : units_) sum += unit.flow;
  return sum / indoor_units;
}

}  // namespace cw::demo
