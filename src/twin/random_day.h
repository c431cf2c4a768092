#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>
#include <vector>

#include "twin/random_draws.h"
#include "twin/twin.h"

/// Random days of random valid machines, for tests and benchmarks: weather from -20 to +40 degC,
/// thermostats, set-back, people, a charge within a fifth of the right one, in mild air a change
/// between heating and cooling and, where asked for, a fault that begins during the day. All
/// numbers come from one Mersenne twister, whose sequence the C++ standard fixes: a seed is the
/// same day everywhere.
namespace cw::twin::test {

/// What one indoor unit is asked for in a day.
struct UnitDay {
  double set_point_K = 294.15, set_back_K = 294.15;
  double from_s = 0.0, until_s = 86400.0;  ///< when the set point of the day holds
  bool off_outside = false;                ///< switched off then instead of set back
  double gains_day_W = 0.0, gains_night_W = 0.0;
  bool cooling = false;  ///< heat recovery: the unit's own mode
};

struct RandomDay {
  std::string sheet;
  std::string what;  ///< one line for a person
  Plant plant = Plant::heating;
  bool recovery = false, fault = false;
  double mean_K = 280.15, swing_K = 4.0, humidity = 0.8, warmest_s = 54000.0;
  double room_K = 293.15;
  double charge_share = 1.0;  ///< of the sheet's charge
  std::vector<UnitDay> units;
  double turns_at_s = 1e9;  ///< from then on the plant does the other thing
  double fault_from_s = 0.0, fault_until_s = 0.0;
  double charge_change_kg = 0.0;  ///< put in or taken out when the fault begins
  Faults faults;                  ///< while the fault lasts

  Weather weather_at(double time_s) const {
    const double angle = 2.0 * std::numbers::pi * (time_s - warmest_s) / 86400.0;
    return {mean_K + swing_K * std::cos(angle), humidity - 0.1 * std::cos(angle)};
  }
  void orders_at(double time_s, Orders& orders) const {
    const bool heats = (plant == Plant::heating) != (time_s >= turns_at_s);
    orders.plant = heats ? Plant::heating : Plant::cooling;
    orders.units.resize(units.size());
    for (std::size_t i = 0; i < units.size(); ++i) {
      const UnitDay& day = units[i];
      const bool now = time_s >= day.from_s && time_s < day.until_s;
      orders.units[i] = {now || !day.off_outside,
                         now ? day.set_point_K : day.set_back_K,
                         now ? day.gains_day_W : day.gains_night_W,
                         {},
                         day.cooling};
    }
  }
  bool faulty_at(double time_s) const {
    return fault && time_s >= fault_from_s && time_s < fault_until_s;
  }
};

class RandomDays : RandomDraws {
 public:
  explicit RandomDays(unsigned seed) : RandomDraws(seed) {}

  /// @param with_faults  one day in two then has a fault for some of its hours
  RandomDay make(bool with_faults) {
    RandomDay d;
    draw_sheet(d);
    draw_weather(d);
    draw_units(d);
    if (with_faults && count(0, 1) == 1) draw_fault(d);
    draw_turn(d);
    return d;
  }

 private:
  static std::string kW(double value) { return '"' + std::to_string(value) + " kW\""; }

  /// Modules of one machine differ by up to a third, units by a factor of four.
  void draw_sheet(RandomDay& d) {
    // R-410A is what most of these machines hold.
    constexpr const char* refrigerants[] = {"R-410A", "R-410A", "R-410A", "R-32",
                                            "R-454B", "R-407C", "R-134a", "R-22"};
    const char* refrigerant = refrigerants[count(0, 7)];
    const int modules = count(1, 3);
    const int units = count(1, 16);
    d.recovery = count(0, 5) == 0;
    d.sheet = "refrigerant = \"" + std::string(refrigerant) + "\"\n";
    d.what = std::string(refrigerant) + (d.recovery ? " recovery," : ",");
    const double size = between(12.0, 40.0);
    double all = 0.0;
    for (int j = 0; j < modules; ++j) {
      const double mine = size * between(1.0, 1.33);
      all += mine;
      d.sheet += "[[outdoor]]\ncooling = " + kW(mine) + '\n';
      d.what += ' ' + std::to_string(static_cast<int>(mine)) + " kW";
    }
    if (d.recovery) d.sheet += "[[branch]]\nports = 16\n";
    std::vector<double> shares;
    double sum = 0.0;
    for (int i = 0; i < units; ++i) {
      shares.push_back(between(0.5, 2.0));
      sum += shares.back();
    }
    const double ratio = between(0.7, 1.3);
    for (const double share : shares) {
      heating_W_.push_back(1120.0 * std::clamp(ratio * all * share / sum, 1.5, 30.0));
      d.sheet += "[[indoor]]\ncooling = " + kW(heating_W_.back() / 1120.0) + '\n';
    }
    draw_pipes(d, modules, units);
    d.what += " + " + std::to_string(units) + " units x " + std::to_string(ratio);
    modules_ = static_cast<std::size_t>(modules);
  }

