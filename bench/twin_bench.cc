// Prints how many times faster than the clock the twin runs, and the time of a steady solve from a
// neighbouring one, for two sizes of machine. All by processor time of the one thread, which other
// jobs on the computer lengthen less than the clock. `twin_bench days` or `steady` measures that
// alone. Instructions do not depend on the load at all: see README.md for the command.
#include <cmath>
#include <cstdio>
#include <ctime>
#include <string>

#include "system/sheet.h"
#include "twin/twin.h"

namespace {

using namespace cw;
using namespace cw::twin;

double now_s() { return static_cast<double>(std::clock()) / static_cast<double>(CLOCKS_PER_SEC); }

std::string sheet_of(int modules, int units) {
  // Units add up to the modules' capacity of 45 kW each.
  const std::string each = std::to_string(45.0 * modules / units);
  return "refrigerant = \"R-410A\"\n[[outdoor]]\ncount = " + std::to_string(modules) +
         "\ncooling = \"45 kW\"\n[[indoor]]\ncount = " + std::to_string(units) + "\ncooling = \"" +
         each + " kW\"\n[piping]\nmain = \"30 m\"\nbranch = \"8 m\"\n";
}

int failed(const char* what, const Error& error) {
  std::fprintf(stderr, "%s: %s\n", what, error.text().c_str());
  return 1;
}

Orders all_units(Plant plant, std::size_t units, double set_point_K, double gains_W) {
  Orders orders;
  orders.plant = plant;
  orders.units.resize(units);
  for (UnitOrder& unit : orders.units) {
    unit.on = true;
    unit.set_point_K = set_point_K;
    unit.gains_W = gains_W;
    unit.cooling = plant == Plant::cooling;
  }
  return orders;
}

struct Day {
  const char* name;
  Plant plant;
  Weather weather;
  double room_K, set_point_K, gains_W;
};

/// Six hours from rest, asked for in pieces of a minute as a recording would be.
int run_day(const Model& model, const Day& day) {
  constexpr double hours = 6.0;
  constexpr double piece = 60.0;  // s
  const double charge = model.system().charge().total_kg();
  auto state = state_at_rest(model, day.weather, day.room_K, charge);
  if (!state) return failed(day.name, state.error());
  const Orders orders =
      all_units(day.plant, model.system().indoor().size(), day.set_point_K, day.gains_W);
  Readings readings;
  Insight insight;
  int steps = 0;
  int rejected = 0;
  int defrosts = 0;
  int running = 0;
  double heat = 0.0;
  bool before = false;
  const double start = now_s();
  for (int i = 0; i < static_cast<int>(hours * 3600.0 / piece); ++i) {
    const auto done = advance(model, *state, day.weather, orders, {}, piece);
    if (!done) return failed(day.name, done.error());
    steps += done->steps;
    rejected += done->rejected;
    read(model, *state, {}, readings);
    look_inside(model, *state, insight);
    heat += insight.heat_to_rooms_W * piece;
    running += readings.activity == Activity::off ? 0 : 1;
    const bool defrosting = readings.activity == Activity::defrosting;
    defrosts += defrosting && !before ? 1 : 0;
    before = defrosting;
  }
  const double took = now_s() - start;
  const Conservation kept = conservation_of(model, *state);
  std::printf(
      "  %-20s %8.0f x  %6d steps %5d rejected  %4.0f us a step  %d defrosts  %3.0f %% running"
      "  mean %6.1f kW  mass %.0e energy %.0e\n",
      day.name, hours * 3600.0 / took, steps, rejected, 1e6 * took / (steps + rejected), defrosts,
      100.0 * running / (hours * 3600.0 / piece), heat / hours / 3.6e6,
      std::abs(kept.mass_relative), std::abs(kept.energy_relative));
  return 0;
}

/// The call that is measured, a function of its own for tools that count instructions.
[[gnu::noinline]] Result<Steady> solve_warm(const Model& model, State& state,
                                            const Weather& weather, const Orders& orders,
                                            double room_K, double charge_kg) {
  return solve_steady(model, state, weather, orders, {}, room_K, charge_kg);
}

/// Each solve starts from the one a kelvin colder outdoors.
int run_steady(const Model& model, const char* name, Plant plant, double first_K, double room_K) {
  const double charge = model.system().charge().total_kg();
  const Orders orders = all_units(plant, model.system().indoor().size(), room_K, 0.0);
  Weather weather{first_K, 0.6};
  auto state = state_at_rest(model, weather, room_K, charge);
  if (!state) return failed(name, state.error());
  double start = now_s();
  const auto cold = solve_steady(model, *state, weather, orders, {}, room_K, charge);
  const double cold_s = now_s() - start;
  if (!cold) return failed(name, cold.error());
  double best = 1e9;
  double sum = 0.0;
  double residual = 0.0;
  int iterations = 0;
  constexpr int changes = 10;
  int unsolved = 0;
  for (int i = 1; i <= changes; ++i) {
    weather.temperature_K = first_K + i;
    State guess = *state;
    start = now_s();
    const auto warm = solve_warm(model, guess, weather, orders, room_K, charge);
    const double took = now_s() - start;
    if (!warm) {
      std::printf("  steady %s at %.1f degC: %s\n", name, weather.temperature_K - 273.15,
                  warm.error().text().c_str());
      ++unsolved;
      continue;
    }
    *state = guess;
    best = std::fmin(best, took);
    sum += took;
    iterations += warm->iterations;
    residual = std::fmax(residual, warm->residual);
  }
  const int solved = changes - unsolved;
  if (solved == 0) return 1;
  std::printf(
      "  steady %-13s cold %6.1f ms (%d)  warm mean %6.2f ms best %6.2f ms, %.1f iterations,"
      " residual %.1e, %d of %d solved\n",
      name, 1e3 * cold_s, cold->iterations, 1e3 * sum / solved, 1e3 * best,
      static_cast<double>(iterations) / solved, residual, solved, changes);
  return 0;
}

int run_days(const Model& model, int modules, int units) {
  int bad = 0;
  bad +=
      run_day(model, {"heating, 1 degC 95 %", Plant::heating, {274.15, 0.95}, 291.15, 296.15, 0.0});
  // Rooms that lose so much that no unit ever stops: a day with nothing but running and defrosts.
  bad += run_day(model, {"heating, -1 degC 95 %",
                         Plant::heating,
                         {272.15, 0.95},
                         291.15,
                         296.15,
                         -0.35 * 45e3 * modules / units});
  bad += run_day(model, {"cooling, 35 degC",
                         Plant::cooling,
                         {308.15, 0.4},
                         301.15,
                         297.15,
                         0.5 * 45e3 * modules / units});
  return bad;
}

struct Wanted {
  bool days, steady;
};

int run_machine(int modules, int units, const Wanted& wanted) {
  const auto system = parse_system(sheet_of(modules, units), "bench");
  if (!system) return failed("sheet", system.error());
  const double start = now_s();
  const auto model = make_model(*system, {});
  if (!model) return failed("model", model.error());
  std::printf("%d modules + %d units, made in %.1f ms\n", modules, units, 1e3 * (now_s() - start));
  int bad = 0;
  if (wanted.days) bad += run_days(*model, modules, units);
  if (!wanted.steady) return bad;
  bad += run_steady(*model, "heating", Plant::heating, 270.15, 294.15);
  bad += run_steady(*model, "cooling", Plant::cooling, 301.15, 298.15);
  return bad;
}

}  // namespace

int main(int count, char** arguments) {
  const std::string only = count > 1 ? arguments[1] : "";
  if (count > 2 || (!only.empty() && only != "days" && only != "steady")) {
    std::fprintf(stderr, "usage: twin_bench [days|steady]\n");
    return 2;
  }
  const Wanted wanted{only != "steady", only != "days"};
  int bad = run_machine(2, 16, wanted);
  bad += run_machine(3, 32, wanted);
  return bad == 0 ? 0 : 1;
}
