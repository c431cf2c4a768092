#include "twin/detail/coil.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace cw::twin::detail {
namespace {

/// Share of the clean airflow that frost leaves to one cell.
double open_share(const CoilShape& shape, const FrostLayer& layer) noexcept {
  return layer.mass > 0.0 ? air_flow_factor(layer.thickness(), shape.fin_pitch) : 1.0;
}

/// Series resistance of the frost on one cell [K/W].
double frost_resistance(const CoilShape& shape, const FrostLayer& layer) noexcept {
  if (layer.mass <= 0.0) return 0.0;
  return layer.thickness() / (frost_conductivity(layer.density) * shape.frost_area);
}

}  // namespace

void CoilWork::begin(const CoilShape& shape, const CoilState& coil) noexcept {
  for (std::size_t i = 0; i < shape.cells; ++i) {
    M0[i] = coil.M[i];
    U0[i] = coil.U[i];
    T_wall0[i] = coil.T_wall[i];
  }
}

void coil_properties(const Props& props, double p, const CoilShape& shape,
                     CoilState& coil) noexcept {
  coil.p = p;
  props.saturated(p, coil.sat);
  for (std::size_t i = 0; i < shape.cells; ++i) {
    props.cell(coil.sat, coil.h[i], Content::coil, coil.state[i]);
  }
}

void coil_heat(const Props& props, const CoilShape& shape, const CoilAir& air, double soften,
               CoilState& coil, CoilWork& work) noexcept {
  coil_transport(props, coil);
  const double through =
      0.5 * (std::abs(coil.flow[0]) + std::abs(coil.flow[shape.cells])) / shape.flow_area;
  Film film(coil.transport, {through, shape.bore});
  const double share = 1.0 / static_cast<double>(shape.cells);
  // Ideal gas: 287.042 J/(kg K) of dry air [ashrae2017, ch. 1].
  const double air_density = air.p / (287.042 * air.T * (1.0 + 1.607858 * air.w));
  double weighted_T = 0.0;
  double weight = 0.0;
  double flow = 0.0;
  std::optional<AirStream> stream;
  for (std::size_t i = 0; i < shape.cells; ++i) {
    const CellState& s = coil.state[i];
    const double x = (s.hf - coil.sat.hl) / coil.sat.hlg();
    const bool condensing = coil.T_wall[i] < s.T;
    double film_W = x <= 0.0     ? film.liquid()
                    : x >= 1.0   ? film.vapour()
                    : condensing ? film.condensing(x)
                                 : film.boiling(x, coil.Q[i] / shape.cell_area);
    film_W *= shape.film_enhancement;
    const double UA = film_W * shape.cell_area * air.size;
    coil.UA[i] = coil.UA[i] > 0.0 ? soften * coil.UA[i] + (1.0 - soften) * UA : UA;

    const FrostLayer& layer = coil.frost[i];
    // Most cells have the air of the one before.
    const bool other = i == 0 || layer.mass != coil.frost[i - 1].mass ||
                       layer.density != coil.frost[i - 1].density;
    if (other) {
      flow = air.flow_share * open_share(shape, layer);
      double UA_air = shape.UA_air * air.size * share * std::sqrt(flow);
      UA_air = UA_air / (1.0 + UA_air * frost_resistance(shape, layer));
      stream.emplace(AirSide{air.T, air.w, air.p,
                             shape.airflow * air.size * share * flow * air_density, UA_air});
    }
    const AirHeat heat = air_heat(*stream, coil.T_wall[i]);
    work.q0[i] = heat.sensible + heat.latent;
    work.q1[i] = heat.dQ_dTw;
    coil.water[i] = heat.water;
    weighted_T += flow * heat.T_out;
    weight += flow;
  }
  coil.air_out_T = weight > 0.0 ? weighted_T / weight : air.T;
}

