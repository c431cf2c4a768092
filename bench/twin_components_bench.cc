// Prints the time a call of each component model of the twin, best of many short batches over
// inputs that vary from call to call.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <vector>

#include "fluid/saturation.h"
#include "fluid/state.h"
#include "twin/compressor.h"
#include "twin/compressor_map_file.h"
#include "twin/expansion_valve.h"
#include "twin/film.h"
#include "twin/frost.h"
#include "twin/moist_surface.h"
#include "twin/oil.h"
#include "twin/pressure_drop.h"
#include "twin/transport_table.h"
#include "twin/void_fraction.h"

namespace {

using namespace cw::twin;

constexpr int batches = 400, calls = 512;

double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// `call(u)` with u from 0 to 1; returns a number to keep.
template <class Call>
void report(const char* what, Call&& call) {
  double best = 1e30;
  volatile double keep = 0.0;
  for (int batch = 0; batch < batches; ++batch) {
    double sum = 0.0;
    const double start = seconds();
    for (int i = 0; i < calls; ++i) sum += call((i + 0.5) / calls);
    best = std::fmin(best, (seconds() - start) / calls);
    keep = keep + sum;
  }
  std::printf("%-34s %7.1f ns\n", what, best * 1e9);
}

TenCoefficients plain_map() {
  TenCoefficients set;
  set.mass_flow = {0.05, 1.5e-3, -1e-4, 2e-5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  set.power = {500.0, 1.0, 40.0, 0.0, 0.0, 0.1, 0.0, 0.0, 0.0, 0.0};
  return set;
}

}  // namespace

int main() {
  const auto refrigerant = cw::fluid::find_refrigerant("R-410A");
  if (!refrigerant) return 1;
  const double start = seconds();
  const auto table = make_transport_table(**refrigerant);
  if (!table) return 1;
  std::printf("transport table of R-410A made in %.1f ms\n", 1e3 * (seconds() - start));
  SaturationTransport s;
  table->at(9e5, s);

  report("transport table, 14 values", [&](double u) {
    SaturationTransport at;
    table->at(5e5 + 3e6 * u, at);
    return at.rho_l + at.k_g;
  });
  report("film, preparation", [&](double u) {
    return Film(s, {100.0 + 100.0 * u, 0.007}).liquid();
  });
  Film film(s, {150.0, 0.007});
  report("film, condensing", [&](double u) { return film.condensing(u); });
  report("film, boiling", [&](double u) { return film.boiling(u, 4e3 + 4e3 * u); });
  report("void fraction and flow quality", [&](double u) {
    const FlowQuality flow = flow_quality(u, 3.2);
    return void_fraction(flow.x, 3.2, s.rho_l, s.rho_g) + flow.slope;
  });
  report("pressure gradient, two phases",
         [&](double u) { return gradient_two_phase(0.01 + 0.01 * u, 0.0095, u, s); });
  report("pressure gradient, one phase",
         [&](double u) { return gradient_single(0.01 + 0.01 * u, 0.0095, s.rho_g, s.mu_g); });

  const auto compressor = make_efficiency_compressor(**refrigerant, {});
  const TenCoefficients set = plain_map();
  auto map = map_of_sets({&set, 1});
  if (!compressor || !map) return 1;
  map->speed_lowest = 20.0;
  map->speed_highest = 120.0;
  const auto mapped = make_map_compressor(**refrigerant, *map);
  if (!mapped) return 1;
  const auto inlet = [](double u) {
    return CompressorInlet{8e5 + 2e5 * u,   2.6e6,           30.0 + 5.0 * u,
                           30.0 + 60.0 * u, 275.0 + 5.0 * u, 317.0};
  };
  report("compressor, efficiency form", [&](double u) {
    const CompressorFlow flow = compressor->flow(inlet(u), {0.05, 0.0});
    return flow.m_dot + flow.power + flow.dm_dps;
  });
  report("compressor, map form", [&](double u) {
    const CompressorFlow flow = mapped->flow(inlet(u), {0.05, 0.0});
    return flow.m_dot + flow.power + flow.dm_dps;
  });
  const ExpansionValve valve{.area = 3e-6};
  report("expansion valve", [&](double u) {
    const ValveFlow flow =
        valve_flow(valve, 0.1 + 0.8 * u, {2.6e6, 1000.0, 10.0 * u}, {9e5, 120.0, 0.0}, 344.5);
    return flow.m_dot + flow.dm_dpa;
  });
  report("expansion valve, opening for a flow", [&](double u) {
    return opening_for(valve, 0.02 + 0.05 * u, {2.6e6, 1000.0, 5.0}, {9e5, 120.0, 0.0}, 344.5);
  });
  report("moist surface, dry", [&](double u) {
    return air_heat({300.0, 0.006, 101325.0, 0.1, 60.0}, 285.0 + 20.0 * u).dQ_dTw;
  });
  report("moist surface, wet", [&](double u) {
    return air_heat({300.0, 0.012, 101325.0, 0.1, 60.0}, 274.0 + 10.0 * u).dQ_dTw;
  });
  report("moist surface, frosting", [&](double u) {
    return air_heat({275.0, 0.004, 101325.0, 0.1, 60.0}, 255.0 + 15.0 * u).dQ_dTw;
  });
  report("frost, growth and air flow", [&](double u) {
    const FrostLayer layer = grow({0.05 * u, 150.0}, 1e-5, 265.0 + 5.0 * u, 0.5);
    return layer.mass + air_flow_factor(layer.thickness(), 1.5e-3);
  });
  report("refrigerant in oil",
         [&](double u) { return dissolved_fraction(5e5 + 5e5 * u, 310.0 + 30.0 * u, *table); });
  return 0;
}
