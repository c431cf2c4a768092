#include "twin/detail/assembly.h"

/// Offsets, walls and coils of the network.
namespace cw::twin::detail {

double Assembly::follow(double offset, double target) const noexcept {
  constexpr double time_constant = 3.0;  // s: own choice, slow against sound and quick against heat
  const double share = kind_.steady ? 0.7 : 1.0 - std::exp(-1.0 / (time_constant * kind_.rate));
  return (target - offset) * share;
}

/// Losses are taken from the flows of the step before. In an upset they would drive what they
/// follow; no pipe that does its work loses more than this share of the pressure.
double Assembly::bounded(double loss, double p) noexcept {
  const double most = 0.12 * p;
  return std::clamp(loss, -most, most);
}

/// Sums the units' flows down the pipe tree: gas towards the units, liquid towards the root.
void Assembly::follow_segments() noexcept {
  std::fill(state_.segment_flow.begin(), state_.segment_flow.end(), 0.0);
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    const double gas = state_.units[i].coil.flow[0];
    for (const std::size_t s : model_.units[i].path) state_.segment_flow[s] += gas;
  }
}

void Assembly::set_offsets() noexcept {
  follow_segments();
  for (std::size_t l = 0; l < lumps_; ++l) {
    LumpState& lump = state_.lumps[l];
    if (topology_.hub[l] == l) continue;
    const std::size_t j = (l - model_.first_module_lump()) / 2;
    const double target =
        friction(model_.modules[j].gas_friction, lump.link, std::max(lump.state.rho, 1.0));
    offset_change_[l] = follow(lump.offset, bounded(target, lump.p));
  }
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    const CoilShape& shape = model_.modules[j].coil;
    CoilState& coil = state_.modules[j].coil;
    CoilLink& link = module_links_[j];
    link.lump = topology_.coil_lump[j];
    link.group = topology_.group[link.lump];
    const double rho = std::max(coil.state[0].rho, 1.0);
    const double loss =
        shape.gas_loss_Pa * shape.rated_density / (shape.rated_flow * shape.rated_flow);
    link.offset_change =
        follow(coil.offset,
               state_.lumps[link.lump].offset - bounded(friction(loss, coil.flow[0], rho), coil.p));
  }
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    const UnitShape& unit = model_.units[i];
    CoilState& coil = state_.units[i].coil;
    CoilLink& link = unit_links_[i];
    link.lump = unit_lump(model_, state_.units[i]);
    link.group = topology_.group[link.lump];
    const double rho = std::max(state_.lumps[link.lump].state.rho, 1.0);
    double loss = -rho * gravity * unit.height;
    for (const std::size_t s : unit.path) {
      loss -= friction(model_.segments[s].gas_friction, state_.segment_flow[s], rho);
    }
    const CoilShape& shape = unit.coil;
    const double own =
        shape.gas_loss_Pa * shape.rated_density / (shape.rated_flow * shape.rated_flow);
    loss -= friction(own, coil.flow[0], std::max(coil.state[0].rho, 1.0));
    link.offset_change = follow(coil.offset, bounded(loss, coil.p));
  }
}

/// Pipe and vessel walls, eliminated like those of the coils.
void Assembly::walls() noexcept {
  double rooms = 0.0;
  for (const RoomState& room : state_.rooms) rooms += room.T_air;
  rooms /= static_cast<double>(state_.rooms.size());
  for (std::size_t l = 0; l < lumps_; ++l) {
    const LumpShape& shape = model_.lumps[l];
    const double T_around = shape.outdoors * around_.outdoor.T + (1.0 - shape.outdoors) * rooms;
    wall_den_[l] = kind_.rate * shape.metal + shape.UA_inside + shape.UA_outside;
    wall_num_[l] = kind_.rate * shape.metal * state_.lumps[l].T_wall0 + shape.UA_outside * T_around;
  }
}

