#include "twin/detail/network.h"

#include "twin/detail/assembly.h"

namespace cw::twin::detail {

void Assembly::add_balances() noexcept {
  for (auto& row : system_.rows) row.fill(0.0);
  for (std::size_t l = 0; l < lumps_; ++l) {
    const LumpState& lump = state_.lumps[l];
    const double V = model_.lumps[l].volume;
    const double r = kind_.rate;
    // What the lump itself stores, as a linear form.
    Row& mass = mass_[l];
    mass[constant()] -=
        r * ((V * lump.state.rho - lump.M0) + V * lump.state.drho_dp * offset_change_[l]);
    mass[of_p(l)] -= r * V * lump.state.drho_dp;
    mass[of_h(l)] -= r * V * lump.state.drho_dh;
    const std::size_t hub = topology_.hub[l];
    if (hub == l) continue;
    link_[l] = mass;
    const LumpState& other = state_.lumps[hub];
    const bool outward = lump.link >= 0.0;
    const double hf = outward ? lump.out.hf : other.out.hf;
    Row& energy = link_energy_[l];
    for (std::size_t q = 0; q <= unknowns_; ++q) energy[q] = link_[l][q] * hf;
    energy[of_h(outward ? l : hub)] += lump.link * (outward ? lump.out.hf_dh : other.out.hf_dh);
  }
  for (std::size_t l = 0; l < lumps_; ++l) {
    const std::size_t hub = topology_.hub[l];
    if (hub == l) continue;
    for (std::size_t q = 0; q <= unknowns_; ++q) {
      mass_[hub][q] += link_[l][q];
      energy_[hub][q] += link_energy_[l][q];
      mass_[l][q] -= link_[l][q];
      energy_[l][q] -= link_energy_[l][q];
    }
  }
  for (std::size_t l = 0; l < lumps_; ++l) {
    const LumpState& lump = state_.lumps[l];
    const LumpShape& shape = model_.lumps[l];
    const double V = shape.volume;
    const double r = kind_.rate;
    const double h = lump.h;
    // The mass row holds inflow minus storage; the energy row needs the inflow alone.
    Row inflow = mass_[l];
    inflow[constant()] +=
        r * ((V * lump.state.rho - lump.M0) + V * lump.state.drho_dp * offset_change_[l]);
    inflow[of_p(l)] += r * V * lump.state.drho_dp;
    inflow[of_h(l)] += r * V * lump.state.drho_dh;
    const double U = V * (lump.state.rho * h - lump.p);
    const double defect = U - lump.U0 - h * (V * lump.state.rho - lump.M0);
    const double g = shape.UA_inside * (1.0 - shape.UA_inside / wall_den_[l]);
    Row& row = system_.rows[l];
    for (std::size_t q = 0; q <= unknowns_; ++q) row[q] = h * inflow[q] - energy_[l][q];
    row[of_h(l)] += r * V * lump.state.rho + g * lump.state.dT_dh;
    row[of_p(l)] += -r * V + g * lump.state.dT_dp;
    row[constant()] += r * defect - r * V * offset_change_[l] +
                       g * (lump.state.T + lump.state.dT_dp * offset_change_[l]) -
                       shape.UA_inside * wall_num_[l] / wall_den_[l];
    row[constant()] = -row[constant()];
    if (topology_.hub[l] != l) continue;
    Row& balance = system_.rows[lumps_ + topology_.group[l]];
    for (std::size_t q = 0; q <= unknowns_; ++q) balance[q] = mass_[l][q];
    balance[constant()] = -balance[constant()];
  }
}

void Assembly::add_speed_row() noexcept {
  Row& row = system_.rows[of_speed()];
  const SpeedHold& hold = kind_.hold;
  const std::size_t l = hold.lump;
  const LumpState& lump = state_.lumps[l];
  switch (hold.by) {
    case SpeedHold::By::none:
      row[of_speed()] = 1.0;
      return;
    case SpeedHold::By::condensing:
    case SpeedHold::By::evaporating: {
      Saturated seen;
      model_.props.saturated(lump.p + hold.offset, seen);
      row[of_p(l)] = seen.dTd;
      row[constant()] = kind_.approach * (hold.target - seen.Td) - seen.dTd * offset_change_[l];
      return;
    }
    case SpeedHold::By::high_pressure:
    case SpeedHold::By::low_pressure:
      row[of_p(l)] = 1.0;
      row[constant()] = kind_.approach * (hold.target - lump.p - hold.offset) - offset_change_[l];
      return;
    case SpeedHold::By::discharge: {
      // The sensor sits on the wall: its temperature at the end of the step.
      const double by_T = model_.lumps[l].UA_inside / wall_den_[l];
      const double still = (wall_num_[l] + model_.lumps[l].UA_inside * lump.state.T) / wall_den_[l];
      row[of_p(l)] = by_T * lump.state.dT_dp;
      row[of_h(l)] = by_T * lump.state.dT_dh;
      const double want = lump.T_wall + kind_.approach * (hold.target - hold.offset - lump.T_wall);
      row[constant()] = want - still - by_T * lump.state.dT_dp * offset_change_[l];
      return;
    }
  }
}

/// What the solution says at the ports of a coil, in the order of PortForm.
PortForm Assembly::port_of(const CoilLink& link) const noexcept {
  const double dp = x_[lumps_ + link.group];
  const double dh_hub = x_[of_h(link.lump)];
  const double dh_liquid = x_[of_h(liquid_lump)];
  const double m = link.mu[0] + link.mu[1] * dp + link.mu[2] * dh_hub + link.mu[3] * dh_liquid +
                   link.mu[4] * x_[of_p(liquid_lump)];
  return {1.0, dp, dh_hub, dh_liquid, m};
}

double Assembly::value(const Row& row) const noexcept {
  double sum = row[constant()];
  for (std::size_t q = 0; q < unknowns_; ++q) sum += row[q] * x_[q];
  return sum;
}

/// How far the opening went, by the enthalpies before and after.
double Assembly::response_of(const CoilShape& shape, const CoilState& coil, const CoilWork& work,
                             const Response& response, double dp) const noexcept {
  const SaturationTransport tr = transport_of(model_.props, coil);
  const std::size_t last = shape.cells - 1;
  const double subcooling = (coil.sat.dhl * dp - work.last_dh[last]) / tr.cp_l;
  const double superheat = (coil.state[0].hf_dh * work.last_dh[0] - coil.sat.dhg * dp) / tr.cp_g;
  return response.now + response.per_subcooling_K * subcooling +
         response.per_superheat_K * superheat;
}

void Assembly::apply() noexcept {
  const double dt = 1.0 / kind_.rate;
  Account& account = state_.account;
  std::array<double, most_lumps> extra{};
  const auto settle = [&](const CoilShape& shape, CoilState& coil, CoilLink& link,
                          const Response& response, double& valve) {
    const PortForm port = port_of(link);
    const PortExtra through =
        coil_apply(shape, kind_.rate, link.offset_change, port, state_.lumps[link.lump].out,
                   state_.lumps[liquid_lump].out, coil, link.work);
    extra[link.lump] -= through.gas;
    extra[liquid_lump] += through.liquid;
    coil.offset += link.offset_change;
    if (kind_.steady)
      valve += response_of(shape, coil, link.work, response, port[1] + link.offset_change);
    for (std::size_t i = 0; i < shape.cells; ++i) {
      account.energy_in += dt * coil.Q_air[i];
      account.heat_moved += dt * std::abs(coil.Q_air[i]);
    }
  };
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    ModuleState& module = state_.modules[j];
    settle(model_.modules[j].coil, module.coil, module_links_[j], module.response, module.valve);
    module.flow = value(flow_[j]);
    module.power = std::max(value(power_[j]), 0.0);
    module.T_shell = shell_T_[j];
    // The whole of the power goes in: what the shell keeps and what the gas takes.
    account.energy_in += dt * (value(power_[j]) + shell_air_[j]);
  }
  if (kind_.hold.by != SpeedHold::By::none) state_.speed_share += x_[of_speed()];
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    UnitState& unit = state_.units[i];
    settle(model_.units[i].coil, unit.coil, unit_links_[i], unit.response, unit.valve);
  }
  for (std::size_t l = 0; l < lumps_; ++l) {
    LumpState& lump = state_.lumps[l];
    const LumpShape& shape = model_.lumps[l];
    const double dh = x_[of_h(l)];
    const double dp = x_[of_p(l)] + offset_change_[l];
    const double T = lump.state.T + lump.state.dT_dp * dp + lump.state.dT_dh * dh;
    const double wall = (wall_num_[l] + shape.UA_inside * T) / wall_den_[l];
    const double Q = shape.UA_inside * (wall - T);
    const double stored_wall = kind_.rate * shape.metal * (wall - lump.T_wall0);
    // The rows hold inflow minus linearised storage; booked is the inflow alone.
    const double V = shape.volume;
    const double inflow =
        value(mass_[l]) + kind_.rate * ((V * lump.state.rho - lump.M0) +
                                        V * lump.state.drho_dp * dp + V * lump.state.drho_dh * dh);
    if (topology_.hub[l] != l) lump.link = value(link_[l]);
    lump.M = lump.M0 + dt * inflow;
    lump.U = lump.U0 + dt * (value(energy_[l]) + extra[l] + Q);
    lump.T_wall = wall;
    account.energy_in += dt * (stored_wall + Q);
    lump.h += dh;
    lump.offset += offset_change_[l];
  }
  for (std::size_t g = 0; g < topology_.groups; ++g) {
    state_.lumps[topology_.hub_of_group[g]].p += x_[lumps_ + g];
  }
  for (std::size_t l = 0; l < lumps_; ++l) {
    const std::size_t hub = topology_.hub_of_group[topology_.group[l]];
    if (l != hub) state_.lumps[l].p = state_.lumps[hub].p + state_.lumps[l].offset;
  }
}

