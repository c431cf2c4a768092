#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "twin/detail/controls.h"
#include "twin/detail/network.h"

/// A machine at rest.
namespace cw::twin {

namespace {

using detail::CoilShape;
using detail::CoilState;
using detail::ModelData;
using detail::Saturated;
using detail::StateData;

/// One part of the machine: its volume and whether it stands outdoors.
struct Part {
  double volume;
  double temperature;
};

/// Mass when every part is at its temperature and pressure `p`; liquid only where `fill` of the
/// cold parts' volume is liquid.
double density_at(const detail::Props& props, double p, double T, double fill, double coldest) {
  Saturated s;
  props.saturated(p, s);
  if (T > coldest + 0.01) {
    detail::CellState c;
    props.cell(s, std::max(props.enthalpy(p, T), s.hg), detail::Content::vessel, c);
    return c.rho;
  }
  return fill / s.vl + (1.0 - fill) / s.vg;
}

/// Where `content` has this density, between liquid a little below its bubble point and vapour.
double enthalpy_of_density(const detail::Props& props, const Saturated& s, double rho,
                           detail::Content content) {
  double low = s.hl - 0.05 * s.hlg();
  double high = s.hg;
  detail::CellState c;
  for (int k = 0; k < 50; ++k) {
    const double middle = 0.5 * (low + high);
    props.cell(s, middle, content, c);
    (c.rho > rho ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

void set_part(const detail::Props& props, double p, double T, double fill, double coldest,
              double volume, detail::Content content, double& M, double& U, double& h) {
  Saturated s;
  props.saturated(p, s);
  if (T > coldest + 0.01) {
    h = std::max(props.enthalpy(p, T), s.hg);
  } else {
    h = enthalpy_of_density(props, s, density_at(props, p, T, fill, coldest), content);
  }
  detail::CellState c;
  props.cell(s, h, content, c);
  M = volume * c.rho;
  U = volume * (c.rho * h - s.p);
}

double total_mass(const ModelData& model, const std::vector<Part>& parts, double p, double fill,
                  double coldest) {
  double sum = 0.0;
  for (const Part& part : parts) {
    sum += part.volume * density_at(model.props, p, part.temperature, fill, coldest);
  }
  return sum;
}

}  // namespace

State::State(std::unique_ptr<detail::StateData> data) : data_(std::move(data)) {}
State::State(const State& other) : data_(std::make_unique<detail::StateData>(*other.data_)) {
  data_->backup.reset();
}
State& State::operator=(const State& other) {
  if (this == &other) return *this;
  const auto keep = data_->backup;
  *data_ = *other.data_;
  data_->backup = keep;
  return *this;
}
State::State(State&&) noexcept = default;
State& State::operator=(State&&) noexcept = default;
State::~State() = default;
double State::time_s() const { return data_->time; }

Result<State> state_at_rest(const Model& model, const Weather& weather, double room_K,
                            double charge_kg) {
  const ModelData& m = model.data();
  const double T_out = weather.temperature_K;
  if (!(T_out > 228.0 && T_out < 328.5) || !(room_K > 250.0 && room_K < 325.0)) {
    return Error{ErrorCode::out_of_range,
                 "the twin takes outdoor air of -45 to 55 degC and rooms of -23 to 52 degC",
                 {},
                 "check the units of the temperatures"};
  }
  // The liquid lies in accumulators, outdoor coils and the liquid line, where it was left when the
  // machine stopped, at the pressure of the coldest part.
  const double coldest = std::min(T_out, room_K);
  const double dry = std::max(T_out, room_K) + 3.0;
  const auto lump_T = [&](std::size_t l) {
    if (l == detail::liquid_lump) return coldest;
    if (l < m.first_module_lump()) return std::max(room_K, coldest + 1.0);
    // Discharge lines stay warm enough to stay dry: sump heaters stand below them.
    return (l - m.first_module_lump()) % 2 == 0 ? dry : coldest;
  };
  std::vector<Part> parts;
  for (std::size_t l = 0; l < m.lumps.size(); ++l) parts.push_back({m.lumps[l].volume, lump_T(l)});
  const auto volume = [](const CoilShape& c) {
    return c.cell_volume * static_cast<double>(c.cells);
  };
  const double unit_T = std::max(room_K, coldest + 1.0);
  for (const auto& module : m.modules) parts.push_back({volume(module.coil), coldest});
  for (const auto& unit : m.units) parts.push_back({volume(unit.coil), unit_T});

  double p = m.props.bubble_pressure(coldest);
  double fill = 0.0;
  if (!(charge_kg > 0.0) || total_mass(m, parts, p, 0.9, coldest) < charge_kg) {
    return Error{ErrorCode::out_of_range,
                 "a charge of " + number_text(charge_kg) + " kg does not fit into a machine of " +
                     number_text(1000.0 * m.total_volume) + " L",
                 {},
                 "check the charge and the coil, accumulator and pipe volumes of the sheet"};
  }
  if (total_mass(m, parts, p, 0.0, coldest) > charge_kg) {
    double low = m.props.clamp_pressure(0.0);
    double high = p;
    for (int k = 0; k < 60; ++k) {
      p = 0.5 * (low + high);
      (total_mass(m, parts, p, 0.0, coldest) < charge_kg ? low : high) = p;
    }
  } else {
    double low = 0.0;
    double high = 0.9;
    for (int k = 0; k < 60; ++k) {
      fill = 0.5 * (low + high);
      (total_mass(m, parts, p, fill, coldest) < charge_kg ? low : high) = fill;
    }
  }

  auto data = std::make_unique<StateData>();
  data->lumps.resize(m.lumps.size());
  for (std::size_t l = 0; l < m.lumps.size(); ++l) {
    auto& lump = data->lumps[l];
    lump.p = p;
    lump.T_wall = l < m.first_module_lump() ? room_K : T_out;
    set_part(m.props, p, lump_T(l), fill, coldest, m.lumps[l].volume,
             l < m.first_module_lump() ? detail::Content::pipe : detail::Content::vessel, lump.M,
             lump.U, lump.h);
  }
  const auto set_coil = [&](const CoilShape& shape, double T, double wall, CoilState& coil) {
    coil.p = p;
    for (std::size_t i = 0; i < shape.cells; ++i) {
      set_part(m.props, p, T, fill, coldest, shape.cell_volume, detail::Content::coil, coil.M[i],
               coil.U[i], coil.h[i]);
      coil.T_wall[i] = wall;
    }
  };
  data->modules.resize(m.modules.size());
  for (std::size_t j = 0; j < m.modules.size(); ++j) {
    set_coil(m.modules[j].coil, coldest, T_out, data->modules[j].coil);
    data->modules[j].T_shell = T_out + 5.0;
    data->modules[j].suction_T = T_out;
  }
  data->units.resize(m.units.size());
  for (std::size_t i = 0; i < m.units.size(); ++i) {
    set_coil(m.units[i].coil, unit_T, room_K, data->units[i].coil);
    data->units[i].sensor = room_K;
  }
  data->rooms.assign(m.rooms.size(), {room_K, room_K});
  data->outdoor_T = T_out;  // what the sensor says before the first decision
  data->segment_flow.assign(m.segments.size(), 0.0);
  const detail::Topology topology = detail::topology_of(m, *data);
  detail::regroup(m, topology, *data);
  detail::refresh(m, topology, *data);
  // What the search left over: milligrams.
  detail::LumpState& line = data->lumps[detail::liquid_lump];
  const double missing = charge_kg - detail::booked_mass(m, *data);
  line.M += missing;
  line.U += missing * line.h;
  State state(std::move(data));
  detail::open_account(m, state.data());
  return state;
}

void add_charge(const Model& model, State& state, double mass_kg) {
  StateData& s = state.data();
  detail::LumpState& line = s.lumps[detail::liquid_lump];
  // Never more out of the line than is in it; the rest of the machine follows.
  const double mass = std::max(mass_kg, -0.9 * line.M);
  line.M += mass;
  line.U += mass * line.h;
  s.account.mass_added += mass;
  s.account.energy_in += mass * line.h;
  s.dt = std::min(s.dt, 0.02);
  (void)model;
}

}  // namespace cw::twin