void Assembly::close_valve(const CoilShape& shape, const CoilState& coil,
                           const ExpansionValve& valve, double opening, const Response& response,
                           double liquid_offset, CoilLink& link) noexcept {
  const LumpState& liquid = state_.lumps[liquid_lump];
  const std::size_t last = shape.cells - 1;
  const CellState& end = coil.state[last];
  const PortForm& dh_end = link.work.dh[last];
  const PortForm& dh_first = link.work.dh[0];
  ValveSide a{coil.p, end.rho, end.x > 0.0 ? 0.0 : std::max(coil.sat.Tb - end.T, 0.0)};
  ValveSide b{liquid.p + liquid_offset, liquid.state.rho,
              liquid.state.x > 0.0 ? 0.0 : std::max(liquid.sat.Tb - liquid.state.T, 0.0)};
  const ValveFlow flow = valve_flow(valve, opening, a, b, model_.props.T_critical());
  const bool outward = flow.m_dot >= 0.0;
  // m ~ sqrt(rho): a flashing inlet chokes itself.
  double by_end = outward ? 0.5 * flow.m_dot / end.rho * end.drho_dh : 0.0;
  double by_liquid = outward ? 0.0 : 0.5 * flow.m_dot / liquid.state.rho * liquid.state.drho_dh;
  double m = flow.m_dot;
  double by_p = flow.dm_dpa + (outward ? 0.5 * flow.m_dot / end.rho * end.drho_dp : 0.0);
  double by_line =
      flow.dm_dpb + (outward ? 0.0 : 0.5 * flow.m_dot / liquid.state.rho * liquid.state.drho_dp);
  double by_first = 0.0;
  if (kind_.steady) {
    // The coefficient's own dependence on subcooling matters to an iteration, not to a short step.
    const ValveSide& up = outward ? a : b;
    const CellState& cell = outward ? end : liquid.state;
    const Saturated& sat = outward ? coil.sat : liquid.sat;
    if (up.subcooling > 0.0) {
      const double by_K = flow.m_dot * coefficient_growth(up.subcooling);
      (outward ? by_end : by_liquid) -= by_K * cell.dT_dh;
      (outward ? by_p : by_line) += by_K * (sat.dTb - cell.dT_dp);
    }
    // The opening answers to what the coil becomes. Flow runs the way the coil is meant to work, so
    // that a valve which must open does not close while the pressures still stand the wrong way.
    const SaturationTransport tr = transport_of(model_.props, coil);
    const double sense = response.per_superheat_K > 0.0 ? -1.0 : 1.0;
    const double gain = sense * std::max(std::abs(flow.dm_dopening), 0.05 * shape.rated_flow);
    const double cold = gain * response.per_subcooling_K / tr.cp_l;
    const double warm = gain * response.per_superheat_K / tr.cp_g;
    m += gain * response.now;
    by_end -= cold;
    by_first = warm * coil.state[0].hf_dh;
    by_p += cold * coil.sat.dhl - warm * coil.sat.dhg;
  }
  const double inverse = 1.0 / std::max(1.0 - by_end * dh_end[4] - by_first * dh_first[4], 0.2);
  link.mu = {
      (m + by_p * link.offset_change + by_end * dh_end[0] + by_first * dh_first[0]) * inverse,
      (by_p + by_end * dh_end[1] + by_first * dh_first[1]) * inverse,
      (by_end * dh_end[2] + by_first * dh_first[2]) * inverse,
      (by_liquid + by_end * dh_end[3] + by_first * dh_first[3]) * inverse, by_line * inverse};
}

/// Films and air sides; once a step.
void Assembly::heat_coils() noexcept {
  const Faults& faults = *around_.faults;
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    ModuleState& module = state_.modules[j];
    CoilAir air = around_.outdoor;
    // A still fan leaves some draught; own estimate.
    const double fan =
        std::max(module.fan * (1.0 - module_fault(faults, j, &ModuleFaults::fan_lost)), 0.015);
    air.flow_share = fan * (1.0 - module_fault(faults, j, &ModuleFaults::coil_blocked));
    air.size = 1.0 - module_fault(faults, j, &ModuleFaults::undersized);
    coil_heat(model_.props, model_.modules[j].coil, air, kind_.soften, module.coil,
              module_links_[j].work);
  }
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    const UnitShape& shape = model_.units[i];
    UnitState& unit = state_.units[i];
    CoilAir air;
    air.T = state_.rooms[shape.room].T_air;
    air.w = around_.indoor_humidity_ratio;
    air.p = around_.air_pressure;
    air.flow_share =
        std::max(unit.fan * (1.0 - unit_fault(faults, i, &UnitFaults::filter_blocked)), 0.01);
    coil_heat(model_.props, shape.coil, air, kind_.soften, unit.coil, unit_links_[i].work);
  }
}