void coil_eliminate(const CoilShape& shape, double rate, double dp_offset, const PortState& hub,
                    const PortState& liquid, const CoilState& coil, CoilWork& work) noexcept {
  const std::size_t n = shape.cells;
  const double V = shape.cell_volume;
  std::array<double, most_cells> alpha{};
  std::array<double, most_cells> beta{};
  std::array<double, most_cells> a{};
  std::array<double, most_cells> k0{};
  std::array<double, most_cells> k1{};
  std::array<std::array<double, 3>, most_cells> gamma{};
  for (std::size_t i = 0; i < n; ++i) {
    const CellState& s = coil.state[i];
    const double h = coil.h[i];
    const double mass_defect = V * s.rho - work.M0[i];
    const double energy_defect = V * (s.rho * h - coil.p) - work.U0[i] - h * mass_defect;
    a[i] = rate * V * s.drho_dh;
    k1[i] = rate * V * s.drho_dp;
    k0[i] = rate * mass_defect + k1[i] * dp_offset;

    const double D = rate * shape.cell_metal - work.q1[i] + coil.UA[i];
    const double num =
        rate * shape.cell_metal * work.T_wall0[i] + work.q0[i] - work.q1[i] * work.T_wall0[i];
    work.wall_den[i] = D;
    work.wall_num[i] = num;
    const double g = coil.UA[i] * (1.0 - coil.UA[i] / D);
    const double F1 = rate * V - g * s.dT_dp;
    const double F0 = coil.UA[i] * num / D - g * s.T - rate * energy_defect + F1 * dp_offset;

    double A = rate * V * s.rho + g * s.dT_dh;
    const double flow_in = coil.flow[i];
    const double flow_out = coil.flow[i + 1];
    double P = 0.0;
    std::array<double, 3> carried{};
    if (flow_in >= 0.0) {
      if (i == 0) {
        P = hub.hf - h;
        carried[2] = flow_in * hub.hf_dh;
      } else {
        const double c = flow_in * coil.state[i - 1].hf_dh;
        P = coil.state[i - 1].hf - h + c * beta[i - 1];
        for (std::size_t q = 0; q < 3; ++q) carried[q] = c * gamma[i - 1][q];
      }
    } else {
      P = s.hf - h;
      A -= flow_in * s.hf_dh;
    }
    double R = 0.0;
    double backward = 0.0;
    if (flow_out >= 0.0) {
      R = s.hf - h;
      A += flow_out * s.hf_dh;
    } else {
      const PortState& next =
          i + 1 == n ? liquid : PortState{coil.state[i + 1].hf, coil.state[i + 1].hf_dh};
      R = next.hf - h;
      backward = -flow_out * next.hf_dh;
    }
    // Cold liquid that meets vapour at one pressure would draw in more of itself without end; the
    // pressure stops it, and the bound keeps the elimination regular until it has.
    const double pivot = std::max(A - P * a[i], 0.2 * A);
    alpha[i] = backward / pivot;
    beta[i] = (P - R) / pivot;
    gamma[i] = {(P * k0[i] + carried[0] + F0) / pivot, (P * k1[i] + carried[1] + F1) / pivot,
                carried[2] / pivot};
  }
  work.m[n] = {0.0, 0.0, 0.0, 0.0, 1.0};
  PortForm after{0.0, 0.0, 0.0, 1.0, 0.0};  // dh of the next cell: first the lump behind the valve
  for (std::size_t i = n; i-- > 0;) {
    PortForm& dh = work.dh[i];
    const PortForm& m_out = work.m[i + 1];
    for (std::size_t q = 0; q < port_terms; ++q) {
      dh[q] = alpha[i] * after[q] + beta[i] * m_out[q] + (q < 3 ? gamma[i][q] : 0.0);
      work.m[i][q] = m_out[q] + a[i] * dh[q];
    }
    work.m[i][0] += k0[i];
    work.m[i][1] += k1[i];
    after = dh;
  }
}

PortExtra coil_apply(const CoilShape& shape, double rate, double dp_offset, const PortForm& port,
                     const PortState& hub, const PortState& liquid, CoilState& coil,
                     CoilWork& work) noexcept {
  const std::size_t n = shape.cells;
  std::array<double, most_cells>& dh = work.last_dh;
  for (std::size_t i = 0; i < n; ++i) dh[i] = value_at(work.dh[i], port);
  const double dp = port[1] + dp_offset;
  const double dt = 1.0 / rate;
  PortExtra out;
  double m_in = 0.0;
  double e_in = 0.0;
  for (std::size_t face = 0; face <= n; ++face) {
    const double m = value_at(work.m[face], port);
    const double before = coil.flow[face];
    const auto donor = [&](bool forward, double& hf, double& change) {
      if (forward) {
        hf = face == 0 ? hub.hf : coil.state[face - 1].hf;
        change = face == 0 ? hub.hf_dh * port[2] : coil.state[face - 1].hf_dh * dh[face - 1];
      } else {
        hf = face == n ? liquid.hf : coil.state[face].hf;
        change = face == n ? liquid.hf_dh * port[3] : coil.state[face].hf_dh * dh[face];
      }
    };
    double hf = 0.0;
    double change = 0.0;
    donor(before >= 0.0, hf, change);
    const double linear = m * hf + before * change;
    double e = linear;
    if (m * before < 0.0) {
      // Booked is what really flows; the linear forms had the other side's enthalpy.
      donor(m >= 0.0, hf, change);
      e = m * hf;
    }
    if (face == 0) out.gas = e - linear;
    if (face == n) out.liquid = e - linear;
    coil.flow[face] = m;
    if (face > 0) {
      const std::size_t i = face - 1;
      const CellState& s = coil.state[i];
      const double T_new = s.T + s.dT_dp * dp + s.dT_dh * dh[i];
      const double wall = (work.wall_num[i] + coil.UA[i] * T_new) / work.wall_den[i];
      coil.Q[i] = coil.UA[i] * (wall - T_new);
      coil.Q_air[i] = work.q0[i] + work.q1[i] * (wall - work.T_wall0[i]);
      coil.T_wall[i] = wall;
      coil.M[i] = work.M0[i] + dt * (m_in - m);
      coil.U[i] = work.U0[i] + dt * (e_in - e + coil.Q[i]);
      coil.h[i] += dh[i];
    }
    m_in = m;
    e_in = e;
  }
  return out;
}

double coil_mass(const CoilShape& shape, const CoilState& coil) noexcept {
  double sum = 0.0;
  for (std::size_t i = 0; i < shape.cells; ++i) sum += coil.M[i];
  return sum;
}

double coil_airflow(const CoilShape& shape, const CoilState& coil, double share) noexcept {
  double sum = 0.0;
  for (std::size_t i = 0; i < shape.cells; ++i) {
    sum += open_share(shape, coil.frost[i]);
  }
  return share * sum / static_cast<double>(shape.cells);
}

}  // namespace cw::twin::detail
