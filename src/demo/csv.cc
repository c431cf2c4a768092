#include "demo/csv.h"

#include <fmt/format.h>

#include <cstdint>
#include <iterator>
#include <string_view>

#include "base/instant.h"
#include "demo/lag.h"
#include "fluid/refrigerant.h"
#include "fluid/saturation.h"

namespace cw::demo {
namespace {

constexpr double temperature_noise = 0.12;  // [K]
constexpr double room_noise = 0.05;         // [K]
constexpr double discharge_noise = 5.0;     // [kPa]
constexpr double suction_noise = 1.5;       // [kPa]; a transducer of a smaller range

std::string comments(std::string_view what) {
  return fmt::format(
      "# Coilwright demo recording: {}.\n"
      "# INVENTED: no such building exists and nothing here was measured.\n"
      "# Made by make_demo_recording (tools/demo), seed {}; docs/user/demo.md tells its story.\n"
      "# R-410A, two outdoor modules on one pipe network, twelve indoor units, all heating.\n"
      "# Gauge pressures are above the standard atmosphere, 101.325 kPa.\n",
      what, demo_seed);
}

/// A column with one decimal, and no "-0.0".
void add(std::string& row, double value) {
  const auto tenths = static_cast<long>(value * 10.0 + (value < 0.0 ? -0.5 : 0.5));
  fmt::format_to(std::back_inserter(row), ",{:.1f}", static_cast<double>(tenths) / 10.0);
}

void add_whole(std::string& row, double value) {
  const auto whole = static_cast<long>(value + (value < 0.0 ? -0.5 : 0.5));
  fmt::format_to(std::back_inserter(row), ",{}", whole);
}

void add_flag(std::string& row, bool value) { row += value ? ",1" : ",0"; }

/// Gauge pressure at which vapour is saturated at a temperature [kPa].
Result<double> gauge_pressure(double t_degC) {
  return fluid::find_refrigerant("R-410A").and_then([&](const fluid::Refrigerant* r410a) {
    return fluid::dew_pressure(*r410a, from_celsius(t_degC)).map([](Pascal p) {
      return (p.value - standard_atmosphere) / 1000.0;
    });
  });
}

}  // namespace

std::string time_text(int row) {
  const CivilTime first{2026, 1, 20, 5, 0, 0, 0};
  const Clock clock{Clock::Kind::offset, -360, {}};
  Instant instant = instant_of(first).value_or(Instant{});
  instant.ms += static_cast<std::int64_t>(row * step_s * 1000.0) -
                static_cast<std::int64_t>(clock.offset_minutes) * 60'000;
  return iso_text(instant, clock);
}

std::string outdoor_head() {
  std::string text = comments("the outdoor modules' logger");
  text += "time,site.outdoor_temperature [degC]";
  for (int n = 1; n <= outdoor_modules; ++n) {
    for (const std::string_view quantity :
         {"discharge_pressure [kPa(g)]", "suction_pressure [kPa(g)]",
          "discharge_temperature [degC]", "suction_temperature [degC]", "shell_temperature [degC]",
          "coil_temperature [degC]", "compressor_frequency [Hz]", "valve_opening [%]", "fan_step",
          "defrost", "current [A]"}) {
      text += fmt::format(",outdoor.{}.{}", n, quantity);
    }
  }
  return text + "\n";
}

std::string indoor_head() {
  std::string text = comments("the indoor units' logger");
  text += "time";
  for (int k = 1; k <= indoor_units; ++k) {
    for (const std::string_view quantity :
         {"unit_on", "call", "set_point [degC]", "controlled_temperature [degC]",
          "gas_pipe_temperature [degC]", "liquid_pipe_temperature [degC]", "valve_opening [%]"}) {
      text += fmt::format(",indoor.{}.{}", k, quantity);
    }
  }
  return text + "\n";
}

Result<std::string> outdoor_row(int row, const OutdoorSide& outdoor, Noise& noise) {
  std::string text = time_text(row);
  add(text, outdoor.outdoor_temperature() + noise.around_zero(temperature_noise));
  for (const OutdoorModule& module : outdoor.modules()) {
    const Result<double> discharge = gauge_pressure(module.saturated_condensing);
    const Result<double> suction = gauge_pressure(module.saturated_evaporating);
    if (!discharge) return discharge.error();
    if (!suction) return suction.error();
    add_whole(text, *discharge + noise.around_zero(discharge_noise));
    add_whole(text, *suction + noise.around_zero(suction_noise));
    for (const double t : {module.discharge, module.suction, module.shell, module.coil}) {
      add(text, t + noise.around_zero(temperature_noise));
    }
    add_whole(text, module.frequency);
    add_whole(text, module.valve_opening());
    add_whole(text, module.fan_step());
    add_flag(text, module.defrosting);
    const double current = module.current();
    add(text, current > 0.0 ? current + noise.around_zero(0.1) : 0.0);
  }
  return text + "\n";
}

std::string indoor_row(int row, const IndoorSide& indoor, Noise& noise) {
  std::string text = time_text(row);
  for (const IndoorUnit& unit : indoor.units()) {
    add_flag(text, unit.on);
    add_flag(text, unit.calling);
    add(text, unit.set_point);
    add(text, unit.room + noise.around_zero(room_noise));
    add(text, unit.gas_pipe + noise.around_zero(temperature_noise));
    add(text, unit.liquid_pipe + noise.around_zero(temperature_noise));
    add_whole(text, unit.valve_opening);
  }
  return text + "\n";
}

}  // namespace cw::demo
