#include "scenario/fault_kinds.h"

#include <algorithm>
#include <array>

namespace cw::scenario {
namespace {

/// Nitrogen, M = 28.0134 g/mol (IUPAC standard atomic weights, from memory).
constexpr double nitrogen_kg_per_mol = 0.0280134;

using twin::Faults;
using D = Dimension;

void add(double& share, double severity, double most) { share = std::min(share + severity, most); }

void leak(const FaultTarget&, double s, Faults& f) { f.leak_kg_per_s += s; }
void gas(const FaultTarget&, double s, Faults& f) {
  f.non_condensables_mol += s / nitrogen_kg_per_mol;
}
void blocked(const FaultTarget& t, double s, Faults& f) {
  add(f.modules[t.index].coil_blocked, s, 0.95);
}
void fan_lost(const FaultTarget& t, double s, Faults& f) {
  add(f.modules[t.index].fan_lost, s, 1.0);
}
void reversing(const FaultTarget& t, double s, Faults& f) {
  add(f.modules[t.index].reversing_valve_leak, s, 0.3);
}
void wear_leak(const FaultTarget& t, double s, Faults& f) {
  add(f.modules[t.index].wear.leak, s, 0.5);
}
void wear_loss(const FaultTarget& t, double s, Faults& f) {
  add(f.modules[t.index].wear.loss, s, 1.0);
}
void undersized(const FaultTarget& t, double s, Faults& f) {
  add(f.modules[t.index].undersized, s, 0.8);
}
void no_defrost(const FaultTarget& t, double, Faults& f) {
  f.modules[t.index].defrost_sensor_failed = true;
}
void stuck(const FaultTarget& t, double s, Faults& f) {
  if (t.place == FaultPlace::module) {
    f.modules[t.index].valve_stuck = s;
  } else {
    f.units[t.index].valve_stuck = s;
  }
}
void filter(const FaultTarget& t, double s, Faults& f) {
  add(f.units[t.index].filter_blocked, s, 0.95);
}
void valve_leak(const FaultTarget& t, double s, Faults& f) {
  add(f.units[t.index].valve_leak, s, 0.3);
}
void sensor(const FaultTarget& t, double s, Faults& f) {
  for (twin::SensorFault& fault : f.sensors) {
    if (fault.channel != t.channel) continue;
    fault.offset += s;
    return;
  }
  f.sensors.push_back({t.channel, s});
}

constexpr double kg_per_h = 1.0 / 3600.0;

// A new fault: one line here. The ranges are those of the twin.
constexpr std::array kinds = {
    FaultKind{"leak", "refrigerant escapes from the liquid line", FaultPlace::system, D::mass_flow,
              1e-6 * kg_per_h, 60.0 * kg_per_h, "0.5 kg/h", 0.0, true, leak},
    FaultKind{"undercharge", "refrigerant is missing, from the beginning or taken out at `from`",
              FaultPlace::system, D::mass, 1e-3, 500.0, "6 kg", -1.0, false, nullptr},
    FaultKind{"overcharge", "refrigerant too much, from the beginning or put in at `from`",
              FaultPlace::system, D::mass, 1e-3, 500.0, "6 kg", +1.0, false, nullptr},
    FaultKind{"non_condensables", "nitrogen or air in the high side, as mass of nitrogen",
              FaultPlace::system, D::mass, 1e-6, 1.0, "20 g", 0.0, true, gas},
    FaultKind{"outdoor_coil_blocked", "share of the outdoor coil's airflow that is lost",
              FaultPlace::module, D::ratio, 0.0, 0.95, "40 %", 0.0, true, blocked},
    FaultKind{"fan_lost", "share of the outdoor fan's speed that is lost", FaultPlace::module,
              D::ratio, 0.0, 1.0, "100 %", 0.0, true, fan_lost},
    FaultKind{"reversing_valve_leak", "hot gas past the slide, share of the rated flow",
              FaultPlace::module, D::ratio, 0.0, 0.3, "8 %", 0.0, true, reversing},
    FaultKind{"compressor_leak", "internal leak of a worn compressor, share of the ideal flow",
              FaultPlace::module, D::ratio, 0.0, 0.5, "15 %", 0.0, true, wear_leak},
    FaultKind{"compressor_friction", "extra power of a worn compressor", FaultPlace::module,
              D::ratio, 0.0, 1.0, "20 %", 0.0, true, wear_loss},
    FaultKind{"undersized", "the module is by this share smaller than its sheet says",
              FaultPlace::module, D::ratio, 0.0, 0.8, "30 %", 0.0, true, undersized},
    FaultKind{"defrost_sensor_failed", "its coil sensor feels the air: it never asks for a defrost",
              FaultPlace::module, std::nullopt, 0.0, 0.0, "", 0.0, false, no_defrost},
    FaultKind{"valve_stuck", "an expansion valve stands still at this opening",
              FaultPlace::module_or_unit, D::ratio, 0.0, 1.0, "3 %", 0.0, false, stuck},
    FaultKind{"valve_leak", "a shut indoor valve lets this opening through", FaultPlace::unit,
              D::ratio, 0.0, 0.3, "5 %", 0.0, true, valve_leak},
    FaultKind{"filter_blocked", "share of an indoor unit's airflow that is lost", FaultPlace::unit,
              D::ratio, 0.0, 0.95, "50 %", 0.0, true, filter},
    FaultKind{"sensor_bias", "a sensor reads wrong by this much; with a ramp it drifts there",
              FaultPlace::channel, std::nullopt, 0.0, 0.0, "-2 K", 0.0, true, sensor},
};

}  // namespace

std::span<const FaultKind> fault_kinds() { return kinds; }

const FaultKind* find_fault_kind(std::string_view name) {
  const auto* found = std::find_if(kinds.begin(), kinds.end(),
                                   [&](const FaultKind& kind) { return kind.name == name; });
  return found == kinds.end() ? nullptr : found;
}

double FaultEvent::at(double time_s) const noexcept {
  if (!is_on(time_s)) return 0.0;
  if (ramp_s <= 0.0) return severity;
  return severity * std::min(1.0, (time_s - from_s) / ramp_s);
}

void faults_at(std::span<const FaultEvent> events, const System& system, double time_s,
               twin::Faults& out) {
  out.modules.assign(system.outdoor().size(), {});
  out.units.assign(system.indoor().size(), {});
  out.leak_kg_per_s = 0.0;
  out.non_condensables_mol = 0.0;
  out.sensors.clear();
  for (const FaultEvent& event : events) {
    if (event.kind->apply == nullptr || !event.is_on(time_s)) continue;
    event.kind->apply(event.target, event.at(time_s), out);
  }
}

}  // namespace cw::scenario
