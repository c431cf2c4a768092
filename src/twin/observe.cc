#include <algorithm>
#include <cmath>

#include "twin/detail/controls.h"
#include "twin/detail/network.h"

/// What the sensors say, where the refrigerant is, and what nobody sees.
namespace cw::twin {

using detail::ModelData;
using detail::StateData;

namespace {

/// A clamp-on sensor with little flow behind it tends to the air around.
double pipe_reading(double T_refrigerant, double T_air, double flow, double rated) {
  const double wetted = flow / (flow + 0.02 * rated);
  constexpr double fin = 0.08;  // share of the surroundings in the reading, own estimate
  return T_air + (T_refrigerant - T_air) * wetted * (1.0 - fin);
}

void read_module(const ModelData& m, const StateData& s, const Faults& faults, std::size_t j,
                 ModuleReadings& out) {
  const auto offset = [&](std::string_view q) {
    return faults.sensors.empty() ? 0.0 : detail::sensor_offset(faults, "outdoor", j + 1, q);
  };
  const detail::ModuleState& module = s.modules[j];
  const detail::LumpState& high = s.lumps[m.discharge_lump(j)];
  const detail::LumpState& low = s.lumps[m.accumulator_lump(j)];
  out.discharge_pressure =
      high.p + detail::foreign_pressure(m, s, faults) + offset("discharge_pressure");
  out.suction_pressure = low.p + offset("suction_pressure");
  out.discharge_temperature = high.T_wall + offset("discharge_temperature");
  out.suction_temperature =
      (module.on ? module.suction_T : low.T_wall) + offset("suction_temperature");
  out.shell_temperature = module.T_shell + offset("shell_temperature");
  const bool off = j < faults.modules.size() && faults.modules[j].defrost_sensor_failed;
  out.coil_temperature = (off ? s.outdoor_T : module.coil.T_wall[m.modules[j].coil.cells - 1]) +
                         offset("coil_temperature");
  out.compressor_frequency = module.speed + offset("compressor_frequency");
  out.valve_opening = module.valve;
  out.fan_speed = module.fan;
  out.power = module.power + m.modules[j].fan_W * std::pow(module.fan, 3.0);
  out.defrosting = module.turned || s.activity == Activity::defrosting;
}

void read_unit(const ModelData& m, const StateData& s, const Faults& faults, std::size_t i,
               UnitReadings& out) {
  const auto offset = [&](std::string_view q) {
    return faults.sensors.empty() ? 0.0 : detail::sensor_offset(faults, "indoor", i + 1, q);
  };
  const detail::UnitState& unit = s.units[i];
  const detail::UnitShape& shape = m.units[i];
  const double air = s.rooms[shape.room].T_air;
  const double flow = std::abs(unit.coil.flow[0]);
  const std::size_t last = shape.coil.cells - 1;
  // The sensor sits on the coil's header and feels the first tubes; share is an own estimate.
  constexpr double header = 0.4;
  const double inflow =
      unit.coil.flow[0] > 0.0 ? s.lumps[detail::unit_lump(m, unit)].state.T : unit.coil.state[0].T;
  const double gas = inflow + header * (unit.coil.T_wall[0] - inflow);
  out.gas_pipe_temperature =
      pipe_reading(gas, air, flow, shape.coil.rated_flow) + offset("gas_pipe_temperature");
  out.liquid_pipe_temperature =
      pipe_reading(unit.coil.state[last].T, air, flow, shape.coil.rated_flow) +
      offset("liquid_pipe_temperature");
  out.controlled_temperature = unit.sensor + offset("controlled_temperature");
  out.supply_air_temperature = unit.fan > 0.0 ? unit.coil.air_out_T : air;
  out.valve_opening = unit.valve;
  out.fan_speed = unit.fan;
  out.set_point = unit.set_point;
  out.on = unit.on;
  out.calling = unit.calling;
  out.cooling = unit.cooling;
}

}  // namespace

void read(const Model& model, const State& state, const Faults& faults, Readings& out) {
  const ModelData& m = model.data();
  const StateData& s = state.data();
  out.activity = s.activity;
  out.outdoor_temperature =
      s.outdoor_T + detail::sensor_offset(faults, "site", 0, "outdoor_temperature");
  out.modules.resize(m.modules.size());
  out.units.resize(m.units.size());
  for (std::size_t j = 0; j < m.modules.size(); ++j) read_module(m, s, faults, j, out.modules[j]);
  for (std::size_t i = 0; i < m.units.size(); ++i) read_unit(m, s, faults, i, out.units[i]);
}

void take_stock(const Model& model, const State& state, Inventory& out) {
  const ModelData& m = model.data();
  const StateData& s = state.data();
  out.modules.resize(m.modules.size());
  out.units.resize(m.units.size());
  out.liquid_line = s.lumps[detail::liquid_lump].M;
  out.gas_line = s.lumps[detail::gas_lump].M;
  out.third_line = m.recovery ? s.lumps[detail::third_lump].M : 0.0;
  for (std::size_t j = 0; j < m.modules.size(); ++j) {
    Inventory::Module& o = out.modules[j];
    const detail::LumpState& low = s.lumps[m.accumulator_lump(j)];
    o.coil = detail::coil_mass(m.modules[j].coil, s.modules[j].coil);
    o.accumulator = low.M;
    o.accumulator_level = low.level;
    o.discharge = s.lumps[m.discharge_lump(j)].M;
    o.dissolved = s.modules[j].dissolved;
  }
  for (std::size_t i = 0; i < m.units.size(); ++i) {
    Inventory::Unit& o = out.units[i];
    const detail::CoilState& coil = s.units[i].coil;
    const detail::CoilShape& shape = m.units[i].coil;
    o.coil = detail::coil_mass(shape, coil);
    // Twice what vapour alone would weigh: liquid lies in it.
    o.parked = !s.units[i].calling &&
               o.coil > 2.0 * shape.cell_volume * static_cast<double>(shape.cells) / coil.sat.vg;
  }
  out.total = detail::booked_mass(m, s);
}

void look_inside(const Model& model, const State& state, Insight& out) {
  const ModelData& m = model.data();
  const StateData& s = state.data();
  out.modules.resize(m.modules.size());
  out.units.resize(m.units.size());
  out.heat_to_rooms_W = 0.0;
  out.heat_from_outdoors_W = 0.0;
  out.power_W = 0.0;
  out.compressors_W = 0.0;
  const detail::LumpState& first_high = s.lumps[m.discharge_lump(0)];
  const detail::LumpState& first_low = s.lumps[m.accumulator_lump(0)];
  out.condensing_K = first_high.sat.Td;
  out.evaporating_K = first_low.sat.Td;
  for (std::size_t j = 0; j < m.modules.size(); ++j) {
    Insight::Module& o = out.modules[j];
    const detail::ModuleState& module = s.modules[j];
    const detail::CoilShape& shape = m.modules[j].coil;
    const detail::LumpState& low = s.lumps[m.accumulator_lump(j)];
    o.m_dot = module.flow;
    const double outlet = (low.out.hf - low.sat.hl) / low.sat.hlg();
    o.suction_quality = outlet;
    o.suction_superheat_K = module.suction_T - low.sat.Td;
    o.coil_superheat_K = detail::superheat_of(m.props, module.coil);
    o.subcooling_K = detail::subcooling_of(m.props, shape, module.coil);
    o.accumulator_level = low.level;
    o.frost_kg = 0.0;
    for (std::size_t c = 0; c < shape.cells; ++c) {
      o.frost_kg += module.coil.frost[c].mass * shape.frost_area;
      out.heat_from_outdoors_W += module.coil.Q_air[c];
    }
    o.airflow_share = detail::coil_airflow(shape, module.coil, module.fan);
    out.compressors_W += module.power;
    out.power_W += module.power + m.modules[j].fan_W * std::pow(module.fan, 3.0);
  }
  for (std::size_t i = 0; i < m.units.size(); ++i) {
    Insight::Unit& o = out.units[i];
    const detail::UnitState& unit = s.units[i];
    const detail::CoilShape& shape = m.units[i].coil;
    o.m_dot = std::abs(unit.coil.flow[shape.cells]);
    o.heat_W = 0.0;
    for (std::size_t c = 0; c < shape.cells; ++c) o.heat_W -= unit.coil.Q_air[c];
    o.subcooling_K = detail::subcooling_of(m.props, shape, unit.coil);
    o.superheat_K = detail::superheat_of(m.props, unit.coil);
    o.room_K = s.rooms[m.units[i].room].T_air;
    out.heat_to_rooms_W += o.heat_W;
    out.power_W += m.units[i].fan_W * unit.fan;
  }
}

Conservation conservation_of(const Model& model, const State& state) {
  const ModelData& m = model.data();
  const StateData& s = state.data();
  const detail::Account& a = s.account;
  Conservation out;
  const double mass = detail::booked_mass(m, s);
  out.mass_relative = (mass - a.mass_start - a.mass_added + a.mass_lost) / a.mass_start;
  const double stored = detail::booked_energy(m, s) - a.energy_start;
  out.energy_relative = (stored - a.energy_in) / std::max(a.heat_moved, 1.0);
  return out;
}

}  // namespace cw::twin