/// Eliminates the cells of all coils and closes them with their valves.
void Assembly::close_coils() noexcept {
  const LumpState& liquid = state_.lumps[liquid_lump];
  const double rho = std::max(liquid.state.rho, 1.0);
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    const ModuleShape& shape = model_.modules[j];
    ModuleState& module = state_.modules[j];
    CoilLink& link = module_links_[j];
    coil_eliminate(shape.coil, kind_.rate, link.offset_change, state_.lumps[link.lump].out,
                   liquid.out, module.coil, link.work);
    const double flow = module.coil.flow[shape.coil.cells];
    const double moving = flow >= 0.0 ? module.coil.state[shape.coil.cells - 1].rho : rho;
    const double lift = -rho * gravity * shape.liquid_height +
                        bounded(friction(shape.liquid_friction, flow, moving), liquid.p);
    // When the outdoor coil condenses a check valve leads round the expansion valve; nothing comes
    // back through it.
    const bool bypassed = condenses(state_, j);
    // A full line behind a shut one would fall in one linear step to where nothing is left.
    const bool back = bypassed && !kind_.forgiving && module.coil.p < liquid.p + lift;
    close_valve(shape.coil, module.coil, bypassed ? shape.bypass : shape.valve,
                back ? 0.0 : module.valve, module.response, lift, link);
    add_coil(shape.coil, module.coil, link);
  }
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    const UnitShape& shape = model_.units[i];
    UnitState& unit = state_.units[i];
    CoilLink& link = unit_links_[i];
    coil_eliminate(shape.coil, kind_.rate, link.offset_change, state_.lumps[link.lump].out,
                   liquid.out, unit.coil, link.work);
    const bool outward = unit.coil.flow[shape.coil.cells] >= 0.0;
    const double moving = outward ? unit.coil.state[shape.coil.cells - 1].rho : rho;
    double loss = 0.0;
    for (const std::size_t s : shape.path) {
      loss += friction(model_.segments[s].liquid_friction, state_.segment_flow[s], moving);
    }
    const double lift = -rho * gravity * shape.height + bounded(loss, liquid.p);
    close_valve(shape.coil, unit.coil, shape.valve, unit.valve, unit.response, lift, link);
    add_coil(shape.coil, unit.coil, link);
  }
}

void Assembly::add_port(Row& row, const PortForm& form, const CoilLink& link,
                        double factor) noexcept {
  const double m = factor * form[4];
  row[constant()] += factor * form[0] + m * link.mu[0];
  row[lumps_ + link.group] += factor * form[1] + m * link.mu[1];
  row[of_h(link.lump)] += factor * form[2] + m * link.mu[2];
  row[of_h(liquid_lump)] += factor * form[3] + m * link.mu[3];
  row[of_p(liquid_lump)] += m * link.mu[4];
}

void Assembly::add_coil(const CoilShape& shape, const CoilState& coil,
                        const CoilLink& link) noexcept {
  const std::size_t n = shape.cells;
  const PortState& hub = state_.lumps[link.lump].out;
  const PortState& liquid = state_.lumps[liquid_lump].out;
  add_port(mass_[link.lump], link.work.m[0], link, -1.0);
  add_port(mass_[liquid_lump], link.work.m[n], link, 1.0);
  Row& gas_energy = energy_[link.lump];
  if (coil.flow[0] >= 0.0) {
    add_port(gas_energy, link.work.m[0], link, -hub.hf);
    gas_energy[of_h(link.lump)] -= coil.flow[0] * hub.hf_dh;
  } else {
    add_port(gas_energy, link.work.m[0], link, -coil.state[0].hf);
    add_port(gas_energy, link.work.dh[0], link, -coil.flow[0] * coil.state[0].hf_dh);
  }
  Row& liquid_energy = energy_[liquid_lump];
  if (coil.flow[n] >= 0.0) {
    add_port(liquid_energy, link.work.m[n], link, coil.state[n - 1].hf);
    add_port(liquid_energy, link.work.dh[n - 1], link, coil.flow[n] * coil.state[n - 1].hf_dh);
  } else {
    add_port(liquid_energy, link.work.m[n], link, liquid.hf);
    liquid_energy[of_h(liquid_lump)] += coil.flow[n] * liquid.hf_dh;
  }
}

}  // namespace cw::twin::detail
