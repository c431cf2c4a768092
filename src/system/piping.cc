#include "system/piping.h"

#include <algorithm>

#include "fluid/state.h"

namespace cw {
namespace {

/// What has come together on the way to a node.
struct Way {
  double length_m = -1.0;  // negative: no module upstream yet
  double liquid_m = 0.0;
  double gas_m = 0.0;
  std::size_t outdoor = 0;
  double module_height_m = 0.0;
};

/// The longest way from a module to each node.
std::vector<Way> longest_ways(const System& system) {
  std::vector<Way> out(system.nodes().size());
  for (std::size_t i = 0; i < out.size(); ++i) {
    const Node& node = system.nodes()[i];
    if (node.kind == NodeKind::outdoor) out[i] = {0.0, 0.0, 0.0, node.unit, node.height_m};
    for (const std::size_t s : node.upstream) {
      const Segment& segment = system.segments()[s];
      const Way& before = out[segment.from];
      if (before.length_m + segment.length_m <= out[i].length_m) continue;
      out[i] = before;
      out[i].length_m += segment.length_m;
      out[i].liquid_m += equivalent_length(segment, Line::liquid);
      out[i].gas_m += equivalent_length(segment, Line::gas);
    }
  }
  return out;
}

}  // namespace

LineVolumes line_volumes(const Segment& segment) {
  LineVolumes out;
  out.liquid_m3 = segment.length_m * segment.liquid->bore_area_m2();
  out.gas_m3 = segment.length_m * segment.gas->bore_area_m2();
  if (segment.third != nullptr) out.third_m3 = segment.length_m * segment.third->bore_area_m2();
  return out;
}

LineVolumes line_volumes(const System& system) {
  LineVolumes out;
  for (const Segment& segment : system.segments()) {
    const LineVolumes each = line_volumes(segment);
    out.liquid_m3 += each.liquid_m3;
    out.gas_m3 += each.gas_m3;
    out.third_m3 += each.third_m3;
  }
  return out;
}

InternalVolume internal_volume(const System& system) {
  InternalVolume out;
  out.lines = line_volumes(system);
  for (const OutdoorModule& module : system.outdoor()) {
    out.outdoor_coils_m3 += module.coil_volume_m3;
    out.accumulators_m3 += module.accumulator_volume_m3;
  }
  for (const IndoorUnit& unit : system.indoor()) out.indoor_coils_m3 += unit.coil_volume_m3;
  for (const BranchBox& box : system.branches()) out.branch_boxes_m3 += box.volume_m3;
  return out;
}

double equivalent_length(const Segment& segment, Line line) {
  const Tube* tube = segment.tube(line);
  CW_REQUIRE(tube != nullptr);
  double out = segment.length_m;
  for (const Fitting& fitting : segment.fittings) {
    out += fitting.count * fitting.equivalent_m.value_or(fitting.bores * tube->bore_m());
  }
  return out;
}

std::vector<UnitPath> unit_paths(const System& system) {
  const std::vector<Way> ways = longest_ways(system);
  std::vector<UnitPath> out(system.indoor().size());
  for (std::size_t i = 0; i < ways.size(); ++i) {
    const Node& node = system.nodes()[i];
    if (node.kind != NodeKind::indoor) continue;
    const Way& way = ways[i];
    out[node.unit] = {node.unit,    way.outdoor, way.length_m,
                      way.liquid_m, way.gas_m,   node.height_m - way.module_height_m};
  }
  return out;
}

PipeLengths pipe_lengths(const System& system) {
  PipeLengths out;
  for (const Segment& segment : system.segments()) out.total_m += segment.length_m;
  double lowest_m = 1e300;
  double highest_m = -1e300;
  for (const UnitPath& path : unit_paths(system)) {
    if (path.length_m > out.longest_path_m) {
      out.longest_path_m = path.length_m;
      out.longest_equivalent_m = path.equivalent_gas_m;
      out.longest_unit = path.indoor;
    }
  }
  for (const Node& node : system.nodes()) {
    if (node.kind != NodeKind::indoor) continue;
    lowest_m = std::min(lowest_m, node.height_m);
    highest_m = std::max(highest_m, node.height_m);
  }
  for (const Node& node : system.nodes()) {
    if (node.kind != NodeKind::outdoor) continue;
    out.highest_lift_m = std::max(out.highest_lift_m, highest_m - node.height_m);
    out.deepest_drop_m = std::max(out.deepest_drop_m, node.height_m - lowest_m);
  }
  out.between_units_m = highest_m - lowest_m;
  return out;
}

std::vector<TubeUse> tube_uses(const System& system) {
  std::vector<TubeUse> out;
  for (const Line line : {Line::liquid, Line::gas, Line::third}) {
    const auto start = static_cast<std::ptrdiff_t>(out.size());
    for (const Segment& segment : system.segments()) {
      const Tube* tube = segment.tube(line);
      if (tube == nullptr) continue;
      auto at = std::find_if(out.begin() + start, out.end(),
                             [&](const TubeUse& use) { return use.tube == tube; });
      if (at == out.end()) at = out.insert(out.end(), {line, tube, 0.0, 0.0, 0.0});
      at->length_m += segment.length_m;
      at->volume_m3 += segment.length_m * tube->bore_area_m2();
      at->copper_kg += segment.length_m * tube->copper_kg_per_m;
    }
    std::sort(out.begin() + start, out.end(), [](const TubeUse& a, const TubeUse& b) {
      const double da = a.tube->outside_diameter_m;
      const double db = b.tube->outside_diameter_m;
      return da != db ? da < db : a.tube->name < b.tube->name;
    });
  }
  return out;
}

Result<double> liquid_density(const System& system, Kelvin temperature) {
  const auto state =
      fluid::state_from(system.refrigerant(), fluid::InputPair::T_q, temperature.value, 0.0);
  if (!state) return state.error();
  return state->rho;
}

Result<LiquidMass> liquid_mass(const System& system, Kelvin temperature) {
  const Result<double> density = liquid_density(system, temperature);
  if (!density) return density.error();
  LiquidMass out;
  out.density_kg_per_m3 = *density;
  for (const Segment& segment : system.segments()) {
    out.segment_kg.push_back(line_volumes(segment).liquid_m3 * *density);
    out.total_kg += out.segment_kg.back();
  }
  return out;
}

Result<double> rated_gas_speed(const System& system, const Segment& segment, Kelvin evaporating,
                               Kelvin condensing) {
  const auto gas =
      fluid::state_from(system.refrigerant(), fluid::InputPair::T_q, evaporating.value, 1.0);
  if (!gas) return gas.error();
  const auto liquid =
      fluid::state_from(system.refrigerant(), fluid::InputPair::T_q, condensing.value, 0.0);
  if (!liquid) return liquid.error();
  const double flow_kg_per_s = segment.cooling_behind_W / (gas->h - liquid->h);
  return flow_kg_per_s / (gas->rho * segment.gas->bore_area_m2());
}

}  // namespace cw
