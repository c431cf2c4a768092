#include "base/dimension.h"

#include <array>

namespace cw {
namespace {

struct Row {
  Dimension dimension;
  std::string_view name;
  std::string_view si;
};

constexpr std::array rows = {
    Row{Dimension::temperature, "temperature", "K"},
    Row{Dimension::temperature_difference, "temperature_difference", "K"},
    Row{Dimension::pressure, "pressure", "Pa"},
    Row{Dimension::pressure_difference, "pressure_difference", "Pa"},
    Row{Dimension::frequency, "frequency", "Hz"},
    Row{Dimension::ratio, "ratio", "1"},
    Row{Dimension::count, "count", "1"},
    Row{Dimension::flag, "flag", "1"},
    Row{Dimension::state, "state", "1"},
    Row{Dimension::power, "power", "W"},
    Row{Dimension::energy, "energy", "J"},
    Row{Dimension::current, "current", "A"},
    Row{Dimension::voltage, "voltage", "V"},
    Row{Dimension::mass, "mass", "kg"},
    Row{Dimension::mass_flow, "mass_flow", "kg/s"},
    Row{Dimension::volume, "volume", "m3"},
    Row{Dimension::volume_flow, "volume_flow", "m3/s"},
    Row{Dimension::length, "length", "m"},
    Row{Dimension::area, "area", "m2"},
    Row{Dimension::time, "time", "s"},
    Row{Dimension::density, "density", "kg/m3"},
    Row{Dimension::specific_volume, "specific_volume", "m3/kg"},
    Row{Dimension::specific_energy, "specific_energy", "J/kg"},
    Row{Dimension::specific_entropy, "specific_entropy", "J/(kg K)"},
    Row{Dimension::speed, "speed", "m/s"},
    Row{Dimension::linear_density, "linear_density", "kg/m"},
    Row{Dimension::leak_flow, "leak_flow", "Pa m3/s"},
};

}  // namespace

std::string_view si_symbol(Dimension dimension) noexcept {
  for (const Row& row : rows) {
    if (row.dimension == dimension) return row.si;
  }
  return "1";
}

std::string_view name_of(Dimension dimension) noexcept {
  for (const Row& row : rows) {
    if (row.dimension == dimension) return row.name;
  }
  return "unknown";
}

std::optional<Dimension> dimension_named(std::string_view name) noexcept {
  for (const Row& row : rows) {
    if (row.name == name) return row.dimension;
  }
  return std::nullopt;
}

}  // namespace cw
