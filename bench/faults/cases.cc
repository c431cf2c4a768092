#include "cases.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

namespace cw::faults {
namespace {

/// Seven machines: sizes, refrigerants, pipe lengths. Invented.
struct Machine {
  const char* name;
  const char* refrigerant;
  int modules, units;
  double unit_kW;
  double main_m, branch_m;
};
constexpr std::array machines = {
    Machine{"split", "R-32", 1, 1, 5.0, 6.0, 2.0},
    Machine{"small", "R-410A", 1, 3, 4.0, 10.0, 4.0},
    Machine{"house", "R-32", 1, 4, 3.6, 15.0, 6.0},
    Machine{"shop", "R-410A", 1, 5, 5.6, 30.0, 8.0},
    Machine{"clinic", "R-454B", 1, 6, 4.5, 60.0, 12.0},
    Machine{"office", "R-410A", 2, 8, 7.1, 45.0, 10.0},
    Machine{"school", "R-410A", 2, 6, 8.0, 90.0, 8.0},
};
constexpr std::array heating_degC = {-5.0, 0.0, 5.0, 10.0};
constexpr std::array cooling_degC = {24.0, 29.0, 33.0, 38.0};

std::string sheet_of(const Machine& m, const std::string& more) {
  return fmt::format(
      "name = \"{}\"\nrefrigerant = \"{}\"\n[[outdoor]]\ncount = {}\ncooling = \"{:.2f} kW\"\n"
      "[[indoor]]\ncount = {}\ncooling = \"{:.2f} kW\"\n[piping]\nmain = \"{} m\"\nbranch = \"{} "
      "m\"\n{}",
      m.name, m.refrigerant, m.modules, m.unit_kW * m.units / m.modules, m.units, m.unit_kW,
      m.main_m, m.branch_m, more);
}

using Random = std::mt19937;
/// The same on every library, other than the standard's distributions.
double between(Random& random, double low, double high) {
  return low + (high - low) * (static_cast<double>(random()) / 4294967295.0);
}

std::string mismatch(Random& random) {
  constexpr std::array slips = {"homogeneous", "smith", "zivi"};
  return fmt::format(
      "[twin]\nslip = \"{}\"\nvolumetric_factor = \"{:.1f} %\"\nwork_factor = \"{:.1f} "
      "%\"\nvolume_factor = \"{:.1f} %\"\noutdoor_coil_factor = \"{:.1f} %\"\nindoor_coil_factor = "
      "\"{:.1f} %\"\n",
      slips[random() % 3], between(random, 93, 107), between(random, 93, 107),
      between(random, 85, 115), between(random, 85, 115), between(random, 85, 115));
}

/// @param seed  of the sensors: their offsets are the machine's own
std::string scenario_head(const Base& b, Random& random, unsigned seed, const Machine& m) {
  const double humidity = between(random, b.cooling ? 35 : 55, b.cooling ? 65 : 90);
  const double room = b.cooling ? between(random, 25, 28) : between(random, 18, 21);
  // Rooms that lose or gain about what their unit moves, so that they stay near where they are. The
  // twin's own rooms lose 60 % of the rated heating at -15 degC.
  const double by_weather = 0.6 * (20.0 - b.outdoor_degC) / 35.0;
  const double wanted = b.cooling ? 0.75 : b.outdoor_degC < 0.0 ? 0.7 : 0.8;
  const double load_W = (b.cooling ? wanted + by_weather : by_weather - wanted) * 1120.0 *
                        m.unit_kW * between(random, 0.85, 1.1);
  const double swing = between(random, 3, 8);
  const double minutes = between(random, 80, 150);
  std::string out = fmt::format(
      "name = \"{}\"\nsystem = \"true.toml\"\nstart = 2026-01-20T10:00:00\nduration = \"{:.0f} "
      "min\"\nwarm_up = \"60 min\"\nrooms = \"{:.1f} degC\"\nseed = {}\n[weather]\nmean = \"{:.1f} "
      "degC\"\nswing = \"{:.1f} K\"\nhumidity = \"{:.0f} %\"\n[plant]\nmode = \"{}\"\n"
      "[schedule]\nset_point = \"{} degC\"\ncall = \"always\"\ngains = \"{:.0f} W\"\n",
      b.name, minutes, room, seed, b.outdoor_degC, swing, humidity,
      b.cooling ? "cooling" : "heating", b.cooling ? 20 : 25, load_W);
  if (b.stopped_unit < b.units) {
    out +=
        fmt::format("[[schedule.change]]\nat = \"-59 min\"\nunits = [\"indoor.{}\"]\non = false\n",
                    b.stopped_unit + 1);
  }
  out += fmt::format("[[logger]]\ninterval = \"{} s\"\n", random() % 2 == 0 ? 30 : 60);
  if (b.off) out += "accuracy = { temperature = \"0.7 K\", pressure = \"20 kPa\" }\n";
  return out;
}

/// How much of what, small to large. Amounts are own choices around what costs a tenth.
struct Plan {
  const char* kind;
  const char* scenario_kind;
  const char* place;  ///< "system", "outdoor", "indoor", "stopped", or a channel's quantity
  const char* unit;
  std::array<double, 3> amount;
  bool heating, cooling;
  bool relative_opening = false;
};
constexpr std::array plans = {
    Plan{"undercharge", "undercharge", "system", "share", {0.15, 0.25, 0.38}, true, true},
    Plan{"leak", "leak", "system", "share", {0.18, 0.28, 0.4}, true, true},
    Plan{"overcharge", "overcharge", "system", "share", {0.2, 0.35, 0.5}, true, true},
    Plan{"non-condensables", "non_condensables", "system", "g/kg", {1.0, 2.0, 4.0}, true, true},
    Plan{"outdoor-airflow", "outdoor_coil_blocked", "outdoor", "%", {30, 50, 70}, true, true},
    Plan{"outdoor-airflow", "fan_lost", "outdoor", "%", {35, 55, 75}, true, true},
    Plan{"reversing-valve-leak", "reversing_valve_leak", "outdoor", "%", {5, 10, 18}, true, true},
    Plan{"compressor-leak", "compressor_leak", "outdoor", "%", {10, 20, 35}, true, true},
    Plan{"compressor-friction", "compressor_friction", "outdoor", "%", {12, 25, 45}, true, true},
    Plan{"outdoor-valve-closed", "valve_stuck", "outdoor", "", {0.6, 0.45, 0.3}, true, false, true},
    Plan{"outdoor-valve-open", "valve_stuck", "outdoor", "", {1.6, 2.5, 5.0}, true, false, true},
    Plan{"indoor-valve-closed", "valve_stuck", "indoor", "", {0.4, 0.2, 0.06}, true, true, true},
    Plan{"indoor-valve-open", "valve_stuck", "indoor", "", {2.0, 4.0, 9.0}, true, true, true},
    Plan{"indoor-valve-leak", "valve_leak", "stopped", "%", {3, 6, 12}, false, true},
    Plan{"filter", "filter_blocked", "indoor", "%", {40, 60, 80}, true, true},
    Plan{"sensor-discharge-pressure",
         "sensor_bias",
         "discharge_pressure",
         "kPa",
         {100, -170, 260},
         true,
         true},
    Plan{"sensor-suction-pressure",
         "sensor_bias",
         "suction_pressure",
         "kPa",
         {-50, 80, -120},
         true,
         true},
    Plan{"sensor-discharge-temperature",
         "sensor_bias",
         "discharge_temperature",
         "K",
         {5, -8, -14},
         true,
         true},
    Plan{"sensor-suction-temperature",
         "sensor_bias",
         "suction_temperature",
         "K",
         {3, -5, 8},
         true,
         true},
    Plan{"sensor-coil-temperature", "sensor_bias", "coil_temperature", "K", {-3, 5, 8}, true, true},
    Plan{"sensor-gas-pipe", "sensor_bias", "gas_pipe_temperature", "K", {-4, 6, -9}, true, true},
    Plan{"sensor-liquid-pipe",
         "sensor_bias",
         "liquid_pipe_temperature",
         "K",
         {3, -5, 8},
         true,
         true},
};
constexpr int rounds = 5;  ///< of each plan and severity; 22 plans, 3 severities

bool is_indoor_sensor(std::string_view quantity) { return quantity.find("pipe") != quantity.npos; }

void place(const Plan& plan, const Base& base, Random& random, Case& out) {
  const std::string where = plan.place;
  const std::string module = "outdoor." + std::to_string(1 + random() % base.modules);
  std::size_t unit = random() % base.units;
  if (unit == base.stopped_unit) unit = (unit + 1) % base.units;
  const std::string calling = "indoor." + std::to_string(unit + 1);
  out.place = where == "system"         ? "system"
              : where == "outdoor"      ? module
              : where == "indoor"       ? calling
              : where == "stopped"      ? "indoor." + std::to_string(base.stopped_unit + 1)
              : is_indoor_sensor(where) ? calling
                                        : module;
  out.scenario_place = out.place;
  if (out.scenario_kind == "sensor_bias") out.scenario_place += "." + where;
  if (where == "system") out.scenario_place.clear();
}

}  // namespace

std::vector<Base> make_bases() {
  std::vector<Base> out;
  Random random(20260120);
  for (const Machine& m : machines) {
    for (const bool cooling : {false, true}) {
      for (std::size_t k = 0; k < 4; ++k) {
        for (const bool off : {false, true}) {
          Base b;
          b.system = m.name;
          b.cooling = cooling;
          b.off = off;
          b.outdoor_degC = cooling ? cooling_degC[k] : heating_degC[k];
          b.name = fmt::format("{} {} {:.0f}{}", m.name, cooling ? "cooling" : "heating",
                               b.outdoor_degC, off ? " off" : "");
          b.modules = static_cast<std::size_t>(m.modules);
          b.units = static_cast<std::size_t>(m.units);
          b.stopped_unit = m.units > 2 && (k % 2 == 1) ? random() % b.units : b.units;
          b.sheet = sheet_of(m, "");
          b.true_sheet = sheet_of(m, off ? mismatch(random) : "");
          const auto seed = static_cast<unsigned>(random() % 100000);
          b.scenario = scenario_head(b, random, seed, m);
          Base sound = b;
          sound.stopped_unit = sound.units;
          sound.outdoor_degC = (cooling ? cooling_degC : heating_degC)[(k + 1) % 4];
          // Numbers of its own, so that the cases are the same with and without it.
          Random other(seed);
          b.sound_scenario = scenario_head(sound, other, seed, m);
          out.push_back(std::move(b));
        }
      }
    }
  }
  return out;
}

std::vector<Case> make_cases(const std::vector<Base>& bases) {
  std::vector<Case> out;
  for (std::size_t b = 0; b < bases.size(); ++b) {
    Case healthy;
    healthy.base = b;
    healthy.name = "healthy " + bases[b].name;
    out.push_back(std::move(healthy));
  }
  Random random(7);
  for (const Plan& plan : plans) {
    for (int severity = 1; severity <= 3; ++severity) {
      for (int round = 0; round < rounds; ++round) {
        Case c;
        // Any base in which the fault can be.
        for (int attempt = 0; attempt < 1000; ++attempt) {
          c.base = random() % bases.size();
          const Base& b = bases[c.base];
          const bool fits = b.cooling ? plan.cooling : plan.heating;
          const bool stopped =
              std::string_view(plan.place) != "stopped" || b.stopped_unit < b.units;
          if (fits && stopped) break;
        }
        c.kind = plan.kind;
        c.severity = severity;
        c.scenario_kind = plan.scenario_kind;
        c.amount = plan.amount[static_cast<std::size_t>(severity - 1)];
        c.unit = plan.unit;
        c.relative_opening = plan.relative_opening;
        place(plan, bases[c.base], random, c);
        c.name = fmt::format("{} {} at {} in {}", plan.scenario_kind, c.amount, c.place,
                             bases[c.base].name);
        out.push_back(std::move(c));
      }
    }
  }
  return out;
}

Base sound_of(const Base& base) {
  Base out = base;
  out.scenario = base.sound_scenario;
  return out;
}

std::string scenario_of(const Base& base, const Case& c, double value) {
  if (c.kind.empty()) return base.scenario;
  std::string severity;
  if (c.unit == "share" && c.scenario_kind == "leak") {
    severity = fmt::format("{:.4f} kg/h", c.amount * value / 2.0);
  } else if (c.unit == "share") {
    severity = fmt::format("{:.4f} kg", c.amount * value);
  } else if (c.unit == "g/kg") {
    severity = fmt::format("{:.4f} g", c.amount * value);
  } else if (c.relative_opening) {
    severity = fmt::format("{:.2f} %", 100.0 * std::clamp(c.amount * value, 0.002, 1.0));
  } else {
    severity = fmt::format("{} {}", c.amount, c.unit);
  }
  std::string out = base.scenario + fmt::format("[[fault]]\nkind = \"{}\"\nseverity = \"{}\"\n",
                                                c.scenario_kind, severity);
  if (!c.scenario_place.empty()) out += "place = \"" + c.scenario_place + "\"\n";
  if (c.scenario_kind == "leak") out += "from = \"0 min\"\n";
  return out;
}

}  // namespace cw::faults