void Assembly::assemble() noexcept {
  for (std::size_t l = 0; l < lumps_; ++l) {
    mass_[l].fill(0.0);
    energy_[l].fill(0.0);
  }
  close_coils();
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    flow_[j].fill(0.0);
    power_[j].fill(0.0);
    add_compressor(j);
    const ModuleShape& shape = model_.modules[j];
    const std::size_t d = model_.discharge_lump(j);
    const double leak = module_fault(*around_.faults, j, &ModuleFaults::reversing_valve_leak);
    // Rated flow of gas at 90 kg/m3 falls through the whole slide at 2 MPa: only a scale.
    const double slide = leak * shape.rated_flow / std::sqrt(2.0 * 90.0 * 2e6);
    const double open = slide + (state_.modules[j].on ? 0.0 : shape.equalise);
    add_passage(d, model_.accumulator_lump(j), open, state_.lumps[d].state.rho);
    add_oil(j);
  }
  if (model_.recovery) {
    // Where the outdoor coils condense and no unit heats, the third line is a dead end in which hot
    // gas would condense until it is full. Branch boxes drain it towards the suction.
    add_passage(third_lump, gas_lump, model_.third_line_drain, state_.lumps[third_lump].state.rho);
  }
  add_leak();
  add_balances();
  add_speed_row();
}

