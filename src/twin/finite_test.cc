// Whatever finite numbers go in, finite numbers come out of every kernel.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "twin/compressor.h"
#include "twin/compressor_map_file.h"
#include "twin/expansion_valve.h"
#include "twin/film.h"
#include "twin/frost.h"
#include "twin/moist_surface.h"
#include "twin/oil.h"
#include "twin/pressure_drop.h"
#include "twin/test_support.h"
#include "twin/void_fraction.h"

namespace cw::twin {
namespace {

/// Numbers of all sizes around a scale: mostly near, some far, some zero, some negative.
class Wild {
 public:
  double operator()(double scale) {
    const double kind = unit_(random_);
    if (kind < 0.05) return 0.0;
    const double size = scale * std::pow(10.0, kind < 0.7 ? 2.0 * unit_(random_) - 1.0
                                                          : 12.0 * unit_(random_) - 6.0);
    return unit_(random_) < 0.1 ? -size : size;
  }

 private:
  std::mt19937_64 random_{11};
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
};

template <class... Numbers>
bool all_finite(Numbers... numbers) {
  return (std::isfinite(numbers) && ...);
}

constexpr int tries = 100000;

TEST(Finite, void_film_and_pressure_drop) {
  Wild wild;
  const TransportTable& table = test::transport("R-410A");
  for (int i = 0; i < tries; ++i) {
    SaturationTransport s;
    table.at(wild(1e6), s);
    const double bore = std::fabs(wild(0.01)) + 1e-5, x = wild(0.4), G = wild(150.0), q = wild(5e3);
    Film film(s, {G, bore});
    const double films[] = {film.condensing(x), film.boiling(x, q), film.liquid(), film.vapour()};
    for (const double h : films)
      ASSERT_TRUE(std::isfinite(h) && h > 0.0) << x << " " << G << " " << bore << " " << q;
    const double slip = slip_ratio(SlipModel::zivi, s.rho_l, s.rho_g);
    ASSERT_TRUE(all_finite(
        void_fraction(x, slip, s.rho_l, s.rho_g), flow_quality(x, slip).x,
        flow_quality(x, slip).slope, static_quality(x, slip), void_rouhani_axelsson(x, G, s),
        slip_smith(std::fabs(x), s.rho_l, s.rho_g), gradient_two_phase(G * 1e-4, bore, x, s),
        gradient_single(G * 1e-4, bore, s.rho_g, s.mu_g), friction_factor(wild(1e4), 1e-3)))
        << x << " " << G << " " << bore;
  }
}

TEST(Finite, valve) {
  Wild wild;
  for (int i = 0; i < tries; ++i) {
    const ExpansionValve valve{.area = std::fabs(wild(3e-6))};
    const ValveSide a{wild(2.5e6), wild(1000.0), wild(5.0)}, b{wild(1e6), wild(100.0), wild(5.0)};
    const double z = wild(0.5);
    const ValveFlow flow = valve_flow(valve, z, a, b, 344.5);
    ASSERT_TRUE(all_finite(flow.m_dot, flow.dm_dpa, flow.dm_dpb, flow.dm_dopening,
                           opening_for(valve, wild(0.05), a, b, 344.5),
                           size_valve(wild(0.05), a, b, z, 344.5).area))
        << a.p << " " << b.p << " " << z;
  }
}

void expect_finite(const Compressor& compressor, Wild& wild) {
  for (int i = 0; i < tries; ++i) {
    const CompressorInlet inlet{wild(9e5),  wild(2.7e6),       wild(35.0),
                                wild(60.0), 270.0 + wild(5.0), 310.0 + wild(5.0)};
    const CompressorFlow flow = compressor.flow(inlet, {wild(0.1), wild(0.1)});
    ASSERT_TRUE(
        all_finite(flow.m_dot, flow.power, flow.dm_dps, flow.dm_dpd, flow.dW_dps, flow.dW_dpd))
        << inlet.p_suction << " " << inlet.p_discharge << " " << inlet.rho_suction << " "
        << inlet.speed;
    ASSERT_GE(flow.m_dot, 0.0);
    ASSERT_GE(flow.power, 0.0);
  }
}

TEST(Finite, compressors) {
  Wild wild;
  expect_finite(make_efficiency_compressor(test::refrigerant("R-410A"), {}).value(), wild);
  TenCoefficients set;
  set.mass_flow = {0.05, 1.5e-3, -1e-4, 2e-5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  set.power = {500.0, 1.0, 40.0, 0.0, 0.0, 0.1, 0.0, 0.0, 0.0, 0.0};
  expect_finite(
      make_map_compressor(test::refrigerant("R-410A"), map_of_sets({&set, 1}).value()).value(),
      wild);
}

TEST(Finite, air_frost_and_oil) {
  Wild wild;
  const TransportTable& table = test::transport("R-410A");
  for (int i = 0; i < tries; ++i) {
    const AirSide air{273.0 + wild(10.0), std::fabs(wild(0.01)), wild(1e5), wild(0.2), wild(200.0)};
    const double T = 273.0 + wild(10.0);
    const AirHeat heat = air_heat(air, T);
    ASSERT_TRUE(
        all_finite(heat.sensible, heat.latent, heat.water, heat.T_out, heat.w_out, heat.dQ_dTw))
        << air.T << " " << air.w << " " << air.p << " " << T;
    FrostLayer layer{std::fabs(wild(0.1)), std::fabs(wild(100.0))};
    layer = grow(layer, wild(1e-5), T, wild(1.0));
    const Melt melted = melt(layer, wild(1e4), T);
    ASSERT_TRUE(all_finite(layer.mass, layer.density, layer.thickness(), melted.drained,
                           melted.heat_used, frost_conductivity(wild(100.0)),
                           air_flow_factor(wild(1e-3), wild(1.5e-3)),
                           dissolved_fraction(wild(1e6), T, table)));
  }
}

}  // namespace
}  // namespace cw::twin
