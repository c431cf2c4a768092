#include "fieldwork/pump_down.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cw::field {
namespace {

/// Pressure before an element that carries `throughput` to the pressure behind it:
/// K/2 (p^2 - d^2) + C (p - d) = Q.
double upstream(const Conductance& c, double throughput, double downstream) noexcept {
  const double half = 0.5 * c.viscous_per_pascal;
  const double right = half * downstream * downstream + c.molecular * downstream + throughput;
  return 2.0 * right / (c.molecular + std::sqrt(c.molecular * c.molecular + 4.0 * half * right));
}

/// System pressure that drives a pump inlet pressure through the line; fills the drops.
double system_pressure(const PumpLine& line, double inlet, std::vector<double>* drops) {
  const double throughput = line.speed * (inlet - line.ultimate);
  double p = inlet;
  for (std::size_t i = line.elements.size(); i-- > 0;) {
    const double before = upstream(conductance_of(line.elements[i]), throughput, p);
    if (drops != nullptr) (*drops)[i] = before - p;
    p = before;
  }
  return p;
}

}  // namespace

Conductance conductance_of(const FlowElement& element) noexcept {
  const double d_cm = element.bore * 100.0;
  const double l_cm = element.length * 100.0;
  Conductance out;
  out.molecular = 12.1 * d_cm * d_cm * d_cm / l_cm * 1e-3 * element.parallel;
  // 135 D^4 p/L with p in mbar: 1 Pa is 0.01 mbar.
  out.viscous_per_pascal = 135.0 * std::pow(d_cm, 4) * 0.01 / l_cm * 1e-3 * element.parallel;
  return out;
}

std::string_view regime_of(double mean_pressure, double bore) noexcept {
  const double mbar_cm = mean_pressure * 0.01 * bore * 100.0;
  if (mbar_cm > 0.6) return "viscous";
  return mbar_cm < 0.013 ? "molecular" : "transitional";
}

LineState line_at(const PumpLine& line, double pressure) noexcept {
  LineState out;
  out.pressure = pressure;
  out.drops.assign(line.elements.size(), 0.0);
  double low = std::min(line.ultimate, pressure);
  double high = pressure;
  for (int i = 0; i < 80; ++i) {
    const double middle = 0.5 * (low + high);
    (system_pressure(line, middle, nullptr) < pressure ? low : high) = middle;
  }
  out.inlet = 0.5 * (low + high);
  system_pressure(line, out.inlet, &out.drops);
  out.throughput = std::max(0.0, line.speed * (out.inlet - line.ultimate));
  out.effective_speed = out.throughput / pressure;
  out.throttle = line.elements.size();
  // Where the pump sees more than half of the system's pressure, the pump is what limits.
  if (out.inlet < 0.5 * pressure) {
    out.throttle = static_cast<std::size_t>(std::max_element(out.drops.begin(), out.drops.end()) -
                                            out.drops.begin());
  }
  return out;
}

double ideal_pump_down(double volume, double speed, double start, double target) noexcept {
  return volume / speed * std::log(start / target);
}

Result<PumpDown> pump_down(const PumpLine& line, double volume, double start, double target,
                           double load) {
  if (!(volume > 0.0) || !(line.speed > 0.0)) {
    return Error{ErrorCode::invalid_argument, "a pump-down needs a volume and a pump", "--volume",
                 "Give both, for example 60L and 142L/min"};
  }
  if (!(target < start) || !(target > 0.0)) {
    return Error{ErrorCode::inconsistent, "the target is not below the starting pressure",
                 "--target", "Give for example 500um"};
  }
  PumpDown out;
  out.target = line_at(line, target);
  out.ideal = ideal_pump_down(volume, line.speed, start, target);
  out.at_target = out.target.effective_speed > 0.0
                      ? ideal_pump_down(volume, out.target.effective_speed, start, target)
                      : std::numeric_limits<double>::infinity();
  double low = line.ultimate * 0.5 + 1e-9;
  double high = start;
  for (int i = 0; i < 80; ++i) {
    const double middle = std::sqrt(low * high);
    (line_at(line, middle).throughput > load ? high : low) = middle;
  }
  out.ultimate = high;
  if (out.ultimate >= target) {
    out.seconds = std::numeric_limits<double>::infinity();
    return out;
  }
  constexpr int steps = 240;
  const double width = std::log(start / target) / steps;
  for (int i = 0; i < steps; ++i) {  // midpoint rule in ln p
    const double p = target * std::exp(width * (i + 0.5));
    out.seconds += width * volume * p / (line_at(line, p).throughput - load);
  }
  return out;
}

}  // namespace cw::field