/// Whether a flow came out against the direction that its enthalpy was taken from. With `adopt` the
/// flows found become those to linearise at.
bool Assembly::turned(bool adopt) noexcept {
  bool any = false;
  const auto look = [&](double rated, double found, double& flow) {
    // Nothing in such a machine moves at a hundred times its rated flow. Taken from the wrong side
    // a flow may come out so; the next pass has it the other way round.
    const bool wild = !(std::abs(found) < 100.0 * rated) && !kind_.forgiving;
    if (wild && !(adopt && kind_.patient)) wild_ = true;
    if (wild || (found * flow < 0.0 && std::abs(found) > 1e-3 * rated)) any = true;
    if (adopt && wild) found = std::copysign(rated, found);
    if (adopt) flow = found;
  };
  const auto coil = [&](const CoilShape& shape, CoilState& c, const CoilLink& link) {
    const PortForm port = port_of(link);
    for (std::size_t f = 0; f <= shape.cells; ++f) {
      look(shape.rated_flow, value_at(link.work.m[f], port), c.flow[f]);
    }
  };
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    coil(model_.modules[j].coil, state_.modules[j].coil, module_links_[j]);
  }
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    coil(model_.units[i].coil, state_.units[i].coil, unit_links_[i]);
  }
  for (std::size_t l = 0; l < lumps_; ++l) {
    if (topology_.hub[l] != l) {
      look(3.0 * model_.modules[0].rated_flow, value(link_[l]), state_.lumps[l].link);
    }
  }
  return any;
}

/// Calls each(part number, volume, state, h, p, M, U) for all lumps and cells.
template <class Each>
void Assembly::each_content(Each each) noexcept {
  std::size_t part = 0;
  for (std::size_t l = 0; l < lumps_; ++l) {
    LumpState& lump = state_.lumps[l];
    each(part++, model_.lumps[l].volume, lump.state, lump.h, lump.sat.p, lump.M, lump.U);
  }
  const auto coil = [&](const CoilShape& shape, CoilState& c) {
    for (std::size_t i = 0; i < shape.cells; ++i) {
      each(part++, shape.cell_volume, c.state[i], c.h[i], c.p, c.M[i], c.U[i]);
    }
  };
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    coil(model_.modules[j].coil, state_.modules[j].coil);
  }
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    coil(model_.units[i].coil, state_.units[i].coil);
  }
}

