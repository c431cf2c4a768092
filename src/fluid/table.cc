#include "fluid/table.h"

#include <cmath>
#include <cstring>

#include "fluid/detail/table_data.h"

namespace cw::fluid {
namespace {

using detail::Atlas;
using detail::CrossGrid;
using detail::Quad;
using detail::QuadLine;
using detail::QuadPatch;
using detail::TableData;

CW_INLINE void value_at(const QuadLine& line, double t, Quad& out) noexcept {
  // Arranged for a short chain of dependent operations.
  const double t2 = t * t;
  const double t4 = t2 * t2;
  const Quad* c = line.c;
  out = ((c[0] + c[1] * t) + t2 * (c[2] + c[3] * t)) + t4 * ((c[4] + c[5] * t) + t2 * c[6]);
}

/// d/dt.
CW_INLINE void slope_at(const QuadLine& line, double t, Quad& out) noexcept {
  const Quad* c = line.c;
  out = c[1] +
        t * (2.0 * c[2] + t * (3.0 * c[3] + t * (4.0 * c[4] + t * (5.0 * c[5] + t * 6.0 * c[6]))));
}

struct Place {
  std::size_t cell;
  double t;             ///< place in the pressure cell, -1..1
  double inverse_half;  ///< dt/dp [1/Pa]
};
CW_INLINE Place place_of(const TableData& data, double p) noexcept {
  const detail::PressurePart& part = data.parts.data()[detail::pressure_part(p) - data.first_part];
  return {static_cast<std::size_t>(part.cell), (p - part.middle) * part.inverse_half,
          part.inverse_half};
}

/// Both saturation lines: see TableData for the lanes.
CW_INLINE void edges_at(const TableData& data, Place at, Quad& h, Quad& T, Quad& v) noexcept {
  value_at(data.enthalpy.data()[at.cell], at.t, h);
  value_at(data.temperature.data()[at.cell], at.t, T);
  value_at(data.volume.data()[at.cell], at.t, v);
}
/// Their derivatives with t.
CW_INLINE void edge_slopes_at(const TableData& data, Place at, Quad& h_t, Quad& T_t,
                              Quad& v_t) noexcept {
  slope_at(data.enthalpy.data()[at.cell], at.t, h_t);
  slope_at(data.temperature.data()[at.cell], at.t, T_t);
  slope_at(data.volume.data()[at.cell], at.t, v_t);
}

/// Two-phase state by the lever rule.
void lever(const TableData& data, Place at, double p, double q, TableState& out) noexcept {
  Quad h, T, v;
  edges_at(data, at, h, T, v);
  out.p = p;
  out.q = q;
  out.h = h[0] + q * (h[1] - h[0]);
  out.T = T[0] + q * (T[1] - T[0]);
  out.rho = 1.0 / (v[0] + q * (v[1] - v[0]));
  out.s = v[2] + q * (v[3] - v[2]);
  out.cp = 0.0;
  out.phase = Phase::two_phase;
}

/// The two-phase ends of the look-ups, apart from them so that the look-ups need no stack frame.
[[gnu::noinline]] bool two_phase_p_h(const TableData& data, double p, double h, double q,
                                     TableState& out) noexcept {
  lever(data, place_of(data, p), p, q, out);
  out.h = h;
  return true;
}
[[gnu::noinline]] bool two_phase_p_T(const TableData& data, double p, double T, double q,
                                     TableState& out) noexcept {
  lever(data, place_of(data, p), p, q, out);
  out.T = T;
  return true;
}

/// Derivatives in the two-phase region.
void two_phase_partials(const TableData& data, Place at, const TableState& state,
                        Partials& out) noexcept {
  Quad h, T, v, h_t, T_t, v_t;
  edges_at(data, at, h, T, v);
  edge_slopes_at(data, at, h_t, T_t, v_t);
  const double q = state.q;
  const double dh = h[1] - h[0];
  const double dv = v[1] - v[0];
  const double dq = -(h_t[0] + q * (h_t[1] - h_t[0])) / dh;  // dq/dt at constant h
  const double v_slope = v_t[0] + q * (v_t[1] - v_t[0]) + dq * dv;
  out.drho_dh_p = -state.rho * state.rho * dv / dh;
  out.drho_dp_h = -state.rho * state.rho * v_slope * at.inverse_half;
  out.dT_dp_h = (T_t[0] + q * (T_t[1] - T_t[0]) + dq * (T[1] - T[0])) * at.inverse_half;
  out.dT_dh_p = (T[1] - T[0]) / dh;
}

[[gnu::noinline]] bool two_phase_all(const TableData& data, double p, double h, double q,
                                     TableState& out, Partials& partials) noexcept {
  const Place at = place_of(data, p);
  lever(data, at, p, q, out);
  out.h = h;
  two_phase_partials(data, at, out, partials);
  return true;
}
[[gnu::noinline]] bool two_phase_density(const TableData& data, double p, double q,
                                         DensityState& out) noexcept {
  const Place at = place_of(data, p);
  TableState state;
  Partials partials;
  lever(data, at, p, q, state);
  two_phase_partials(data, at, state, partials);
  out = {state.T, state.rho, partials.drho_dp_h, partials.drho_dh_p};
  return true;
}

/// Where a point lies: a patch of a phase's atlases, or a quality between the saturation lines.
struct Spot {
  Phase phase;
  Place at;
  detail::CrossPlace across;  ///< single-phase
  double q;
};

/// @param lines  the saturation lines of `x`: h or T of both, and the scales of the cells across
/// @returns false outside the table and for nan
CW_INLINE bool find(const TableData& data, const std::vector<QuadLine>& lines, double p, double x,
                    Spot& out) noexcept {
  if (!(p >= data.lowest_pressure && p <= data.highest_pressure)) return false;
  out.at = place_of(data, p);
  Quad edge;
  value_at(lines.data()[out.at.cell], out.at.t, edge);
  const detail::PressureCell& cell = data.cells.data()[out.at.cell];
  const double over = x - edge[1];
  const double under = edge[0] - x;
  if (over >= 0.0) {
    const double v = cell.vapour.offset + over * edge[3];
    if (!(v < 1.0)) return false;
    out.phase = Phase::vapour;
    out.q = 1.0;
    out.across = detail::cross_place(cell.vapour, v);
    return true;
  }
  if (under >= 0.0) {
    const double v = cell.liquid.offset + under * edge[2];
    if (!(v < 1.0)) return false;
    out.phase = Phase::liquid;
    out.q = 0.0;
    out.across = detail::cross_place(cell.liquid, v);
    return true;
  }
  out.phase = Phase::two_phase;
  out.q = under / (edge[0] - edge[1]);
  return x > edge[0];  // not for nan
}

CW_INLINE void patch_at(const Atlas& atlas, const Spot& spot, Quad& out) noexcept {
  static_assert(detail::patch_row == std::array<std::size_t, 5>{5, 5, 3, 2, 1});
  const Quad* c = atlas.data()[spot.across.patch].c;
  const double y = spot.across.y;
  const double t = spot.at.t;
  const double y2 = y * y;
  const double t2 = t * t;
  const double t3 = t2 * t;
  const double t4 = t2 * t2;
  // Arranged for a short chain after y, which is known last.
  const Quad r0 = ((c[0] + c[15] * t4) + c[1] * y) + y2 * ((c[2] + c[3] * y) + y2 * c[4]);
  const Quad r1 = (c[5] + c[6] * y) + y2 * ((c[7] + c[8] * y) + y2 * c[9]);
  const Quad r2 = (c[10] + c[11] * y) + y2 * c[12];
  const Quad r3 = c[13] + c[14] * y;
  out = (r0 + r1 * t) + (r2 * t2 + r3 * t3);
}

/// What Table::from_p_h does; free functions, because the compiler clones those for wide registers.
CW_WIDE bool look_up_p_h(const TableData& data, double p, double h, TableState& out) noexcept {
  Spot spot;
  if (!find(data, data.enthalpy, p, h, spot)) return false;
  if (spot.phase == Phase::two_phase) return two_phase_p_h(data, p, h, spot.q, out);
  Quad found;
  patch_at(spot.phase == Phase::vapour ? data.vapour_ph : data.liquid_ph, spot, found);
  if (found[0] > data.highest_temperature) return false;
  out = {p, found[0], found[1], h, found[2], found[3], spot.q, spot.phase};
  return true;
}

CW_WIDE bool look_up_p_T(const TableData& data, double p, double T, TableState& out) noexcept {
  Spot spot;
  if (!(T <= data.highest_temperature) || !find(data, data.temperature, p, T, spot)) return false;
  if (spot.phase == Phase::two_phase) return two_phase_p_T(data, p, T, spot.q, out);
  Quad found;
  patch_at(spot.phase == Phase::vapour ? data.vapour_pT : data.liquid_pT, spot, found);
  out = {p, T, found[1], found[0], found[2], found[3], spot.q, spot.phase};
  return true;
}

/// State and derivatives from one search; in two-phase states w = 0.
CW_WIDE bool look_up_all(const TableData& data, double p, double h, TableState& out,
                         Partials& partials, double& w) noexcept {
  Spot spot;
  if (!find(data, data.enthalpy, p, h, spot)) return false;
  if (spot.phase == Phase::two_phase) {
    w = 0.0;
    return two_phase_all(data, p, h, spot.q, out, partials);
  }
  const bool vapour = spot.phase == Phase::vapour;
  Quad found, more;
  patch_at(vapour ? data.vapour_ph : data.liquid_ph, spot, found);
  patch_at(vapour ? data.vapour_more : data.liquid_more, spot, more);
  if (found[0] > data.highest_temperature) return false;
  out = {p, found[0], found[1], h, found[2], found[3], spot.q, spot.phase};
  partials = {more[0], more[1], more[2], 1.0 / found[3]};
  w = more[3];
  return true;
}

CW_WIDE bool look_up_density(const TableData& data, double p, double h,
                             DensityState& out) noexcept {
  Spot spot;
  if (!find(data, data.enthalpy, p, h, spot)) return false;
  if (spot.phase == Phase::two_phase) return two_phase_density(data, p, spot.q, out);
  Quad found;
  patch_at(spot.phase == Phase::vapour ? data.vapour_density : data.liquid_density, spot, found);
  if (found[0] > data.highest_temperature) return false;
  out = {found[0], found[1], found[2], found[3]};
  return true;
}

}  // namespace

Table::Table(std::unique_ptr<const TableData> data) : data_(std::move(data)) {}
Table::Table(Table&&) noexcept = default;
Table& Table::operator=(Table&&) noexcept = default;
Table::~Table() = default;

bool Table::from_p_h(double p, double h, TableState& out) const noexcept {
  return look_up_p_h(*data_, p, h, out);
}

bool Table::from_p_h(double p, double h, TableState& out, Partials& partials,
                     double& w) const noexcept {
  return look_up_all(*data_, p, h, out, partials, w);
}

bool Table::from_p_h(double p, double h, DensityState& out) const noexcept {
  return look_up_density(*data_, p, h, out);
}

bool Table::from_p_T(double p, double T, TableState& out) const noexcept {
  return look_up_p_T(*data_, p, T, out);
}

bool Table::from_p_q(double p, double q, TableState& out) const noexcept {
  const TableData& data = *data_;
  if (!(p >= data.lowest_pressure && p <= data.highest_pressure)) return false;
  if (!(q >= 0.0 && q <= 1.0)) return false;
  lever(data, place_of(data, p), p, q, out);
  return true;
}

bool Table::from_T_q(double T, double q, TableState& out) const noexcept {
  const TableData& data = *data_;
  if (!(q >= 0.0 && q <= 1.0 && T > 1.0 && T <= data.highest_temperature)) return false;
  // Newton in ln p: ln p is nearly straight over 1/T.
  double p = detail::exp_of(data.ln_p_low + data.ln_slope * (1.0 / T - data.inverse_T_low));
  const double low = data.lowest_pressure;
  const double high = data.highest_pressure;
  double off = 1.0;
  for (int i = 0; i < 12; ++i) {
    p = p < low ? low : (p > high ? high : p);
    const Place at = place_of(data, p);
    Quad value, slope;
    value_at(data.temperature.data()[at.cell], at.t, value);
    slope_at(data.temperature.data()[at.cell], at.t, slope);
    off = T - (value[0] + q * (value[1] - value[0]));
    const double dT_dp = (slope[0] + q * (slope[1] - slope[0])) * at.inverse_half;
    if (std::fabs(off) <= 1e-14 * T) break;
    if ((p == low && off < 0.0) || (p == high && off > 0.0)) break;
    p += off / dT_dp;
  }
  if (!(std::fabs(off) <= 1e-9 * T)) return false;
  lever(data, place_of(data, p), p, q, out);
  out.T = T;
  return true;
}

bool Table::from_rho_h(double rho, double h, TableState& out) const noexcept {
  if (!(rho > 0.0 && rho < 1e4 && std::fabs(h) < 1e8)) return false;
  // Density rises with pressure at constant enthalpy; where a pressure leaves the table on the
  // vapour or the liquid side of the enthalpy range, the end of the bracket moves inwards.
  double low = data_->lowest_pressure;
  double high = data_->highest_pressure;
  TableState at;
  Partials slopes;
  double w = 0.0;
  double p = std::sqrt(low * high);
  for (int i = 0; i < 100; ++i) {
    if (!from_p_h(p, h, at, slopes, w)) {
      // Liquid too cold needs a lower pressure, vapour too hot a higher one... both only at ends.
      Quad edge;
      const Place place = place_of(*data_, p);
      value_at(data_->enthalpy[place.cell], place.t, edge);
      (h > edge[1] ? low : high) = p;
      p = 0.5 * (low + high);
      if (high - low <= 1e-15 * high) return false;
      continue;
    }
    const double off = rho - at.rho;
    (off > 0.0 ? low : high) = p;
    if (std::fabs(off) <= 1e-14 * rho || high - low <= 2e-16 * high) break;
    const double next = p + off / slopes.drho_dp_h;
    const double last = p;
    p = next > low && next < high ? next : 0.5 * (low + high);
    if (std::fabs(p - last) <= 1e-15 * p) break;
  }
  if (!(std::fabs(at.rho - rho) <= 1e-8 * rho)) return false;
  out = at;
  return true;
}

bool Table::saturation(double p, SaturationState& out) const noexcept {
  const TableData& data = *data_;
  if (!(p >= data.lowest_pressure && p <= data.highest_pressure)) return false;
  const Place at = place_of(data, p);
  Quad h, T, v, h_t, T_t, v_t;
  edges_at(data, at, h, T, v);
  edge_slopes_at(data, at, h_t, T_t, v_t);
  out.p = p;
  for (const int side : {0, 1}) {
    SaturationState::Line& line = side == 0 ? out.liquid : out.vapour;
    line.T = T[side];
    line.rho = 1.0 / v[side];
    line.h = h[side];
    line.s = v[side + 2];
    line.dT_dp = T_t[side] * at.inverse_half;
    line.drho_dp = -v_t[side] * line.rho * line.rho * at.inverse_half;
    line.dh_dp = h_t[side] * at.inverse_half;
  }
  return true;
}

double Table::lowest_pressure() const noexcept { return data_->lowest_pressure; }
double Table::highest_pressure() const noexcept { return data_->highest_pressure; }

namespace {

template <class Visit>
void each_block(const TableData& data, Visit&& visit) {
  for (const auto* lines : {&data.enthalpy, &data.temperature, &data.volume}) {
    visit(static_cast<const void*>(lines->data()), lines->size() * sizeof(QuadLine));
  }
  for (const Atlas* atlas :
       {&data.liquid_ph, &data.vapour_ph, &data.liquid_more, &data.vapour_more,
        &data.liquid_density, &data.vapour_density, &data.liquid_pT, &data.vapour_pT}) {
    visit(static_cast<const void*>(atlas->data()), atlas->size() * sizeof(QuadPatch));
  }
}

}  // namespace

std::size_t Table::bytes() const noexcept {
  std::size_t sum = sizeof(TableData);
  data_->each_block([&](const void*, std::size_t size) { sum += size; });
  return sum;
}

std::uint64_t Table::checksum() const noexcept {
  std::uint64_t hash = 0xcbf29ce484222325;
  data_->each_block([&](const void* block, std::size_t size) {
    const auto* bytes = static_cast<const unsigned char*>(block);
    for (std::size_t i = 0; i < size; ++i) hash = (hash ^ bytes[i]) * 0x100000001b3;
  });
  return hash;
}

}  // namespace cw::fluid
