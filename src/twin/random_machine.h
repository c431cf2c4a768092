#pragma once

#include <algorithm>
#include <cstddef>
#include <string>

#include "system/sheet.h"
#include "twin/random_draws.h"
#include "twin/twin.h"

/// Random valid sheets with weather, calls and faults, for tests and benchmarks. A seed is the same
/// case everywhere.
namespace cw::twin::test {

struct RandomMachine {
  std::string sheet;
  Weather weather;
  Orders orders;
  Faults faults;
  double room_K = 293.15;
  double charge_share = 1.0;  ///< of the sheet's charge
  std::string what;           ///< one line for a person
};

class RandomMachines : RandomDraws {
 public:
  explicit RandomMachines(unsigned seed) : RandomDraws(seed) {}

  /// @param with_faults  one machine in two then has one fault
  RandomMachine make(bool with_faults) {
    RandomMachine m;
    draw_sheet(m);
    draw_conditions(m);
    if (with_faults && count(0, 1) == 1) draw_fault(m);
    return m;
  }

 private:
  void draw_sheet(RandomMachine& m) {
    constexpr const char* refrigerants[] = {"R-410A", "R-32", "R-454B", "R-407C", "R-134a", "R-22"};
    modules_ = count(1, 3);
    const double kW = between(12.0, 45.0);
    units_ = count(1, 24);
    const double each = std::clamp(modules_ * kW / units_ * between(0.7, 1.2), 1.5, 30.0);
    const char* refrigerant = refrigerants[count(0, 5)];
    m.sheet = "refrigerant = \"" + std::string(refrigerant) +
              "\"\n[[outdoor]]\ncount = " + std::to_string(modules_) + "\ncooling = \"" +
              std::to_string(kW) + " kW\"\n[[indoor]]\ncount = " + std::to_string(units_) +
              "\ncooling = \"" + std::to_string(each) + " kW\"\n[piping]\nmain = \"" +
              std::to_string(between(5.0, 80.0)) + " m\"\nbranch = \"" +
              std::to_string(between(3.0, 15.0)) + " m\"\n";
    m.what = std::string(refrigerant) + ", " + std::to_string(modules_) + " x " +
             std::to_string(kW) + " kW + " + std::to_string(units_) + " x " + std::to_string(each) +
             " kW";
  }

  void draw_conditions(RandomMachine& m) {
    const bool cool = count(0, 1) == 1;
    m.weather = {273.15 + (cool ? between(10.0, 46.0) : between(-25.0, 20.0)), between(0.2, 1.0)};
    m.room_K = cool ? between(292.0, 303.0) : between(285.0, 298.0);
    m.charge_share = between(0.6, 1.5);
    m.orders.plant = cool ? Plant::cooling : Plant::heating;
    m.orders.units.resize(static_cast<std::size_t>(units_));
    const double share = between(0.1, 1.0);
    int calling = 0;
    for (UnitOrder& u : m.orders.units) {
      u.on = between(0.0, 1.0) < share;
      u.cooling = cool;
      u.set_point_K = cool ? 291.0 : 299.0;
      calling += u.on ? 1 : 0;
    }
    if (!m.orders.units.front().on) ++calling;
    m.orders.units.front().on = true;
    m.what += cool ? ", cooling at " : ", heating at ";
    m.what += std::to_string(m.weather.temperature_K - 273.15) + " degC, rooms " +
              std::to_string(m.room_K - 273.15) + " degC, " + std::to_string(calling) +
              " calling, charge x " + std::to_string(m.charge_share);
  }

  void draw_fault(RandomMachine& m) {
    m.faults.modules.resize(static_cast<std::size_t>(modules_));
    m.faults.units.resize(static_cast<std::size_t>(units_));
    ModuleFaults& module = m.faults.modules[pick(m.faults.modules.size())];
    UnitFaults& unit = m.faults.units[pick(m.faults.units.size())];
    const double severity = between(0.05, 0.9);
    const int kind = count(0, part_faults);
    if (kind < part_faults) {
      plant_part_fault(kind, severity, module, unit);
    } else {
      m.faults.non_condensables_mol = severity;
    }
    m.what += ", fault " + std::to_string(kind) + " of " + std::to_string(severity);
  }

  int modules_ = 1, units_ = 1;
};

}  // namespace cw::twin::test
