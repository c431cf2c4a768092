#include "diagnose/cause_kinds.h"

#include <algorithm>

namespace cw::diagnose {
namespace {

using D = Dimension;
using P = CausePlace;
using At = const CauseSite&;

template <const char* place, const char* quantity>
void sensor(At at, double s, Setting& to) {
  to.faults.sensors.push_back(
      {std::string(place) + "." + std::to_string(at.index + 1) + "." + quantity, s});
}

constexpr char outdoor[] = "outdoor";
constexpr char indoor[] = "indoor";
constexpr char discharge_pressure[] = "discharge_pressure";
constexpr char suction_pressure[] = "suction_pressure";
constexpr char discharge_temperature[] = "discharge_temperature";
constexpr char suction_temperature[] = "suction_temperature";
constexpr char shell_temperature[] = "shell_temperature";
constexpr char coil_temperature[] = "coil_temperature";
constexpr char gas_pipe_temperature[] = "gas_pipe_temperature";
constexpr char liquid_pipe_temperature[] = "liquid_pipe_temperature";

CauseKind row(std::string_view id, P place, bool heating, bool cooling, D severity,
              std::vector<double> knots, void (*apply)(At, double, Setting&)) {
  CauseKind out;
  out.id = id;
  out.place = place;
  out.heating = heating;
  out.cooling = cooling;
  out.severity = severity;
  out.knots = std::move(knots);
  out.apply = apply;
  return out;
}

CauseKind sensor_row(std::string_view id, P place, bool acts_heating, bool acts_cooling,
                     D dimension, double size, void (*apply)(At, double, Setting&)) {
  CauseKind out =
      row(id, place, true, true, dimension, {-3.0 * size, -size, size, 3.0 * size}, apply);
  out.acts_heating = acts_heating;
  out.acts_cooling = acts_cooling;
  return out;
}

void less_charge(At at, double s, Setting& to) { to.charge_kg -= s * at.charge_kg; }
void less_air(At at, double s, Setting& to) { to.faults.modules[at.index].coil_blocked = s; }

/// The severities at which the twin is asked; between them it is interpolated. Own choice.
std::vector<CauseKind> make_kinds() {
  std::vector<CauseKind> k;
  k.push_back(
      row("undercharge", P::system, true, true, D::ratio, {0.12, 0.22, 0.32, 0.42}, less_charge));
  k.back().sound_too = true;
  k.push_back(row("leak", P::system, true, true, D::ratio, {0.12, 0.22, 0.32, 0.42}, less_charge));
  k.back().grows = true;
  k.push_back(row("overcharge", P::system, true, true, D::ratio, {0.15, 0.3, 0.5},
                  [](At at, double s, Setting& to) { to.charge_kg += s * at.charge_kg; }));
  k.back().sound_too = true;
  k.push_back(row("non-condensables", P::system, true, true, D::ratio, {5e-4, 1.5e-3, 4e-3},
                  [](At at, double s, Setting& to) {
                    // Nitrogen, 28.0134 g/mol (IUPAC standard atomic weights, from memory).
                    to.faults.non_condensables_mol += s * at.charge_kg / 0.0280134;
                  }));
  k.push_back(
      row("outdoor-airflow", P::module, true, true, D::ratio, {0.2, 0.4, 0.6, 0.8}, less_air));
  k.back().sound_too = true;
  k.push_back(row("frost-stays", P::module, true, false, D::ratio, {0.2, 0.4, 0.6, 0.8}, less_air));
  k.back().grows = true;
  k.back().least = 0.35;  // Any coil loses a third of its air before it defrosts (own estimate)
  k.push_back(row(
      "reversing-valve-leak", P::module, true, true, D::ratio, {0.04, 0.1, 0.2},
      [](At at, double s, Setting& to) { to.faults.modules[at.index].reversing_valve_leak = s; }));
  k.push_back(row("compressor-leak", P::module, true, true, D::ratio, {0.08, 0.2, 0.4},
                  [](At at, double s, Setting& to) { to.faults.modules[at.index].wear.leak = s; }));
  k.push_back(row("compressor-friction", P::module, true, true, D::ratio, {0.1, 0.25, 0.5},
                  [](At at, double s, Setting& to) { to.faults.modules[at.index].wear.loss = s; }));
  k.push_back(row("outdoor-valve-closed", P::module, true, false, D::ratio, {0.2, 0.4, 0.6, 0.75},
                  [](At at, double s, Setting& to) {
                    to.faults.modules[at.index].valve_stuck = at.opening * (1.0 - s);
                  }));
  k.push_back(row("outdoor-valve-open", P::module, true, false, D::ratio, {0.3, 0.8, 2.0, 5.0},
                  [](At at, double s, Setting& to) {
                    to.faults.modules[at.index].valve_stuck = std::min(at.opening * (1.0 + s), 1.0);
                  }));
  k.push_back(row("indoor-valve-closed", P::calling_unit, true, true, D::ratio,
                  {0.4, 0.7, 0.9, 0.97}, [](At at, double s, Setting& to) {
                    to.faults.units[at.index].valve_stuck = at.opening * (1.0 - s);
                  }));
  k.push_back(row("indoor-valve-open", P::calling_unit, true, true, D::ratio, {0.6, 1.5, 4.0, 9.0},
                  [](At at, double s, Setting& to) {
                    to.faults.units[at.index].valve_stuck = std::min(at.opening * (1.0 + s), 1.0);
                  }));
  k.push_back(row("indoor-valve-leak", P::stopped_unit, false, true, D::ratio, {0.02, 0.06, 0.15},
                  [](At at, double s, Setting& to) { to.faults.units[at.index].valve_leak = s; }));
  k.push_back(
      row("filter", P::calling_unit, true, true, D::ratio, {0.3, 0.55, 0.8},
          [](At at, double s, Setting& to) { to.faults.units[at.index].filter_blocked = s; }));
  k.push_back(sensor_row("sensor-discharge-pressure", P::module, true, true, D::pressure_difference,
                         80e3, sensor<outdoor, discharge_pressure>));
  k.push_back(sensor_row("sensor-suction-pressure", P::module, true, true, D::pressure_difference,
                         40e3, sensor<outdoor, suction_pressure>));
  k.push_back(sensor_row("sensor-discharge-temperature", P::module, false, false,
                         D::temperature_difference, 4.0, sensor<outdoor, discharge_temperature>));
  k.push_back(sensor_row("sensor-suction-temperature", P::module, true, false,
                         D::temperature_difference, 3.0, sensor<outdoor, suction_temperature>));
  k.push_back(sensor_row("sensor-shell-temperature", P::module, false, false,
                         D::temperature_difference, 5.0, sensor<outdoor, shell_temperature>));
  k.push_back(sensor_row("sensor-coil-temperature", P::module, false, false,
                         D::temperature_difference, 3.0, sensor<outdoor, coil_temperature>));
  k.push_back(sensor_row("sensor-gas-pipe", P::calling_unit, false, true, D::temperature_difference,
                         3.0, sensor<indoor, gas_pipe_temperature>));
  k.push_back(sensor_row("sensor-liquid-pipe", P::calling_unit, true, false,
                         D::temperature_difference, 3.0, sensor<indoor, liquid_pipe_temperature>));
  k.push_back(sensor_row("sensor-outdoor-temperature", P::system, true, true,
                         D::temperature_difference, 3.0, [](At, double s, Setting& to) {
                           // What was read is warmer than the air by the offset.
                           to.weather.temperature_K -= s;
                         }));
  return k;
}

}  // namespace

std::span<const CauseKind> cause_kinds() {
  static const std::vector<CauseKind> kinds = make_kinds();
  return kinds;
}

const CauseKind* find_cause_kind(std::string_view id) {
  for (const CauseKind& kind : cause_kinds()) {
    if (kind.id == id) return &kind;
  }
  return nullptr;
}

}  // namespace cw::diagnose
