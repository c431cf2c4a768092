#include "twin/detail/assembly.h"
#include "twin/oil.h"

/// Compressors, passages and losses of the network.
namespace cw::twin::detail {

void Assembly::add_compressor(std::size_t j) noexcept {
  const ModuleShape& shape = model_.modules[j];
  ModuleState& module = state_.modules[j];
  const std::size_t a = model_.accumulator_lump(j);
  const std::size_t d = model_.discharge_lump(j);
  const LumpState& suction = state_.lumps[a];
  const LumpState& discharge = state_.lumps[d];
  const double size = 1.0 - module_fault(*around_.faults, j, &ModuleFaults::undersized);
  const double count = size * static_cast<double>(shape.compressors);

  // Shell and oil sump: losses in, suction gas and air out. Liquid that comes along boils here.
  const double liquid_share =
      std::clamp((suction.sat.hg - suction.out.hf) / suction.sat.hlg(), 0.0, 1.0);
  CellState at;
  model_.props.cell(suction.sat, suction.out.hf, Content::vessel, at);
  const double load = module.flow / shape.rated_flow;
  const double UA = shape.UA_shell_gas * std::pow(load + 0.02, 0.6) * (1.0 + 12.0 * liquid_share);
  const double loss = shape.loss_share * module.power;
  const double r = kind_.rate * shape.shell_metal;
  const double T_shell =
      (r * module.T_shell0 + loss + UA * at.T + shape.UA_shell_air * around_.outdoor.T) /
      (r + UA + shape.UA_shell_air);
  shell_T_[j] = T_shell;
  shell_heat_[j] = module.flow > 1e-6 ? UA * (T_shell - at.T) : 0.0;
  if (module.flow <= 1e-6) {
    shell_T_[j] = (r * module.T_shell0 + loss + shape.UA_shell_air * around_.outdoor.T) /
                  (r + shape.UA_shell_air);
  }
  shell_air_[j] = shape.UA_shell_air * (around_.outdoor.T - shell_T_[j]);
  module.suction_T = at.T;

  Row& flow = flow_[j];
  Row& power = power_[j];
  if (!module.on || module.speed <= 0.0) return;
  CellState inlet;
  const double h_in =
      suction.out.hf + shell_heat_[j] / std::max(module.flow, 0.05 * shape.rated_flow);
  model_.props.cell(suction.sat, h_in, Content::vessel, inlet);
  const double foreign = foreign_pressure(model_, state_, *around_.faults);
  CompressorInlet in{suction.p,    discharge.p + foreign, inlet.rho,
                     module.speed, suction.sat.Td,        discharge.sat.Td};
  const CompressorWear wear =
      j < around_.faults->modules.size() ? around_.faults->modules[j].wear : CompressorWear{};
  const CompressorFlow now = shape.compressor.flow(in, wear);
  double dm_dn = 0.0;
  double dW_dn = 0.0;
  if (kind_.hold.by != SpeedHold::By::none) {
    // The unknown is the share of the highest speed, the same for all modules.
    constexpr double change = 0.25;
    in.speed += change;
    const CompressorFlow faster = shape.compressor.flow(in, wear);
    const bool follows = state_.speed_share * shape.speed_highest >= shape.speed_lowest;
    const double by_share = follows ? count * shape.speed_highest / change : 0.0;
    dm_dn = by_share * (faster.m_dot - now.m_dot);
    dW_dn = by_share * (faster.power - now.power);
  }
  const double vf = model_.parameters.volumetric_factor * count;
  const double wf = model_.parameters.work_factor * count;
  const double m = vf * now.m_dot;
  const double by_rho = m / inlet.rho;
  flow[constant()] = m + vf * (now.dm_dps * offset_change_[a] + now.dm_dpd * offset_change_[d]);
  flow[of_p(a)] += vf * now.dm_dps + by_rho * inlet.drho_dp;
  flow[of_p(d)] += vf * now.dm_dpd;
  flow[of_h(a)] += by_rho * inlet.drho_dh * suction.out.hf_dh;
  flow[of_speed()] = dm_dn * model_.parameters.volumetric_factor;
  power[constant()] =
      wf * (now.power + now.dW_dps * offset_change_[a] + now.dW_dpd * offset_change_[d]);
  power[of_p(a)] += wf * now.dW_dps;
  power[of_p(d)] += wf * now.dW_dpd;
  power[of_speed()] = dW_dn * model_.parameters.work_factor;

  for (std::size_t q = 0; q <= unknowns_; ++q) {
    mass_[a][q] -= flow[q];
    mass_[d][q] += flow[q];
    energy_[a][q] -= flow[q] * suction.out.hf;
    energy_[d][q] += flow[q] * suction.out.hf + power[q];
  }
  const double carried = module.flow * suction.out.hf_dh;
  energy_[a][of_h(a)] -= carried;
  energy_[d][of_h(a)] += carried;
  energy_[d][constant()] += shell_heat_[j] - loss;
}

/// A passage between two lumps with flow C A sqrt(2 rho dp), linear within 2 kPa.
void Assembly::add_passage(std::size_t from, std::size_t to, double area, double density) noexcept {
  if (area <= 0.0) return;
  const LumpState& a = state_.lumps[from];
  const LumpState& b = state_.lumps[to];
  const double dp = a.p - b.p;
  constexpr double smooth = 2000.0;
  const double root = std::sqrt(std::sqrt(dp * dp + smooth * smooth));
  const double m = area * std::sqrt(2.0 * density) * dp / root;
  const double slope = area * std::sqrt(2.0 * density) / root;  // secant: never overshoots
  const LumpState& up = dp >= 0.0 ? a : b;
  Row flow{};
  flow[constant()] = m + slope * (offset_change_[from] - offset_change_[to]);
  flow[of_p(from)] += slope;
  flow[of_p(to)] -= slope;
  for (std::size_t q = 0; q <= unknowns_; ++q) {
    mass_[from][q] -= flow[q];
    mass_[to][q] += flow[q];
    energy_[from][q] -= flow[q] * up.state.hf;
    energy_[to][q] += flow[q] * up.state.hf;
  }
}

void Assembly::add_leak() noexcept {
  const double leak = around_.faults->leak_kg_per_s;
  if (leak <= 0.0 || kind_.steady) return;
  // No leak empties a line that is under air pressure.
  const LumpState& line = state_.lumps[liquid_lump];
  const double m = line.p > 1.05 * around_.air_pressure ? leak : 0.0;
  mass_[liquid_lump][constant()] -= m;
  energy_[liquid_lump][constant()] -= m * line.state.hf;
  const double dt = 1.0 / kind_.rate;
  state_.account.mass_lost += m * dt;
  state_.account.energy_in -= m * line.state.hf * dt;
}

/// Refrigerant that the oil takes up or gives back.
void Assembly::add_oil(std::size_t j) noexcept {
  const ModuleShape& shape = model_.modules[j];
  ModuleState& module = state_.modules[j];
  const std::size_t a = model_.accumulator_lump(j);
  const LumpState& suction = state_.lumps[a];
  const double share = dissolved_fraction(suction.p, module.T_shell, model_.props.transport());
  const double wanted = shape.oil * share / (1.0 - share);
  constexpr double time_constant = 900.0;  // s: own estimate
  const double m = (wanted - oil_before_[j]) / (time_constant + 1.0 / kind_.rate);
  mass_[a][constant()] -= m;
  energy_[a][constant()] -= m * suction.out.hf;
  const double dt = 1.0 / kind_.rate;
  module.dissolved = oil_before_[j] + m * dt;
  state_.account.energy_in -= m * suction.out.hf * dt;
}

}  // namespace cw::twin::detail
