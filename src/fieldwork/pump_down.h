#pragma once

#include <string>
#include <vector>

#include "base/result.h"

/// Pumping air out through hoses and valve cores.
namespace cw::field {

/// A round passage between system and pump: a hose, a valve core, a manifold.
struct FlowElement {
  std::string name;     ///< "hose", "valve core"
  double bore = 0.0;    ///< inner diameter [m]
  double length = 0.0;  ///< [m]
  int parallel = 1;     ///< so many side by side
};

/// Conductance for air at 20 degC [m3/s]: molecular 12.1 D^3/L and viscous 135 D^4 p/L in cm, mbar
/// and L/s (facts D). Their sum is taken for all pressures; in between, the transition, it is at
/// most 20 % high (Knudsen 1909).
struct Conductance {
  double molecular = 0.0;           ///< [m3/s]
  double viscous_per_pascal = 0.0;  ///< times the mean pressure [m3/(s Pa)]
  double at(double mean_pressure) const noexcept {
    return molecular + viscous_per_pascal * mean_pressure;
  }
};
Conductance conductance_of(const FlowElement& element) noexcept;

/// "viscous", "transitional", "molecular" by mean pressure times bore: above 0.6 mbar cm, between,
/// below 0.013 mbar cm (from memory: vacuum technology handbooks).
std::string_view regime_of(double mean_pressure, double bore) noexcept;

struct PumpLine {
  double speed = 0.0;                 ///< of the pump at its inlet, free air displacement [m3/s]
  double ultimate = 0.0;              ///< pressure at which the pump moves nothing [Pa]
  std::vector<FlowElement> elements;  ///< from the system to the pump
};

/// The line at one pressure of the system.
struct LineState {
  double pressure = 0.0;         ///< of the system [Pa]
  double inlet = 0.0;            ///< at the pump [Pa]
  double throughput = 0.0;       ///< [Pa m3/s]
  double effective_speed = 0.0;  ///< at the system: throughput over pressure [m3/s]
  std::vector<double> drops;     ///< pressure drop of each element [Pa]
  std::size_t throttle = 0;      ///< element with the largest drop; elements.size() for the pump
};

/// Solves Q = S (p_in - p_ult) = sum of laminar and molecular flow of each element.
LineState line_at(const PumpLine& line, double pressure) noexcept;

struct PumpDown {
  double seconds = 0.0;    ///< infinite when the target is below the ultimate pressure
  double ultimate = 0.0;   ///< pressure that the line ends at with this gas load [Pa]
  double ideal = 0.0;      ///< (V/S) ln(p0/p1) with the pump's own speed: a lower bound [s]
  double at_target = 0.0;  ///< (V/S_eff) ln(p0/p1) with the speed at the target: an upper bound [s]
  LineState target;
};

/// Time from `start` to `target`: integral of V dp/(Q(p) - load), in steps of ln p.
/// @param volume  [m3]; @param load  leak and outgassing [Pa m3/s]
/// @error inconsistent  target not below start; invalid_argument  no speed or no volume
Result<PumpDown> pump_down(const PumpLine& line, double volume, double start, double target,
                           double load);

/// (V/S) ln(p0/p1) [s].
double ideal_pump_down(double volume, double speed, double start, double target) noexcept;

}  // namespace cw::field
