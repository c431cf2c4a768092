#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/units.h"
#include "system/piping.h"
#include "twin/detail/estimates.h"
#include "twin/detail/model_data.h"
#include "twin/pressure_drop.h"
#include "twin/pressure_limits.h"
#include "twin/sheet_compressor.h"
#include "twin/sheet_tables.h"

/// From a system sheet to the figures of the network. Ratings give what sheets leave out.
namespace cw::twin {

namespace {

namespace estimate = detail::estimate;
using detail::CoilShape;
using detail::LumpShape;
using detail::ModelData;
using detail::ModuleShape;
using detail::Props;
using detail::Saturated;
using detail::UnitShape;
using std::numbers::pi;

/// Hot gas and the pressure that it falls through: the scale of passages that are a share of rated
/// flow.
constexpr double gas_scale_density = 90.0;  // kg/m3
constexpr double gas_scale_Pa = 2e6;
constexpr double cp_air = 1006.0;  // J/(kg K)
constexpr double copper = 385.0;   // J/(kg K), from memory, handbook value at 25 degC

/// States of the ratings that coils, valves and pipes are sized by.
struct Rating {
  double dh_cooling = 0.0;  ///< evaporator, per kg
  double dh_heating = 0.0;  ///< condenser, per kg
  double rho_gas = 0.0;     ///< suction gas
  double mu_gas = 0.0, mu_liquid = 0.0, rho_liquid = 0.0;
  double p_high = 0.0, p_low = 0.0;
};

Rating rating_of(const Props& props) {
  Rating r;
  Saturated high;
  Saturated low;
  props.saturated(props.dew_pressure(zero_celsius + 47.0), high);
  props.saturated(props.dew_pressure(zero_celsius + 4.0), low);
  r.p_high = high.p;
  r.p_low = low.p;
  const double liquid = props.enthalpy(high.p, high.Tb - 6.0);
  r.dh_cooling = props.enthalpy(low.p, low.Td + 5.0) - liquid;
  r.dh_heating = props.enthalpy(high.p, high.Td + 28.0) - liquid;
  r.rho_gas = 1.0 / low.vg;
  r.rho_liquid = 1.0 / high.vl;
  SaturationTransport t;
  props.transport().at(low.p, t);
  r.mu_gas = t.mu_g;
  props.transport().at(high.p, t);
  r.mu_liquid = t.mu_l;
  return r;
}

/// Inside of a coil from its volume: tube area, circuits at a usual mass flux, metal by capacity.
CoilShape coil_inside(double volume, std::size_t cells, double bore, double rated_flow,
                      double mass_flux, double metal_J_per_K) {
  CoilShape c;
  c.cells = cells;
  const auto n = static_cast<double>(cells);
  c.cell_volume = volume / n;
  c.bore = bore;
  c.cell_area = 4.0 * volume / bore / n;
  c.flow_area = rated_flow / mass_flux;
  c.cell_metal = metal_J_per_K / n;
  c.rated_flow = rated_flow;
  return c;
}

/// Conductance of the air side that a rating needs.
double air_conductance(double heat_W, double airflow, double density, double difference_K) {
  const double stream = airflow * density * cp_air;
  const double effectiveness = std::clamp(heat_W / (stream * difference_K), 0.45, 0.92);
  return -std::log(1.0 - effectiveness) * stream;
}

CoilShape outdoor_coil(const OutdoorModule& m, const Rating& r, const Parameters& p,
                       double rated_flow, double air_density) {
  const double kW = m.cooling_W / 1000.0;
  CoilShape c = coil_inside(m.coil_volume_m3 * p.volume_factor,
                            static_cast<std::size_t>(p.outdoor_cells), estimate::outdoor_bore,
                            rated_flow, estimate::outdoor_flux, estimate::outdoor_metal * kW);
  c.airflow = m.airflow_m3_per_s * p.outdoor_air_factor;
  c.UA_air = air_conductance((1.0 + estimate::compression_heat) * m.cooling_W, m.airflow_m3_per_s,
                             air_density, estimate::outdoor_wall_K) *
             p.outdoor_coil_factor;
  c.gas_loss_Pa = estimate::outdoor_gas_loss;
  c.rated_density = r.rho_gas;
  c.frost_area = c.UA_air / p.outdoor_coil_factor / 55.0 / static_cast<double>(c.cells);
  return c;
}

CoilShape indoor_coil(const IndoorUnit& u, const Rating& r, const Parameters& p,
                      double air_density) {
  const double kW = u.cooling_W / 1000.0;
  const double rated_flow = u.cooling_W / r.dh_cooling;
  CoilShape c = coil_inside(u.coil_volume_m3 * p.volume_factor,
                            static_cast<std::size_t>(p.indoor_cells), estimate::indoor_bore,
                            rated_flow, estimate::indoor_flux, estimate::indoor_metal * kW);
  c.airflow = u.airflow_m3_per_s;
  c.UA_air =
      air_conductance(u.heating_W, u.airflow_m3_per_s, air_density, estimate::indoor_wall_K) *
      p.indoor_coil_factor;
  c.gas_loss_Pa = estimate::indoor_gas_loss;
  c.rated_density = r.rho_gas;
  c.frost_area = c.UA_air / p.indoor_coil_factor / 45.0 / static_cast<double>(c.cells);
  c.fin_pitch = 0.0014;
  return c;
}

/// loss = K m |m| / rho for one run of tube.
double friction_of(double bore, double length, double m, double mu) {
  const double area = 0.25 * pi * bore * bore;
  const double reynolds = m * bore / (area * mu);
  return friction_factor(reynolds, 1.5e-6 / bore) * length / bore / (2.0 * area * area);
}

Result<ModuleShape> module_of(const System& system, const OutdoorModule& m, const Rating& r,
                              const Parameters& p, const Props& props, double air_density) {
  auto compressor = compressor_of(system, m, p);
  if (!compressor) return compressor.error();
  const double kW = m.cooling_W / 1000.0;
  ModuleShape s(*compressor);
  s.compressors = m.compressors;
  s.rated_flow = m.cooling_W / r.dh_cooling;
  s.coil = outdoor_coil(m, r, p, s.rated_flow, air_density);
  const ValveSide before{r.p_high - 4e5, r.rho_liquid, 6.0};
  s.valve = size_valve(s.rated_flow, before, {r.p_low, r.rho_gas, 0.0}, estimate::outdoor_opening,
                       props.T_critical());
  s.bypass = size_valve(s.rated_flow, {r.p_high, r.rho_liquid, 6.0},
                        {r.p_high - 4e4, r.rho_liquid, 6.0}, 1.0, props.T_critical());
  s.speed_lowest = m.speed_lowest_Hz;
  s.speed_highest = m.speed_highest_Hz;
  s.accumulator.usable = m.accumulator_usable_m3;
  const double power = m.cooling_W / estimate::rated_cop;
  s.accumulator.bleed = estimate::oil_hole;
  s.loss_share = estimate::loss_share;
  s.UA_shell_gas = s.loss_share * power / estimate::shell_superheat;
  s.UA_shell_air = estimate::shell_air_share * s.UA_shell_gas * p.shell_loss_factor;
  s.shell_metal = estimate::shell_metal * kW;
  s.oil = estimate::oil * kW;
  s.fan_W = estimate::outdoor_fan * m.cooling_W;
  s.equalise = 0.3 * s.rated_flow / std::sqrt(2.0 * gas_scale_density * gas_scale_Pa);
  return s;
}

/// Friction along a module's own pipes and its height over the root.
void connect_module(const System& system, std::size_t node, const ModelData& data,
                    ModuleShape& module) {
  module.liquid_height = system.nodes()[node].height_m - system.nodes()[system.root()].height_m;
  while (node != system.root() && !system.nodes()[node].downstream.empty()) {
    const std::size_t s = system.nodes()[node].downstream.front();
    module.gas_friction += data.segments[s].gas_friction;
    module.liquid_friction += data.segments[s].liquid_friction;
    node = system.segments()[s].to;
  }
}

void connect_unit(const System& system, std::size_t node, UnitShape& unit) {
  unit.height = system.nodes()[node].height_m - system.nodes()[system.root()].height_m;
  while (node != system.root() && !system.nodes()[node].upstream.empty()) {
    const std::size_t s = system.nodes()[node].upstream.front();
    unit.path.push_back(s);
    node = system.segments()[s].from;
  }
}

/// Pipes as one lump a line.
LumpShape line_lump(const System& system, Line line, double extra_volume, double film) {
  LumpShape lump;
  lump.volume = extra_volume;
  for (const TubeUse& use : tube_uses(system)) {
    if (use.line != line) continue;
    lump.volume += use.volume_m3;
    lump.metal += copper * use.copper_kg;
    const double bore = std::sqrt(4.0 * use.volume_m3 / (pi * use.length_m));
    lump.UA_inside += film * pi * bore * use.length_m;
    lump.UA_outside += estimate::pipe_loss * use.length_m;
  }
  lump.volume = std::max(lump.volume, 2e-4);
  lump.metal = std::max(lump.metal, 200.0);
  lump.UA_inside = std::max(lump.UA_inside, 5.0);
  lump.outdoors = estimate::pipes_outdoors;
  return lump;
}

void add_lumps(const System& system, ModelData& data) {
  double boxes = 0.0;
  for (const BranchBox& box : system.branches()) boxes += box.volume_m3;
  data.lumps.push_back(line_lump(system, Line::liquid, 0.3 * boxes, 400.0));
  data.lumps.push_back(line_lump(system, Line::gas, 0.4 * boxes, 250.0));
  if (data.recovery) data.lumps.push_back(line_lump(system, Line::third, 0.3 * boxes, 250.0));
  for (const OutdoorModule& m : system.outdoor()) {
    const double kW = m.cooling_W / 1000.0;
    LumpShape discharge;
    discharge.volume = estimate::discharge_volume * kW;
    discharge.metal = 0.15 * kW * copper;
    discharge.UA_inside = 2.0 * kW;
    discharge.UA_outside = 0.05 * kW;
    data.lumps.push_back(discharge);
    LumpShape accumulator;
    accumulator.volume = m.accumulator_volume_m3;
    accumulator.metal = 0.2 * kW * 480.0;
    accumulator.UA_inside = 1.5 * kW;
    accumulator.UA_outside = 0.03 * kW * data.parameters.suction_heat_factor;
    data.lumps.push_back(accumulator);
  }
}

void add_rooms(const System& system, ModelData& data) {
  for (const Room& room : system.rooms()) {
    detail::RoomShape s;
    s.air = estimate::room_air * 1.2 * cp_air * room.volume_m3;
    s.mass = estimate::room_mass * room.floor_area_m2;
    s.UA_mass = estimate::room_film * room.floor_area_m2;
    data.rooms.push_back(s);
  }
  for (const UnitShape& unit : data.units) {
    // From 21 degC inside to -15 degC outside.
    data.rooms[unit.room].UA_out += estimate::design_load * unit.heating_W / 36.0;
  }
}

void add_segments(const Rating& rating, ModelData& data) {
  for (const Segment& s : data.system.segments()) {
    const double flow = s.cooling_behind_W / rating.dh_cooling;
    detail::SegmentShape shape;
    shape.gas_friction =
        friction_of(s.gas->bore_m(), equivalent_length(s, Line::gas), flow, rating.mu_gas);
    shape.liquid_friction =
        friction_of(s.liquid->bore_m(), equivalent_length(s, Line::liquid), flow, rating.mu_liquid);
    data.segments.push_back(shape);
  }
}

UnitShape unit_of(const IndoorUnit& u, const Rating& rating, const ModelData& data,
                  double air_density) {
  UnitShape unit;
  unit.coil = indoor_coil(u, rating, data.parameters, air_density);
  const ValveSide before{rating.p_high, rating.rho_liquid, data.parameters.controls.subcooling_K};
  unit.valve = size_valve(u.heating_W / rating.dh_heating, before,
                          {rating.p_high - 4e5, rating.rho_liquid, 2.0}, estimate::indoor_opening,
                          data.props.T_critical());
  unit.heating_W = u.heating_W;
  unit.fan_W = estimate::indoor_fan * u.cooling_W;
  unit.room = u.room;
  unit.wall_sensor = u.controlled_by == ControlledBy::wall_sensor;
  connect_unit(data.system, *data.system.node_of(u.id), unit);
  return unit;
}

double volume_of(const ModelData& data) {
  double sum = 0.0;
  for (const LumpShape& lump : data.lumps) sum += lump.volume;
  const auto add = [&](const CoilShape& c) { sum += c.cell_volume * static_cast<double>(c.cells); };
  for (const ModuleShape& m : data.modules) add(m.coil);
  for (const UnitShape& u : data.units) add(u.coil);
  return sum;
}

/// @param note  what had to be estimated of the refrigerant's transport; may be empty
void list_assumptions(const std::string& note, ModelData& data) {
  data.assumptions = data.system.assumptions();
  const auto add = [&](const std::vector<Assumption>& more) {
    data.assumptions.insert(data.assumptions.end(), more.begin(), more.end());
  };
  add(assumed_pressure_limits(data.parameters.controls));
  add(estimate::list());
  if (!note.empty()) {
    data.assumptions.push_back(
        {"refrigerant", "transport", 0.0, Dimension::ratio, note, note, "own estimate"});
  }
}

Error too_many(const char* what, std::size_t have, std::size_t most) {
  return {ErrorCode::out_of_range,
          "the twin takes up to " + std::to_string(most) + " " + what + "; the sheet has " +
              std::to_string(have),
          {},
          "describe one refrigerant circuit a sheet"};
}

}  // namespace

const System& Model::system() const { return data_->system; }
const Parameters& Model::parameters() const { return data_->parameters; }
const std::vector<Assumption>& Model::assumptions() const { return data_->assumptions; }

Result<Model> make_model(const System& system, const Parameters& parameters) {
  if (system.outdoor().size() > detail::most_modules) {
    return too_many("outdoor modules", system.outdoor().size(), detail::most_modules);
  }
  if (system.indoor().size() > detail::most_units) {
    return too_many("indoor units", system.indoor().size(), detail::most_units);
  }
  const auto cells_fit = [](int n) { return n >= 3 && n <= static_cast<int>(detail::most_cells); };
  if (!cells_fit(parameters.outdoor_cells) || !cells_fit(parameters.indoor_cells)) {
    return Error{ErrorCode::out_of_range, "a coil takes 3 to 12 cells", {}, "choose 5 to 8"};
  }
  auto table = fluid::table_of(system.refrigerant());
  if (!table) return table.error();
  auto transport = make_transport_table(system.refrigerant());
  if (!transport) return transport.error();
  const std::string note = transport->note();
  Props props(*table, std::move(*transport), parameters.slip);
  ModelData data(system, parameters, std::move(props));
  settle_pressure_limits(system.refrigerant(), data.parameters.controls);
  data.recovery = system.heat_recovery();
  settle_defrosts(system, data.parameters.controls);
  data.air_pressure = standard_pressure_at({system.site().altitude_m}).value;
  const double air_density = data.air_pressure / (287.042 * 293.15);
  const Rating rating = rating_of(data.props);

  add_segments(rating, data);
  for (std::size_t j = 0; j < system.outdoor().size(); ++j) {
    auto module =
        module_of(system, system.outdoor()[j], rating, parameters, data.props, air_density);
    if (!module) return module.error();
    connect_module(system, *system.node_of(system.outdoor()[j].id), data, *module);
    data.modules.push_back(std::move(*module));
  }
  for (const IndoorUnit& u : system.indoor()) {
    data.units.push_back(unit_of(u, rating, data, air_density));
  }
  if (data.recovery) {
    double flow = 0.0;
    for (const ModuleShape& m : data.modules) flow += m.rated_flow;
    data.third_line_drain =
        estimate::drain * flow / std::sqrt(2.0 * gas_scale_density * gas_scale_Pa);
  }
  add_lumps(system, data);
  add_rooms(system, data);
  data.total_volume = volume_of(data);
  list_assumptions(note, data);
  Model model;
  model.data_ = std::make_shared<const ModelData>(std::move(data));
  return model;
}

}  // namespace cw::twin
