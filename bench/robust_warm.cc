// Solves many random machines from cold and then from their own steady state under changed
// conditions, as a diagnosis asks: `robust_warm [FIRST [COUNT [verbose]]]`. Counts how often the
// near solve answers, in how many iterations, and prints each answer so that two builds compare.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "twin/random_machine.h"
#include "twin/solve_near.h"

namespace {

using namespace cw;
using namespace cw::twin;

struct Tally {
  int asked = 0, answered = 0;
  long iterations = 0;
  double residual = 0.0;
};

struct Change {
  const char* name;
  double weather_K = 0.0, charge = 1.0, undersized = 0.0;
};
constexpr Change changes[] = {{"air +1 K", 1.0},
                              {"air -4 K", -4.0},
                              {"charge -3 %", 0.0, 0.97},
                              {"charge +10 %", 0.0, 1.1},
                              {"module 20 % smaller", 0.0, 1.0, 0.2}};

/// One line for each change: pressures, hottest discharge and power of the answer.
void ask(const Model& model, const State& from, const test::RandomMachine& machine, double charge,
         unsigned seed, bool verbose, Tally& tally) {
  for (const Change& change : changes) {
    State state = from;
    Weather weather = machine.weather;
    weather.temperature_K += change.weather_K;
    Faults faults = machine.faults;
    if (change.undersized > 0.0) {
      if (faults.modules.empty()) faults.modules.resize(model.system().outdoor().size());
      faults.modules[0].undersized = change.undersized;
    }
    ++tally.asked;
    const auto solved = solve_near(model, state, weather, machine.orders, faults, machine.room_K,
                                   charge * change.charge);
    if (!solved) {
      if (verbose) {
        std::printf("%u %s: %s\n", seed, change.name, name_of(solved.error().code));
      }
      continue;
    }
    ++tally.answered;
    tally.iterations += solved->iterations;
    tally.residual = std::fmax(tally.residual, solved->residual);
    if (!verbose) continue;
    Readings r;
    read(model, state, faults, r);
    double power = 0.0;
    double hottest = 0.0;
    for (const ModuleReadings& m : r.modules) {
      power += m.power;
      hottest = std::fmax(hottest, m.discharge_temperature);
    }
    std::printf("%u %s: %.6g %.6g Pa, %.6g K, %.6g W in %d\n", seed, change.name,
                r.modules[0].discharge_pressure, r.modules[0].suction_pressure, hottest, power,
                solved->iterations);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const unsigned first = argc > 1 ? static_cast<unsigned>(std::atoi(argv[1])) : 1;
  const unsigned count = argc > 2 ? static_cast<unsigned>(std::atoi(argv[2])) : 200;
  const bool verbose = argc > 3;
  Tally tally;
  for (unsigned seed = first; seed < first + count; ++seed) {
    const test::RandomMachine machine = test::RandomMachines(seed).make(true);
    const auto system = parse_system(machine.sheet, "random");
    if (!system) continue;
    const auto model = make_model(*system, {});
    if (!model) continue;
    const double charge = system->charge().total_kg() * machine.charge_share;
    auto state = state_at_rest(*model, machine.weather, machine.room_K, charge);
    if (!state) continue;
    const auto cold = solve_steady(*model, *state, machine.weather, machine.orders, machine.faults,
                                   machine.room_K, charge);
    if (cold && cold->residual < 1e-5) {
      ask(*model, *state, machine, charge, seed, verbose, tally);
    }
  }
  if (tally.answered == 0) return 1;
  std::printf("answered %d of %d, %.1f iterations, largest residual %.1e\n", tally.answered,
              tally.asked, static_cast<double>(tally.iterations) / tally.answered, tally.residual);
  return 0;
}
