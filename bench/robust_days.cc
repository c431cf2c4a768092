// Runs many random days of random machines, a third of them in cooling, and counts how they end:
// `robust_days [FIRST [COUNT [verbose [HOURS]]]]`.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <map>
#include <string>

#include "system/sheet.h"
#include "twin/random_day.h"

namespace {

using namespace cw;
using namespace cw::twin;

double now_s() { return static_cast<double>(std::clock()) / static_cast<double>(CLOCKS_PER_SEC); }

struct Ending {
  std::string kind;  ///< "to the end", or why not
  std::string text;
  double lost_s = 0.0;
  double mass = 0.0, energy = 0.0;  ///< relative
  double lowest_suction_K = 400.0;
  Advance work;
};

void add(const Advance& part, Advance& sum) {
  sum.steps += part.steps;
  sum.rejected += part.rejected;
  sum.patient += part.patient;
  sum.forced += part.forced;
}

bool finite(const Model& model, const State& state, const Faults& faults, Readings& r) {
  read(model, state, faults, r);
  double sum = 0.0;
  for (const ModuleReadings& m : r.modules) {
    sum += m.discharge_pressure + m.suction_pressure + m.discharge_temperature + m.power +
           m.shell_temperature + m.coil_temperature;
  }
  for (const UnitReadings& u : r.units) {
    sum += u.gas_pipe_temperature + u.liquid_pipe_temperature + u.controlled_temperature;
  }
  return std::isfinite(sum);
}

Ending end_of(const test::RandomDay& day, double seconds) {
  Ending end;
  const auto fail = [&](const char* kind, const std::string& text, double at_s) {
    end.kind = kind;
    end.text = text;
    end.lost_s = seconds - at_s;
    return end;
  };
  const auto system = parse_system(day.sheet, "random");
  if (!system) return fail("invalid sheet", system.error().text(), 0.0);
  const auto model = make_model(*system, {});
  if (!model) return fail("no model", model.error().text(), 0.0);
  const double charge = system->charge().total_kg() * day.charge_share;
  auto state = state_at_rest(*model, day.weather_at(0.0), day.room_K, charge);
  if (!state) return fail("does not fit", state.error().text(), 0.0);
  const Faults healthy;
  Readings readings;
  Orders orders;
  bool faulty = false;
  constexpr double stride = 10.0;        // s
  constexpr int most_steps = 1'000'000;  // some forty times what a day takes
  for (double time = 0.0; time < seconds; time += stride) {
    if (day.faulty_at(time) && !faulty) add_charge(*model, *state, day.charge_change_kg);
    faulty = day.faulty_at(time);
    day.orders_at(time, orders);
    const Faults& faults = faulty ? day.faults : healthy;
    const auto done = advance(*model, *state, day.weather_at(time), orders, faults, stride);
    if (!done) return fail("broke off", done.error().message, time);
    add(*done, end.work);
    if (end.work.steps + end.work.rejected > most_steps) return fail("endless", "", time);
    if (!finite(*model, *state, faults, readings)) return fail("not a number", "", time);
  }
  const Conservation kept = conservation_of(*model, *state);
  end.mass = std::abs(kept.mass_relative);
  end.energy = std::abs(kept.energy_relative);
  end.kind = "to the end";
  return end;
}

/// Of days of one kind.
struct Tally {
  int days = 0, bad = 0, drifted = 0;
  double lost_s = 0.0, mass = 0.0, energy = 0.0;
  long steps = 0, rejected = 0, patient = 0, forced = 0;
  int with_forced = 0;
};

}  // namespace

int main(int argc, char** argv) {
  const unsigned first = argc > 1 ? static_cast<unsigned>(std::atoi(argv[1])) : 1;
  const unsigned count = argc > 2 ? static_cast<unsigned>(std::atoi(argv[2])) : 300;
  const bool verbose = argc > 3;
  const double seconds = 3600.0 * (argc > 4 ? std::atof(argv[4]) : 24.0);
  std::map<std::string, Tally> tallies;
  std::map<std::string, unsigned> endings;
  const double start = now_s();
  for (unsigned seed = first; seed < first + count; ++seed) {
    const test::RandomDay day = test::RandomDays(seed).make(true);
    const double began = now_s();
    const Ending end = end_of(day, seconds);
    ++endings[end.kind];
    const bool bad = end.kind != "to the end";
    const bool drifted = end.mass > 1e-6 || end.energy > 1e-3;
    for (const std::string& kind :
         {std::string("all"), std::string(day.fault                 ? "with a fault"
                                          : day.charge_share == 1.0 ? "sound, right charge"
                                                                    : "sound, charge +-20 %")}) {
      Tally& t = tallies[kind];
      ++t.days;
      t.bad += bad ? 1 : 0;
      t.drifted += drifted ? 1 : 0;
      t.lost_s += end.lost_s;
      t.mass = std::max(t.mass, end.mass);
      t.energy = std::max(t.energy, end.energy);
      t.steps += end.work.steps;
      t.rejected += end.work.rejected;
      t.patient += end.work.patient;
      t.forced += end.work.forced;
      t.with_forced += end.work.forced > 0 ? 1 : 0;
    }
    constexpr int many = 20;
    if (verbose && (bad || drifted || end.work.forced > many)) {
      std::printf(
          "%u: %s\n   %s %.0f s before the end: %s (mass %.0e, energy %.0e, %d forced, %.1f s)\n",
          seed, day.what.c_str(), end.kind.c_str(), end.lost_s, end.text.c_str(), end.mass,
          end.energy, end.work.forced, now_s() - began);
      std::fflush(stdout);
    }
  }
  for (const auto& [kind, number] : endings) {
    std::printf("%-16s %6u  %6.2f %%\n", kind.c_str(), number, 100.0 * number / count);
  }
  for (const auto& [kind, t] : tallies) {
    std::printf(
        "%-22s %4d days: %3d broken off, %5.2f %% of the time lost, %d drifted (mass %.0e, energy "
        "%.0e), %.0f steps, %.0f of them patient, and %.0f rejected a day, %ld forced on %d days\n",
        kind.c_str(), t.days, t.bad, 100.0 * t.lost_s / (t.days * seconds), t.drifted, t.mass,
        t.energy, static_cast<double>(t.steps) / t.days, static_cast<double>(t.patient) / t.days,
        static_cast<double>(t.rejected) / t.days, t.forced, t.with_forced);
  }
  const double took = now_s() - start;
  std::printf("%.1f s a day of processor time, %.0f times the clock\n", took / count,
              count * seconds / took);
  return tallies["all"].bad == 0 && tallies["all"].drifted == 0 ? 0 : 1;
}
