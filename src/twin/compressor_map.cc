#include <algorithm>
#include <cmath>

#include "fluid/saturation.h"
#include "fluid/state.h"
#include "twin/compressor.h"
#include "twin/hermite.h"
#include "twin/smooth.h"

namespace cw::twin {
namespace {

/// Share of the density's deviation from the map's suction gas that reaches the flow [rice1981].
constexpr double superheat_share = 0.75;
/// Rounding of the surfaces where they would go below zero, as a share of the middle's value.
constexpr double floor_share = 0.02;

/// A surface's value and slopes.
struct SurfacePoint {
  double value, by_te, by_tc;
};

SurfacePoint surface_at(const CompressorMap::Surface& c, double te, double tc, double n) noexcept {
  double a[10];
  for (std::size_t i = 0; i < 10; ++i) a[i] = c[i][0] + n * (c[i][1] + n * c[i][2]);
  return {a[0] + te * (a[1] + te * (a[3] + te * a[6])) + tc * (a[2] + tc * (a[5] + tc * a[9])) +
              te * tc * (a[4] + te * a[7] + tc * a[8]),
          a[1] + te * (2.0 * a[3] + 3.0 * te * a[6]) + tc * (a[4] + 2.0 * te * a[7] + tc * a[8]),
          a[2] + tc * (2.0 * a[5] + 3.0 * tc * a[9]) + te * (a[4] + te * a[7] + 2.0 * tc * a[8])};
}

/// The surface's slope with speed: that of its coefficients.
double speed_slope(const CompressorMap::Surface& c, double te, double tc, double n) noexcept {
  CompressorMap::Surface slopes{};
  for (std::size_t i = 0; i < 10; ++i) slopes[i] = {c[i][1], 2.0 * c[i][2], 0.0};
  return surface_at(slopes, te, tc, n).value;
}

/// Continues a surface beyond its range: with the edge's value and slope in the temperatures and
/// above the highest speed; below the lowest speed by the parabola through zero that meets both.
SurfacePoint continued(const CompressorMap::Surface& c, double te, double tc, double speed,
                       const CompressorMap& map) noexcept {
  const double te_in = std::clamp(te, map.te_lowest - zero_celsius, map.te_highest - zero_celsius);
  const double tc_in = std::clamp(tc, map.tc_lowest - zero_celsius, map.tc_highest - zero_celsius);
  const double n = std::clamp(speed, map.speed_lowest, map.speed_highest);
  SurfacePoint at = surface_at(c, te_in, tc_in, n);
  const double edge = at.value;
  at.value += at.by_te * (te - te_in) + at.by_tc * (tc - tc_in);
  if (speed > n) at.value += speed_slope(c, te_in, tc_in, n) * (speed - n);
  if (speed < n) {
    const double u = std::fmax(speed, 0.0) / n;
    const double relative = edge > 0.0 ? n * speed_slope(c, te_in, tc_in, n) / edge : 1.0;
    const double start = std::clamp(2.0 - relative, 0.0, 2.0);
    const double share = u * (start + (1.0 - start) * u);
    at.value *= share;
    at.by_te *= share;
    at.by_tc *= share;
  }
  return at;
}

/// Rounds a surface off at zero.
SurfacePoint floored(SurfacePoint at, double middle, double speed) noexcept {
  const Joined above =
      soft_positive(at.value, std::fmax(floor_share * middle * std::fmax(speed, 0.0), 1e-12));
  return {above.value, at.by_te * above.slope, at.by_tc * above.slope};
}

}  // namespace

Result<Compressor> make_map_compressor(const fluid::Refrigerant& refrigerant,
                                       const CompressorMap& map) {
  if (!(map.te_lowest < map.te_highest && map.tc_lowest < map.tc_highest &&
        map.speed_lowest <= map.speed_highest && map.speed_lowest > 0.0)) {
    return Error{ErrorCode::out_of_range, "compressor map with an empty range", "",
                 "State the lowest and highest evaporating and condensing temperature and speed"};
  }
  Compressor::Mapped mapped;
  mapped.map = map;
  const double te = 0.5 * (map.te_lowest + map.te_highest) - zero_celsius;
  const double tc = 0.5 * (map.tc_lowest + map.tc_highest) - zero_celsius;
  const double n = 0.5 * (map.speed_lowest + map.speed_highest);
  mapped.middle_mass = surface_at(map.mass_flow, te, tc, n).value / n;
  mapped.middle_power = surface_at(map.power, te, tc, n).value / n;
  if (!(mapped.middle_mass > 0.0 && mapped.middle_power > 0.0)) {
    return Error{ErrorCode::out_of_range,
                 "compressor map without positive flow and power in the middle of its range", "",
                 "Check the order and the units of the coefficients and the stated range"};
  }

  constexpr std::size_t cells = Compressor::SuctionTable::cells;
  auto& table = mapped.suction;
  const double lowest = std::fmax(0.02 * refrigerant.critical_pressure().value,
                                  1.01 * fluid::saturation_range(refrigerant).lowest);
  table.log_lowest = std::log(lowest);
  table.log_highest = std::log(0.95 * refrigerant.critical_pressure().value);
  const double step = (table.log_highest - table.log_lowest) / cells;
  table.cells_per_log = 1.0 / step;
  std::array<double, cells + 1> dew_nodes{}, density_nodes{};
  for (std::size_t i = 0; i <= cells; ++i) {
    const double p = std::exp(table.log_lowest + step * static_cast<double>(i));
    const auto dew = fluid::dew_temperature(refrigerant, {p});
    if (!dew) return dew.error();
    const double wanted = map.return_gas.value_or(dew->value + map.superheat);
    const auto gas = fluid::state_at(refrigerant, {std::fmax(wanted, dew->value + 0.01)}, {p});
    if (!gas) return gas.error();
    dew_nodes[i] = dew->value;
    density_nodes[i] = gas->rho;
  }
  for (std::size_t i = 0; i < cells; ++i) {
    table.dew[i] = hermite_cell<cells + 1>(dew_nodes, i);
    table.density[i] = hermite_cell<cells + 1>(density_nodes, i);
  }
  Compressor compressor;
  compressor.form_ = mapped;
  return compressor;
}

CompressorFlow Compressor::flow_by_map(const Mapped& c, const CompressorInlet& inlet,
                                       const CompressorWear& wear) const noexcept {
  const CompressorMap& map = c.map;
  const double n = std::fmax(inlet.speed, 0.0);
  const double te = inlet.T_evaporating - zero_celsius, tc = inlet.T_condensing - zero_celsius;
  const SurfacePoint m = floored(continued(map.mass_flow, te, tc, n, map), c.middle_mass, n);
  const SurfacePoint W = floored(continued(map.power, te, tc, n, map), c.middle_power, n);

  // Slopes of the dew line and density of the map's suction gas at both pressures.
  const SuctionTable::Point low = c.suction.at(inlet.p_suction);
  const SuctionTable::Point high = c.suction.at(inlet.p_discharge);
  // [rice1981]: m = m_map (1 + F (rho/rho_map - 1)); W with the flow and with p/rho, to which the
  // isentropic work of a gas is proportional.
  const double ratio = std::fmax(inlet.rho_suction, 0.0) / low.density;
  const double dense = 1.0 + superheat_share * (ratio - 1.0);
  const double lean = std::fmax(ratio, 0.05);
  const double work = dense / lean;
  const double ratio_slope = -ratio * low.density_slope / low.density;  // with p_suction
  const double work_slope = ratio > 0.05 ? -(1.0 - superheat_share) / (lean * lean) * ratio_slope
                                         : superheat_share * ratio_slope / lean;

  // Wear as in the efficiency form.
  const double PR = std::fmax(inlet.p_discharge, 1.0) / std::fmax(inlet.p_suction, 1.0);
  const Joined over = soft_positive(PR - 1.0, 0.05);
  const double leak = 0.5 * std::fmax(wear.leak, 0.0) * std::sqrt(map.rated_speed / (n + 0.05));
  const double kept = std::exp(-leak * over.value);
  const double worn = 1.0 + std::fmax(wear.loss, 0.0);

  CompressorFlow out;
  out.m_dot = m.value * dense * kept;
  out.power = W.value * work * worn;
  const double leak_slope = leak * over.slope / std::fmax(inlet.p_suction, 1.0);
  out.dm_dps = kept * (m.by_te * low.dew_slope * dense + m.value * superheat_share * ratio_slope) +
               out.m_dot * leak_slope * PR;
  out.dm_dpd = kept * dense * m.by_tc * high.dew_slope - out.m_dot * leak_slope;
  out.dW_dps = worn * (W.by_te * low.dew_slope * work + W.value * work_slope);
  out.dW_dpd = worn * work * W.by_tc * high.dew_slope;
  return out;
}

Compressor::SuctionTable::Point Compressor::SuctionTable::at(double p) const noexcept {
  const double wanted = std::log(std::fmax(p, 1.0));
  const double log_p = wanted > log_lowest ? std::fmin(wanted, log_highest) : log_lowest;
  const double place = (log_p - log_lowest) * cells_per_log;
  const double cell = std::clamp(std::floor(place), 0.0, static_cast<double>(cells - 1));
  const auto i = static_cast<std::size_t>(cell);
  const double u = place - cell;
  const double per_pascal = cells_per_log / std::fmax(p, 1.0);
  return {cubic_value(dew[i], u), cubic_slope(dew[i], u) * per_pascal, cubic_value(density[i], u),
          cubic_slope(density[i], u) * per_pascal};
}

bool Compressor::in_range(const CompressorInlet& inlet) const noexcept {
  const auto* c = std::get_if<Mapped>(&form_);
  if (c == nullptr) return true;
  const CompressorMap& map = c->map;
  return inlet.T_evaporating >= map.te_lowest && inlet.T_evaporating <= map.te_highest &&
         inlet.T_condensing >= map.tc_lowest && inlet.T_condensing <= map.tc_highest &&
         inlet.speed >= map.speed_lowest && inlet.speed <= map.speed_highest;
}

}  // namespace cw::twin
