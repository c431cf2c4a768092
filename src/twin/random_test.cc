#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <random>
#include <string>

#include "system/sheet.h"
#include "twin/twin.h"

namespace cw::twin {
namespace {

/// One valid sheet, weather, charge and set of calls, all from a seed.
struct RandomCase {
  explicit RandomCase(unsigned seed) : generator(seed) {}

  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(generator()) / 4294967295.0);
  }
  int count(int low, int high) {
    return low + static_cast<int>(generator() % static_cast<unsigned>(high - low + 1));
  }
  std::string sheet() {
    const char* refrigerants[] = {"R-410A", "R-32", "R-454B", "R-407C", "R-134a", "R-22"};
    const int modules = count(1, 3);
    const double kW = between(12.0, 45.0);
    units = count(1, 14);
    const double each = std::min(modules * kW / units * between(0.7, 1.2), 30.0);
    return "refrigerant = \"" + std::string(refrigerants[count(0, 5)]) +
           "\"\n[[outdoor]]\ncount = " + std::to_string(modules) + "\ncooling = \"" +
           std::to_string(kW) + " kW\"\n[[indoor]]\ncount = " + std::to_string(units) +
           "\ncooling = \"" + std::to_string(each) + " kW\"\n[piping]\nmain = \"" +
           std::to_string(between(5.0, 80.0)) + " m\"\nbranch = \"" +
           std::to_string(between(3.0, 15.0)) + " m\"\n";
  }

  std::mt19937 generator;
  int units = 1;
};

enum class Outcome { solved, no_steady_state, lost, does_not_fit };

/// Ten minutes from rest and a steady solve: every number finite, mass kept, or an error with
/// words.
Outcome outcome_of(unsigned seed) {
  RandomCase random(seed);
  const auto system = parse_system(random.sheet(), "random");
  EXPECT_TRUE(system.has_value());
  const auto model = make_model(*system, {});
  EXPECT_TRUE(model.has_value());
  const bool cool = random.count(0, 1) == 1;
  const Weather weather{273.15 + (cool ? random.between(10.0, 46.0) : random.between(-25.0, 20.0)),
                        random.between(0.2, 1.0)};
  const double room = cool ? random.between(292.0, 303.0) : random.between(285.0, 298.0);
  const double charge = system->charge().total_kg() * random.between(0.6, 1.5);
  auto state = state_at_rest(*model, weather, room, charge);
  if (!state) {
    EXPECT_FALSE(state.error().fix.empty());
    return Outcome::does_not_fit;
  }
  Orders orders;
  orders.plant = cool ? Plant::cooling : Plant::heating;
  orders.units.resize(static_cast<std::size_t>(random.units));
  for (UnitOrder& u : orders.units) {
    u.on = random.between(0.0, 1.0) < 0.7;
    u.cooling = cool;
    u.set_point_K = cool ? 291.0 : 299.0;
  }
  orders.units.front().on = true;
  const auto ran = advance(*model, *state, weather, orders, {}, 600.0);
  if (!ran) {
    EXPECT_FALSE(ran.error().fix.empty());
    return Outcome::lost;
  }
  Readings r;
  read(*model, *state, {}, r);
  for (const ModuleReadings& m : r.modules) {
    EXPECT_TRUE(std::isfinite(m.discharge_pressure + m.suction_pressure + m.discharge_temperature +
                              m.power));
    EXPECT_GT(m.discharge_pressure, 0.5 * m.suction_pressure);
  }
  EXPECT_LT(std::abs(conservation_of(*model, *state).mass_relative), 1e-6);
  const auto solved = solve_steady(*model, *state, weather, orders, {}, room, charge);
  if (!solved) {
    EXPECT_FALSE(solved.error().fix.empty());
    return Outcome::no_steady_state;
  }
  read(*model, *state, {}, r);
  for (const ModuleReadings& m : r.modules) {
    EXPECT_TRUE(std::isfinite(m.discharge_pressure + m.suction_pressure + m.power));
  }
  return Outcome::solved;
}

/// The bounds are what is reached with these seeds, with little to spare: they are to be raised.
TEST(TwinRandom, MostMachinesRunAndTheOthersSayWhyNot) {
  int solved = 0;
  int lost = 0;
  constexpr unsigned cases = 24;
  for (unsigned seed = 1; seed <= cases; ++seed) {
    SCOPED_TRACE(seed);
    const Outcome outcome = outcome_of(seed);
    solved += outcome == Outcome::solved ? 1 : 0;
    lost += outcome == Outcome::lost ? 1 : 0;
  }
  std::printf("%d of %u solved, %d lost\n", solved, cases, lost);
  EXPECT_GE(solved, 17);
  EXPECT_LE(lost, 1);
}

}  // namespace
}  // namespace cw::twin
