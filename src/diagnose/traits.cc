#include "diagnose/traits.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "fluid/saturation.h"

namespace cw::diagnose {
namespace {

using D = Dimension;
using P = TraitPlace;
using V = const TwinView&;

const twin::ModuleReadings& module(V v, std::size_t i) { return v.readings->modules[i]; }
const twin::UnitReadings& unit(V v, std::size_t i) { return v.readings->units[i]; }
double dew(V v, double p) { return fluid::dew_temperature_or_nan(*v.refrigerant, p); }

// A new trait: one line. The figures are own estimates; bench/faults shows what they are worth.
constexpr std::array traits = {
    Trait{"condensing", "saturated_condensing_temperature", "saturated condensing temperature",
          P::module, D::temperature, false, true, 0.4, 0.2, 0.3, 0.0, 3.0,
          [](V v, std::size_t i) { return dew(v, module(v, i).discharge_pressure); }},
    Trait{"evaporating", "saturated_evaporating_temperature", "saturated evaporating temperature",
          P::module, D::temperature, false, true, 0.6, 0.2, 0.4, 0.0, 3.0,
          [](V v, std::size_t i) { return dew(v, module(v, i).suction_pressure); }},
    Trait{"discharge", "discharge_temperature", "discharge temperature", P::module, D::temperature,
          false, true, 1.5, 0.7, 0.5, 0.0, 8.0,
          [](V v, std::size_t i) { return module(v, i).discharge_temperature; }},
    // Liquid that a start has left in an accumulator dries off over hours: cooler than steady.
    Trait{"suction", "suction_temperature", "suction temperature", P::module, D::temperature, false,
          true, 1.8, 0.5, 0.5, 0.0, 4.0,
          [](V v, std::size_t i) { return module(v, i).suction_temperature; }},
    Trait{"shell", "shell_temperature", "shell temperature", P::module, D::temperature, false, true,
          2.5, 1.0, 0.5, 0.0, 8.0,
          [](V v, std::size_t i) { return module(v, i).shell_temperature; }},
    Trait{"coil", "coil_temperature", "outdoor coil temperature", P::module, D::temperature, false,
          true, 0.8, 0.5, 0.5, 0.0, 3.0,
          [](V v, std::size_t i) { return module(v, i).coil_temperature; }},
    Trait{"speed", "compressor_frequency", "compressor frequency", P::module, D::frequency, true,
          false, 0.03, 0.005, 0.0, 1.0, 0.12,
          [](V v, std::size_t i) { return module(v, i).compressor_frequency; }},
    Trait{"valve", "valve_opening", "outdoor valve opening", P::module, D::ratio, true, false, 0.08,
          0.05, 0.0, 0.02, 0.3, [](V v, std::size_t i) { return module(v, i).valve_opening; }},
    Trait{"power", "power", "power", P::module, D::power, true, true, 0.04, 0.015, 0.01, 10.0, 0.1,
          [](V v, std::size_t i) { return module(v, i).power; }},
    Trait{"fan", "fan_step", "outdoor fan step", P::module, D::count, false, false, 0.5, 0.3, 0.0,
          0.0, 2.0, [](V v, std::size_t i) { return 8.0 * module(v, i).fan_speed; }},
    Trait{"gas_pipe", "gas_pipe_temperature", "gas-side pipe temperature", P::calling_unit,
          D::temperature, false, true, 0.8, 0.8, 0.5, 0.0, 4.0,
          [](V v, std::size_t i) { return unit(v, i).gas_pipe_temperature; }},
    Trait{"liquid_pipe", "liquid_pipe_temperature", "liquid-side pipe temperature", P::calling_unit,
          D::temperature, false, true, 0.7, 0.7, 0.5, 0.0, 3.0,
          [](V v, std::size_t i) { return unit(v, i).liquid_pipe_temperature; }},
    Trait{"unit_valve", "valve_opening", "valve opening", P::calling_unit, D::ratio, true, false,
          0.1, 0.1, 0.0, 0.02, 0.3, [](V v, std::size_t i) { return unit(v, i).valve_opening; }},
    Trait{"supply", "supply_air_temperature", "supply air temperature", P::calling_unit,
          D::temperature, false, true, 0.8, 0.8, 0.5, 0.0, 3.0,
          [](V v, std::size_t i) { return unit(v, i).supply_air_temperature; }},
    Trait{"stopped_gas", "gas_pipe_temperature", "gas-side pipe temperature while stopped",
          P::stopped_unit, D::temperature, false, true, 1.5, 1.5, 0.5, 0.0, 6.0,
          [](V v, std::size_t i) { return unit(v, i).gas_pipe_temperature; }},
    Trait{"stopped_liquid", "liquid_pipe_temperature", "liquid-side pipe temperature while stopped",
          P::stopped_unit, D::temperature, false, true, 1.5, 1.5, 0.5, 0.0, 6.0,
          [](V v, std::size_t i) { return unit(v, i).liquid_pipe_temperature; }},
};

}  // namespace

std::span<const Trait> all_traits() { return traits; }

const Trait* find_trait(std::string_view name) {
  const auto* found =
      std::find_if(traits.begin(), traits.end(), [&](const Trait& t) { return t.name == name; });
  return found == traits.end() ? nullptr : found;
}

double Feature::scaled(double si) const {
  return trait->relative ? std::log(std::max(si, 0.0) + trait->floor) : si;
}
double Feature::unscaled(double value) const {
  return trait->relative ? std::exp(value) - trait->floor : value;
}

std::vector<Feature> features_of(const System& system) {
  std::vector<Feature> out;
  for (std::size_t j = 0; j < system.outdoor().size(); ++j) {
    for (const Trait& trait : traits) {
      if (trait.place == TraitPlace::module) out.push_back({&trait, j, system.outdoor()[j].id});
    }
  }
  for (std::size_t i = 0; i < system.indoor().size(); ++i) {
    for (const Trait& trait : traits) {
      if (trait.place != TraitPlace::module) out.push_back({&trait, i, system.indoor()[i].id});
    }
  }
  return out;
}

}  // namespace cw::diagnose
