#include "scenario/channels.h"

#include <array>
#include <cmath>

#include "base/contract.h"

namespace cw::scenario {
namespace {

using twin::ModuleReadings;
using twin::Readings;
using twin::UnitReadings;

enum class Kind {
  measured,
  used,
  known
};  // measured only; used by the controls, too; not measured

template <class Part>
struct Row {
  std::string_view quantity;
  Kind kind;
  double (*read)(const Part&);
};

double number_of(bool flag) { return flag ? 1.0 : 0.0; }
double steps_of(double share) { return std::round(share * fan_steps); }

// A new channel of a module or unit: one line.
constexpr std::array module_rows = {
    Row<ModuleReadings>{"discharge_pressure", Kind::used,
                        [](const ModuleReadings& m) { return m.discharge_pressure; }},
    Row<ModuleReadings>{"suction_pressure", Kind::used,
                        [](const ModuleReadings& m) { return m.suction_pressure; }},
    Row<ModuleReadings>{"discharge_temperature", Kind::used,
                        [](const ModuleReadings& m) { return m.discharge_temperature; }},
    Row<ModuleReadings>{"suction_temperature", Kind::used,
                        [](const ModuleReadings& m) { return m.suction_temperature; }},
    Row<ModuleReadings>{"shell_temperature", Kind::used,
                        [](const ModuleReadings& m) { return m.shell_temperature; }},
    Row<ModuleReadings>{"coil_temperature", Kind::used,
                        [](const ModuleReadings& m) { return m.coil_temperature; }},
    Row<ModuleReadings>{"compressor_frequency", Kind::known,
                        [](const ModuleReadings& m) { return m.compressor_frequency; }},
    Row<ModuleReadings>{"valve_opening", Kind::known,
                        [](const ModuleReadings& m) { return m.valve_opening; }},
    Row<ModuleReadings>{"fan_step", Kind::known,
                        [](const ModuleReadings& m) { return steps_of(m.fan_speed); }},
    Row<ModuleReadings>{"defrost", Kind::known,
                        [](const ModuleReadings& m) { return number_of(m.defrosting); }},
    Row<ModuleReadings>{"power", Kind::measured, [](const ModuleReadings& m) { return m.power; }},
};

constexpr std::array unit_rows = {
    Row<UnitReadings>{"unit_on", Kind::known,
                      [](const UnitReadings& u) { return number_of(u.on); }},
    Row<UnitReadings>{"call", Kind::known,
                      [](const UnitReadings& u) { return number_of(u.calling); }},
    Row<UnitReadings>{"set_point", Kind::known, [](const UnitReadings& u) { return u.set_point; }},
    Row<UnitReadings>{"controlled_temperature", Kind::used,
                      [](const UnitReadings& u) { return u.controlled_temperature; }},
    Row<UnitReadings>{"gas_pipe_temperature", Kind::used,
                      [](const UnitReadings& u) { return u.gas_pipe_temperature; }},
    Row<UnitReadings>{"liquid_pipe_temperature", Kind::used,
                      [](const UnitReadings& u) { return u.liquid_pipe_temperature; }},
    Row<UnitReadings>{"supply_air_temperature", Kind::measured,
                      [](const UnitReadings& u) { return u.supply_air_temperature; }},
    Row<UnitReadings>{"valve_opening", Kind::known,
                      [](const UnitReadings& u) { return u.valve_opening; }},
    Row<UnitReadings>{"fan_step", Kind::known,
                      [](const UnitReadings& u) { return steps_of(u.fan_speed); }},
};

const Quantity* quantity(std::string_view name) {
  const Quantity* found = find_quantity(name);
  CW_REQUIRE(found != nullptr);
  return found;
}

/// The word of quantity "mode" for what the machine does.
std::string_view mode_word(const Moment& now) {
  switch (now.readings->activity) {
    case twin::Activity::off:
      return "off";
    case twin::Activity::starting:
      return "starting";
    case twin::Activity::defrosting:
      return "defrost";
    case twin::Activity::oil_return:
      return "oil_return";
    case twin::Activity::running:
      break;
  }
  return now.plant == twin::Plant::cooling ? "cooling" : "heating";
}

ChannelSource source(const std::string& place, const std::string& twin_place, std::string_view name,
                     Kind kind, std::function<double(const Moment&)> read) {
  ChannelSource out;
  out.quantity = quantity(name);
  out.name = place + "." + std::string(name);
  out.twin_name = twin_place + "." + std::string(name);
  out.measured = kind != Kind::known;
  out.controls_use_it = kind == Kind::used;
  out.read = std::move(read);
  return out;
}

void add_site(const System& system, std::vector<ChannelSource>& out) {
  out.push_back(source("site", "site", "outdoor_temperature", Kind::used,
                       [](const Moment& now) { return now.readings->outdoor_temperature; }));
  out.push_back(source("site", "site", "outdoor_humidity", Kind::measured,
                       [](const Moment& now) { return now.weather.relative_humidity; }));
  if (system.heat_recovery()) return;
  const Quantity* mode = quantity("mode");
  out.push_back(source("system", "system", "mode", Kind::known, [mode](const Moment& now) {
    return static_cast<double>(mode->number_of(mode_word(now)).value_or(0));
  }));
}

}  // namespace

std::vector<ChannelSource> channels_of(const System& system) {
  std::vector<ChannelSource> out;
  add_site(system, out);
  for (std::size_t j = 0; j < system.outdoor().size(); ++j) {
    for (const Row<ModuleReadings>& row : module_rows) {
      out.push_back(source(
          system.outdoor()[j].id, "outdoor." + std::to_string(j + 1), row.quantity, row.kind,
          [j, read = row.read](const Moment& now) { return read(now.readings->modules[j]); }));
    }
  }
  for (std::size_t i = 0; i < system.indoor().size(); ++i) {
    const auto add = [&](std::string_view name, Kind kind, double (*read)(const UnitReadings&)) {
      out.push_back(source(system.indoor()[i].id, "indoor." + std::to_string(i + 1), name, kind,
                           [i, read](const Moment& now) { return read(now.readings->units[i]); }));
    };
    for (const Row<UnitReadings>& row : unit_rows) add(row.quantity, row.kind, row.read);
    if (!system.heat_recovery()) continue;
    add("cooling_call", Kind::known,
        [](const UnitReadings& u) { return number_of(u.calling && u.cooling); });
  }
  return out;
}

bool matches(std::string_view pattern, std::string_view name) noexcept {
  // Greedy with one way back: the last star may take one character more.
  std::size_t p = 0;
  std::size_t n = 0;
  std::size_t star = std::string_view::npos;
  std::size_t taken = 0;
  while (n < name.size()) {
    if (p < pattern.size() && pattern[p] == '*') {
      star = p++;
      taken = n;
    } else if (p < pattern.size() && pattern[p] == name[n]) {
      ++p;
      ++n;
    } else if (star != std::string_view::npos) {
      p = star + 1;
      n = ++taken;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == '*') ++p;
  return p == pattern.size();
}

}  // namespace cw::scenario
