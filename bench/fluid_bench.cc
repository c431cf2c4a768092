// Prints accuracy and speed of refrigerant properties side by side: the tables against the equation
// of state, the equation by input pair. Each time is the best of many short batches, which is what
// one core does when the machine leaves it alone.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <random>
#include <vector>

#include "fluid/saturation.h"
#include "fluid/state.h"
#include "fluid/table.h"

namespace {

using cw::fluid::FluidState;
using cw::fluid::InputPair;
using cw::fluid::Phase;
using cw::fluid::Refrigerant;
using cw::fluid::Table;
using cw::fluid::TableState;

double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Best time a call [ns] over `batches` batches of `calls`; `call(i)` returns a number to keep.
template <class Call>
double nanoseconds(int batches, int calls, Call&& call) {
  double best = 1e30;
  volatile double keep = 0.0;
  for (int batch = 0; batch < batches; ++batch) {
    double sum = 0.0;
    const double start = seconds();
    for (int i = 0; i < calls; ++i) sum += call(static_cast<std::size_t>(i));
    best = std::fmin(best, (seconds() - start) / calls);
    keep = keep + sum;
  }
  return best * 1e9;
}

/// Liquid and vapour states in the table's range, every second one vapour.
std::vector<FluidState> states(const Refrigerant& fluid, const Table& table) {
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const double coldest =
      cw::fluid::bubble_temperature(fluid, {table.lowest_pressure()})->value - 14.0;
  std::vector<FluidState> list;
  while (list.size() < 8192) {
    const double p = table.lowest_pressure() *
                     std::pow(table.highest_pressure() / table.lowest_pressure(), unit(random));
    const double part = unit(random) * unit(random);
    const bool vapour = list.size() % 2 == 1;
    const double T = vapour ? cw::fluid::dew_temperature(fluid, {p})->value + 1e-3 + 99.0 * part
                            : cw::fluid::bubble_temperature(fluid, {p})->value * (1.0 - part) +
                                  coldest * part - 1e-3;
    if (const auto at = cw::fluid::state_at(fluid, {T}, {p})) list.push_back(*at);
  }
  return list;
}

struct Errors {
  double first = 0.0, rho = 0.0, s = 0.0, cp = 0.0;
  void take(double a, double a_exact, const TableState& got, const FluidState& exact) {
    first = std::fmax(first, std::fabs(a / a_exact - 1.0));
    rho = std::fmax(rho, std::fabs(got.rho / exact.rho - 1.0));
    s = std::fmax(s, std::fabs(got.s / exact.s - 1.0));
    cp = std::fmax(cp, std::fabs(got.cp / *exact.cp - 1.0));
  }
};

void tables(const char* name) {
  const Refrigerant& fluid = **cw::fluid::find_refrigerant(name);
  const double start = seconds();
  const auto made = cw::fluid::table_of(fluid);
  const double build = seconds() - start;
  if (!made) {
    std::printf("%-8s %s\n", name, made.error().text().c_str());
    return;
  }
  const Table& table = **made;
  const std::vector<FluidState> list = states(fluid, table);
  Errors ph, pT;
  for (const FluidState& exact : list) {
    TableState out;
    if (table.from_p_h(exact.p, exact.h, out)) ph.take(out.T, exact.T, out, exact);
    if (table.from_p_T(exact.p, exact.T, out)) pT.take(out.h, exact.h, out, exact);
  }
  // Vapour alone, and few enough states to stay in cache, is what a coil model asks in its loop;
  // all states at random is the worst case for caches and branch prediction.
  const auto by_h = [&](std::size_t i) {
    TableState out;
    table.from_p_h(list[i].p, list[i].h, out);
    return out.T + out.rho + out.s + out.cp;
  };
  const auto by_T = [&](std::size_t i) {
    TableState out;
    table.from_p_T(list[i].p, list[i].T, out);
    return out.h + out.rho + out.s + out.cp;
  };
  const double few_h =
      nanoseconds(2000, 1024, [&](std::size_t i) { return by_h(2 * (i % 32) + 1); });
  const double few_T =
      nanoseconds(2000, 1024, [&](std::size_t i) { return by_T(2 * (i % 32) + 1); });
  const double all_h = nanoseconds(100, 8192, by_h);
  const double density = nanoseconds(2000, 1024, [&](std::size_t i) {
    cw::fluid::DensityState out;
    table.from_p_h(list[2 * (i % 32) + 1].p, list[2 * (i % 32) + 1].h, out);
    return out.T + out.rho + out.drho_dp_h + out.drho_dh_p;
  });
  const double partials = nanoseconds(2000, 1024, [&](std::size_t i) {
    TableState out;
    cw::fluid::Partials slopes;
    double w = 0.0;
    table.from_p_h(list[2 * (i % 32) + 1].p, list[2 * (i % 32) + 1].h, out, slopes, w);
    return out.T + out.rho + slopes.drho_dp_h + slopes.drho_dh_p + w;
  });
  std::printf(
      "%-8s %-6s %4.0f ms %5.1f MB | p,h T %.1e rho %.1e s %.1e cp %.1e | p,T h %.1e rho %.1e s "
      "%.1e "
      "cp %.1e | p,h %5.1f ns p,T %5.1f ns, at random %5.1f ns, "
      "density %5.1f ns, derivatives %5.1f ns\n",
      name, cw::fluid::table_origin(fluid).loaded ? "loaded" : "made", build * 1e3,
      static_cast<double>(table.bytes()) / 1e6, ph.first, ph.rho, ph.s, ph.cp, pT.first, pT.rho,
      pT.s, pT.cp, few_h, few_T, all_h, density, partials);
}

void equation(const char* name) {
  const Refrigerant& fluid = **cw::fluid::find_refrigerant(name);
  const Table& table = **cw::fluid::table_of(fluid);
  const std::vector<FluidState> list = states(fluid, table);
  const double points = nanoseconds(1000, 256, [&](std::size_t i) {
    const auto at = cw::fluid::equation_at(fluid, list[i].T, list[i].rho);
    return at.p + at.h + at.s + at.cp + at.w;
  });
  std::printf("%-8s p,h,s,cp,w from T,rho %4.0f ns", name, points);
  struct Pair {
    const char* name;
    InputPair pair;
    double FluidState::*first;
    double FluidState::*second;
  };
  for (const Pair& pair : {Pair{"T,p", InputPair::T_p, &FluidState::T, &FluidState::p},
                           Pair{"p,h", InputPair::p_h, &FluidState::p, &FluidState::h},
                           Pair{"p,s", InputPair::p_s, &FluidState::p, &FluidState::s},
                           Pair{"rho,h", InputPair::rho_h, &FluidState::rho, &FluidState::h},
                           Pair{"h,s", InputPair::h_s, &FluidState::h, &FluidState::s}}) {
    const double time = nanoseconds(5, 64, [&](std::size_t i) {
      const auto at =
          cw::fluid::state_from(fluid, pair.pair, list[i].*pair.first, list[i].*pair.second);
      return at ? at->T : 0.0;
    });
    std::printf(" | %s %.1f us", pair.name, time / 1e3);
  }
  const double dew = nanoseconds(1000, 1024, [&](std::size_t i) {
    return cw::fluid::dew_temperature_or_nan(fluid, list[i].p);
  });
  std::printf(" | dew temperature %.1f ns\n", dew);
}

}  // namespace

int main() {
  std::printf(
      "tables: time to make or load, memory, largest relative error against the equation, best "
      "time\n");
  const char* names[] = {"R-410A", "R-32", "R-454B", "R-407C", "R-134a", "R-22"};
  for (const char* name : names) tables(name);
  std::printf("equation of state: best time\n");
  for (const char* name : names) equation(name);
}