/// What state and booked content disagree about is made good within some tenths of a second, not at
/// once: flows that undo it in one step grow without end as the step gets shorter, so that no step
/// would be short enough. The rest is kept aside, and is what the next step finds.
void Assembly::carry() noexcept {
  carries_ = kind_.patient && kind_.rate * patience_s > 1.0;
  if (!carries_) return;
  const double left = 1.0 - 1.0 / (kind_.rate * patience_s);
  each_content([&](std::size_t part, double V, const CellState& s, double h, double p, double& M,
                   double& U) {
    carried_[part] = {left * (V * s.rho - M), left * (V * (s.rho * h - p) - U)};
    M += carried_[part].M;
    U += carried_[part].U;
  });
}

void Assembly::begin() noexcept {
  account_ = state_.account;
  carry();
  for (std::size_t j = 0; j < model_.modules.size(); ++j) {
    oil_before_[j] = state_.modules[j].dissolved;
    state_.modules[j].T_shell0 = state_.modules[j].T_shell;
    module_links_[j].work.begin(model_.modules[j].coil, state_.modules[j].coil);
  }
  for (std::size_t i = 0; i < model_.units.size(); ++i) {
    unit_links_[i].work.begin(model_.units[i].coil, state_.units[i].coil);
  }
  for (LumpState& lump : state_.lumps) {
    lump.M0 = lump.M;
    lump.U0 = lump.U;
    lump.T_wall0 = lump.T_wall;
  }
  set_offsets();
  walls();
  heat_coils();
}

/// Solves, again where a flow came out against the direction that it was assumed in.
bool Assembly::solve_flows() noexcept {
  const int most_passes = kind_.steady ? 4 : kind_.forgiving ? 1 : 2;
  for (int pass = 0; pass < most_passes; ++pass) {
    state_.account = account_;
    assemble();
    if (!system_.solve(unknowns_, x_)) return false;
    const bool last = pass + 1 == most_passes;
    unsettled_ = turned(!last);
    if (wild_) return false;
    if (!unsettled_ || last) break;
  }
  return true;
}

StepResult Assembly::run() noexcept {
  begin();
  const StepResult out = iterate();
  if (carries_ && out.good) {
    each_content(
        [&](std::size_t part, double, const CellState&, double, double, double& M, double& U) {
          M -= carried_[part].M;
          U -= carried_[part].U;
        });
  }
  return out;
}

StepResult Assembly::iterate() noexcept {
  constexpr double close = 2e-5;  // mass defect at which an iteration is done
  StepResult out;
  for (out.iterations = 1;; ++out.iterations) {
    if (!solve_flows()) return out;
    apply();
    refresh(model_, topology_, state_);
    out.defect = worst_defect(model_, state_);
    if (!std::isfinite(out.defect)) return out;
    // Where vapour meets cold liquid a direction may not settle at all: in a step so short a flow
    // of the wrong enthalpy does no harm, and the next step has it the other way round.
    constexpr double harmless = 0.2;  // s
    const bool settled = !unsettled_ || kind_.rate > 1.0 / harmless;
    if (kind_.forgiving) {
      constexpr double finite_enough = 0.3;
      out.good = out.defect < finite_enough;
      return out;
    }
    if (kind_.steady || (out.defect < close && settled)) break;
    if (out.iterations >= kind_.iterations) {
      // What is left is made good in the next step, as it starts from the booked content.
      constexpr double bearable = 5e-3;
      if (out.defect < bearable && settled) break;
      return out;
    }
    // Offsets have had their change.
    offset_change_.fill(0.0);
    for (CoilLink& link : module_links_) link.offset_change = 0.0;
    for (CoilLink& link : unit_links_) link.offset_change = 0.0;
  }
  out.good = true;
  return out;
}

StepResult step(const ModelData& model, const Topology& topology, const Surroundings& around,
                const StepKind& kind, StateData& state) noexcept {
  Assembly assembly(model, topology, around, kind, state);
  return assembly.run();
}

