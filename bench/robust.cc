// Solves many random machines in random weather, half of them with a fault, and counts how that
// ends: `robust [FIRST [COUNT [verbose]]]`.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <map>
#include <string>

#include "twin/random_machine.h"

namespace {

using namespace cw;
using namespace cw::twin;

double now_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

struct Ending {
  std::string kind;
  std::string text;
};

Ending end_of(const test::RandomMachine& machine) {
  const auto system = parse_system(machine.sheet, "random");
  if (!system) return {"invalid sheet", system.error().text()};
  const auto model = make_model(*system, {});
  if (!model) return {"no model", model.error().text()};
  const double charge = system->charge().total_kg() * machine.charge_share;
  auto state = state_at_rest(*model, machine.weather, machine.room_K, charge);
  if (!state) return {"does not fit", state.error().text()};
  const auto solved = solve_steady(*model, *state, machine.weather, machine.orders, machine.faults,
                                   machine.room_K, charge);
  if (!solved) {
    const std::string& text = solved.error().message;
    return {solved.error().code == ErrorCode::no_convergence ? "no convergence" : "says why not",
            text};
  }
  Readings r;
  read(*model, *state, machine.faults, r);
  double sum = 0.0;
  for (const ModuleReadings& m : r.modules) {
    sum += m.discharge_pressure + m.suction_pressure + m.discharge_temperature + m.power;
  }
  if (!std::isfinite(sum)) return {"not a number", ""};
  return {"solved", std::to_string(solved->iterations)};
}

}  // namespace

int main(int argc, char** argv) {
  const unsigned first = argc > 1 ? static_cast<unsigned>(std::atoi(argv[1])) : 1;
  const unsigned count = argc > 2 ? static_cast<unsigned>(std::atoi(argv[2])) : 10000;
  const bool verbose = argc > 3;
  std::map<std::string, unsigned> endings;
  double longest = 0.0;
  double total = 0.0;
  for (unsigned seed = first; seed < first + count; ++seed) {
    const test::RandomMachine machine = test::RandomMachines(seed).make(true);
    const double start = now_s();
    const Ending end = end_of(machine);
    const double took = now_s() - start;
    longest = std::fmax(longest, took);
    total += took;
    ++endings[end.kind];
    if (verbose && end.kind != "solved") {
      std::printf("%u: %s\n   %s: %s (%.0f ms)\n", seed, machine.what.c_str(), end.kind.c_str(),
                  end.text.c_str(), 1e3 * took);
      std::fflush(stdout);
    }
  }
  for (const auto& [kind, number] : endings) {
    std::printf("%-16s %6u  %6.2f %%\n", kind.c_str(), number, 100.0 * number / count);
  }
  std::printf("mean %.1f ms, longest %.0f ms\n", 1e3 * total / count, 1e3 * longest);
  return endings.contains("not a number") || endings.contains("no convergence") ? 1 : 0;
}