  /// Two lines by the sheet's own layout; heat recovery with one branch box, all pipes written.
  void draw_pipes(RandomDay& d, int modules, int units) {
    const auto metres = [](double value) { return '"' + std::to_string(value) + " m\""; };
    const double main = between(5.0, 60.0);
    const double branch = between(3.0, 15.0);
    if (!d.recovery) {
      d.sheet += "[piping]\nmain = " + metres(main) + "\nbranch = " + metres(branch) + '\n';
      return;
    }
    const auto pipe = [&](const std::string& from, const std::string& to, double length) {
      d.sheet += "[[pipe]]\nfrom = \"" + from + "\"\nto = \"" + to +
                 "\"\nlength = " + metres(length) + '\n';
    };
    for (int j = 1; j <= modules; ++j) pipe("outdoor." + std::to_string(j), "joint.1", 3.0);
    pipe("joint.1", "branch.1", main);
    for (int i = 1; i <= units; ++i) pipe("branch.1", "indoor." + std::to_string(i), branch);
  }

  void draw_weather(RandomDay& d) {
    const bool cool = count(0, 2) == 0;
    d.plant = cool ? Plant::cooling : Plant::heating;
    d.swing_K = between(1.0, 6.0);
    const double coldest = cool ? 288.15 : 253.15;
    const double warmest = cool ? 313.15 : 289.15;
    d.mean_K = between(coldest + d.swing_K, warmest - d.swing_K);
    d.humidity = between(0.4, 0.9);
    d.warmest_s = between(0.0, 86400.0);
    d.room_K = cool ? between(294.0, 302.0) : between(286.0, 294.0);
    d.charge_share = count(0, 1) == 0 ? 1.0 : between(0.8, 1.2);
    d.what += std::string(cool ? ", cooling " : ", heating ") + std::to_string(d.mean_K - 273.15) +
              " +- " + std::to_string(d.swing_K) + " degC, charge x " +
              std::to_string(d.charge_share);
  }

  void draw_units(RandomDay& d) {
    const bool cool = d.plant == Plant::cooling;
    const double target = cool ? between(295.15, 299.15) : between(292.15, 296.15);
    for (const double heating_W : heating_W_) {
      UnitDay u;
      // In heat recovery some rooms want the other thing.
      u.cooling = d.recovery && count(0, 4) == 0 ? !cool : cool;
      u.set_point_K = target + between(-1.5, 1.5);
      u.set_back_K = u.set_point_K + (u.cooling ? 1.0 : -1.0) * between(0.0, 4.0);
      u.from_s = 3600.0 * between(0.0, 9.0);
      u.until_s = u.from_s + 3600.0 * between(4.0, 20.0);
      u.off_outside = count(0, 1) == 0;
      const double load = u.cooling ? between(0.0, 0.7) : between(-0.4, 0.3);
      u.gains_day_W = load * heating_W;
      u.gains_night_W = between(0.0, 1.0) * u.gains_day_W;
      d.units.push_back(u);
    }
  }

  /// In mild air one day in three changes between heating and cooling.
  void draw_turn(RandomDay& d) {
    const bool mild = d.mean_K > 279.15 && d.mean_K < 297.15;
    if (!mild || count(0, 2) != 0) return;
    d.turns_at_s = 3600.0 * between(2.0, 20.0);
    d.what += ", turns at " + std::to_string(static_cast<int>(d.turns_at_s)) + " s";
  }

  void draw_fault(RandomDay& d) {
    d.fault = true;
    d.fault_from_s = 3600.0 * between(1.0, 18.0);
    d.fault_until_s = d.fault_from_s + 3600.0 * between(0.3, 12.0);
    d.faults.modules.resize(modules_);
    d.faults.units.resize(d.units.size());
    ModuleFaults& module = d.faults.modules[pick(modules_)];
    UnitFaults& unit = d.faults.units[pick(d.units.size())];
    const double severity = between(0.05, 0.9);
    const int kind = count(0, part_faults + 2);
    switch (kind) {
      case part_faults:
        d.faults.sensors.push_back({"outdoor.1.discharge_pressure", 3e5 * (severity - 0.45)});
        break;
      case part_faults + 1:
        module.defrost_sensor_failed = true;
        break;
      case part_faults + 2:
        d.charge_change_kg = 4.0 * (severity - 0.45);
        break;
      default:
        plant_part_fault(kind, severity, module, unit);
    }
    d.what += ", fault " + std::to_string(kind) + " of " + std::to_string(severity) + " from " +
              std::to_string(static_cast<int>(d.fault_from_s)) + " s";
  }

  std::size_t modules_ = 1;
  std::vector<double> heating_W_;
};

}  // namespace cw::twin::test