namespace {

/// What leaves an accumulator: vapour, and liquid through the oil hole and over the edge.
void accumulator_outlet(const AccumulatorShape& shape, double volume, LumpState& lump) noexcept {
  const Saturated& s = lump.sat;
  const double x = lump.state.x;
  if (x >= 1.0) {
    lump.level = 0.0;
    lump.out = {lump.h, 1.0};
    return;
  }
  const double v = 1.0 / lump.state.rho;
  const double full = volume / shape.usable;
  double liquid = 1.0;
  double by_x = 0.0;
  if (x > 0.0) {
    liquid = (1.0 - x) * s.vl / v;
    by_x = -(s.vl / v) * (1.0 + (1.0 - x) * (s.vg - s.vl) / v);
  }
  lump.level = liquid * full;
  const double level = lump.level;
  // Oil hole: covered within the first hundredths, then with the head, the root of the level.
  constexpr double film = 0.03;
  const double root = std::sqrt(level + 0.05);
  const double covered = level / (level + film);
  const double head = root / std::sqrt(0.55);
  double share = shape.bleed * covered * head;
  double slope = shape.bleed * (film / ((level + film) * (level + film)) * head +
                                covered * 0.5 / (root * std::sqrt(0.55)));
  // Over the edge: a parabola, then a line of 5 % for each hundredth of the usable volume.
  constexpr double edge = 0.98;
  if (level > edge) {
    const double over = level - edge;
    constexpr double bend = 0.02;
    share += over < bend ? 2.5 * over * over / bend : 2.5 * bend + 5.0 * (over - bend);
    slope += over < bend ? 5.0 * over / bend : 5.0;
  }
  const double most = 1.0 - std::min(x, 0.9);
  if (share > most) {
    share = most;
    slope = 0.0;
  }
  const double hlg = s.hlg();
  lump.out.hf = s.hg - share * hlg;
  lump.out.hf_dh = -slope * full * by_x;
}

}  // namespace

void refresh(const ModelData& model, const Topology& topology, StateData& state) noexcept {
  for (std::size_t l = 0; l < state.lumps.size(); ++l) {
    LumpState& lump = state.lumps[l];
    model.props.saturated(lump.p, lump.sat);
    const bool vessel = l >= model.first_module_lump();
    model.props.cell(lump.sat, lump.h, vessel ? Content::vessel : Content::pipe, lump.state);
    lump.out = {lump.state.hf, lump.state.hf_dh};
  }
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    const std::size_t a = model.accumulator_lump(j);
    accumulator_outlet(model.modules[j].accumulator, model.lumps[a].volume, state.lumps[a]);
    CoilState& coil = state.modules[j].coil;
    const std::size_t hub = topology.hub_of_group[topology.group[topology.coil_lump[j]]];
    coil_properties(model.props, state.lumps[hub].p + coil.offset, model.modules[j].coil, coil);
  }
  for (std::size_t i = 0; i < state.units.size(); ++i) {
    UnitState& unit = state.units[i];
    const std::size_t hub = topology.hub_of_group[topology.group[unit_lump(model, unit)]];
    coil_properties(model.props, state.lumps[hub].p + unit.coil.offset, model.units[i].coil,
                    unit.coil);
  }
}

double worst_defect(const ModelData& model, const StateData& state) noexcept {
  double worst = 0.0;
  // 20 kg/m3 keeps nearly empty cells from ruling the step.
  // 100 kJ/kg is the scale of an enthalpy that would matter as much as all of the mass.
  const auto look = [&](double V, double p, double h, double rho, double M, double U) {
    const double mass = V * rho - M;
    const double energy = (V * (rho * h - p) - U - h * mass) / 1e5;
    worst =
        std::fmax(worst, std::fmax(std::abs(mass), std::abs(energy)) / (std::abs(M) + 20.0 * V));
  };
  for (std::size_t l = 0; l < state.lumps.size(); ++l) {
    const LumpState& s = state.lumps[l];
    look(model.lumps[l].volume, s.sat.p, s.h, s.state.rho, s.M, s.U);
  }
  const auto coil = [&](const CoilShape& shape, const CoilState& c) {
    for (std::size_t i = 0; i < shape.cells; ++i) {
      look(shape.cell_volume, c.p, c.h[i], c.state[i].rho, c.M[i], c.U[i]);
    }
  };
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    coil(model.modules[j].coil, state.modules[j].coil);
  }
  for (std::size_t i = 0; i < state.units.size(); ++i)
    coil(model.units[i].coil, state.units[i].coil);
  return worst;
}

}  // namespace cw::twin::detail
