#include "twin/detail/network.h"

namespace cw::twin::detail {

std::size_t unit_lump(const ModelData& model, const UnitState& unit) noexcept {
  const bool heats = unit.calling && !unit.cooling && !unit.melts;
  return model.recovery && heats ? third_lump : gas_lump;
}

Topology topology_of(const ModelData& model, const StateData& state) noexcept {
  Topology t;
  const auto own_group = [&](std::size_t lump) {
    t.group[lump] = t.groups;
    t.hub[lump] = lump;
    t.hub_of_group[t.groups++] = lump;
  };
  const auto join = [&](std::size_t lump, std::size_t hub) {
    t.group[lump] = t.group[hub];
    t.hub[lump] = hub;
  };
  own_group(liquid_lump);
  own_group(gas_lump);
  if (model.recovery) own_group(third_lump);
  for (std::size_t j = 0; j < model.modules.size(); ++j) {
    const std::size_t discharge = model.discharge_lump(j);
    const std::size_t accumulator = model.accumulator_lump(j);
    t.coil_lump[j] = condenses(state, j) ? discharge : accumulator;
    if (model.recovery) {
      join(discharge, third_lump);
      join(accumulator, gas_lump);
    } else if (state.reversed) {
      join(accumulator, gas_lump);
      own_group(discharge);
    } else {
      join(discharge, gas_lump);
      own_group(accumulator);
    }
  }
  return t;
}

void regroup(const ModelData& model, const Topology& topology, StateData& state) noexcept {
  for (std::size_t l = 0; l < state.lumps.size(); ++l) {
    const std::size_t hub = topology.hub_of_group[topology.group[l]];
    state.lumps[l].offset = l == hub ? 0.0 : state.lumps[l].p - state.lumps[hub].p;
  }
  for (std::size_t j = 0; j < state.modules.size(); ++j) {
    const std::size_t hub = topology.hub_of_group[topology.group[topology.coil_lump[j]]];
    state.modules[j].coil.offset = state.modules[j].coil.p - state.lumps[hub].p;
  }
  for (UnitState& unit : state.units) {
    const std::size_t hub = topology.hub_of_group[topology.group[unit_lump(model, unit)]];
    unit.coil.offset = unit.coil.p - state.lumps[hub].p;
  }
}

double module_fault(const Faults& faults, std::size_t j, double ModuleFaults::*what) noexcept {
  return j < faults.modules.size() ? faults.modules[j].*what : 0.0;
}

double unit_fault(const Faults& faults, std::size_t i, double UnitFaults::*what) noexcept {
  return i < faults.units.size() ? faults.units[i].*what : 0.0;
}

double foreign_pressure(const ModelData& model, const StateData& state,
                        const Faults& faults) noexcept {
  if (faults.non_condensables_mol <= 0.0) return 0.0;
  // The gas gathers where the flow of vapour ends: in the condensing coils.
  double volume = 0.0;
  if (state.reversed) {
    for (const ModuleShape& m : model.modules) {
      volume += m.coil.cell_volume * static_cast<double>(m.coil.cells);
    }
  } else {
    for (const UnitShape& u : model.units) {
      volume += u.coil.cell_volume * static_cast<double>(u.coil.cells);
    }
  }
  constexpr double gas_constant = 8.314462618;  // J/(mol K), exact by definition (SI, 2019)
  return faults.non_condensables_mol * gas_constant * 310.0 / (0.5 * volume);
}

}  // namespace cw::twin::detail
