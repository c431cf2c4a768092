#include <algorithm>
#include <cmath>

#include "fluid/saturation.h"
#include "fluid/state.h"
#include "twin/compressor.h"
#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double zero_celsius = 273.15;

/// A surface's value and slopes with Te and Tc at one speed.
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

/// Continues a surface beyond its range with the edge's value and slope.
SurfacePoint continued(const CompressorMap::Surface& c, double te, double tc, double n,
                       const CompressorMap& map) noexcept {
  const double te_in = std::clamp(te, map.te_lowest - zero_celsius, map.te_highest - zero_celsius);
  const double tc_in = std::clamp(tc, map.tc_lowest - zero_celsius, map.tc_highest - zero_celsius);
  SurfacePoint at = surface_at(c, te_in, tc_in, n);
  at.value += at.by_te * (te - te_in) + at.by_tc * (tc - tc_in);
  return at;
}

}  // namespace

Result<Compressor> make_map_compressor(const fluid::Refrigerant& refrigerant,
                                       const CompressorMap& map) {
  if (!(map.te_lowest < map.te_highest && map.tc_lowest < map.tc_highest &&
        map.speed_lowest < map.speed_highest && map.speed_lowest > 0.0)) {
    return Error{ErrorCode::out_of_range, "compressor map with an empty range", "",
                 "State the lowest and highest evaporating and condensing temperature and speed"};
  }
  Compressor::Mapped mapped;
  mapped.map = map;
  constexpr std::size_t cells = Compressor::SuctionTable::cells;
  const double lowest = std::fmax(0.02 * refrigerant.critical_pressure().value,
                                  1.01 * fluid::saturation_range(refrigerant).lowest);
  const double highest = 0.95 * refrigerant.critical_pressure().value;
  auto& table = mapped.suction;
  table.log_lowest = std::log(lowest);
  const double step = (std::log(highest) - table.log_lowest) / cells;
  table.cells_per_log = 1.0 / step;
  std::array<std::array<double, cells + 1>, 2> nodes{};
  for (std::size_t i = 0; i <= cells; ++i) {
    const double p = std::exp(table.log_lowest + step * static_cast<double>(i));
    const auto dew = fluid::dew_temperature(refrigerant, {p});
    if (!dew) return dew.error();
    const double wanted = map.return_gas ? *map.return_gas : dew->value + map.superheat;
    const auto gas = fluid::state_at(refrigerant, {std::fmax(wanted, dew->value + 0.01)}, {p});
    if (!gas) return gas.error();
    nodes[0][i] = dew->value;
    nodes[1][i] = gas->rho;
  }
  for (std::size_t of = 0; of < 2; ++of) {
    const auto& y = nodes[of];
    const auto slope = [&](std::size_t i) {
      if (i == 0) return -1.5 * y[0] + 2.0 * y[1] - 0.5 * y[2];
      if (i == cells) return 1.5 * y[i] - 2.0 * y[i - 1] + 0.5 * y[i - 2];
      return 0.5 * (y[i + 1] - y[i - 1]);
    };
    for (std::size_t i = 0; i < cells; ++i) {
      const double rise = y[i + 1] - y[i], d0 = slope(i), d1 = slope(i + 1);
      double* c = &table.cubic[i][4 * of];
      c[0] = y[i];
      c[1] = d0;
      c[2] = 3.0 * rise - 2.0 * d0 - d1;
      c[3] = d0 + d1 - 2.0 * rise;
    }
  }
  Compressor compressor;
  compressor.form_ = mapped;
  return compressor;
}

CompressorFlow Compressor::flow_by_map(const Mapped& c, const CompressorInlet& inlet,
                                       const CompressorWear& wear) const noexcept {
  (void)wear;
  const CompressorMap& map = c.map;
  const SurfacePoint m = continued(map.mass_flow, inlet.T_evaporating - zero_celsius,
                                   inlet.T_condensing - zero_celsius, inlet.speed, map);
  const SurfacePoint W = continued(map.power, inlet.T_evaporating - zero_celsius,
                                   inlet.T_condensing - zero_celsius, inlet.speed, map);
  return {std::fmax(m.value, 0.0), std::fmax(W.value, 0.0), 0.0, 0.0, 0.0, 0.0};
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
