#include "fluid/saturation.h"

#include <cmath>

#include "fluid/detail/ancillary.h"
#include "fluid/detail/flash_errors.h"
#include "fluid/detail/model.h"
#include "fluid/detail/saturation_solver.h"

namespace cw::fluid {
namespace {

using detail::Ancillary;
using detail::Curve;
using detail::Model;

enum class Line { bubble, dew };

const Curve& curve_of(const Model& model, Line line) {
  return line == Line::bubble ? model.bubble_temperature : model.dew_temperature;
}

Result<Kelvin> temperature_on(const Model& model, Line line, double p) {
  const Curve& curve = curve_of(model, line);
  if (!(p >= curve.lowest() && p <= curve.highest())) {
    return detail::no_saturation(model, "pressure", p, curve.lowest(), curve.highest(),
                                 Dimension::pressure);
  }
  if (model.kind != FluidKind::pseudo_pure) {
    detail::Saturation at;
    if (!detail::saturation_at_pressure(model, p, at))
      return detail::not_converged(model, "saturation");
    return Kelvin{line == Line::bubble ? at.T_bubble : at.T_dew};
  }
  const Ancillary& pressure = line == Line::bubble ? model.bubble_pressure : model.dew_pressure;
  return Kelvin{detail::ancillary_temperature(pressure, p, curve.inside(p),
                                              model.highest_saturation_temperature)};
}

Result<Pascal> pressure_on(const Model& model, Line line, double T) {
  if (!(T >= model.minimum_temperature && T <= model.highest_saturation_temperature)) {
    return detail::no_saturation(model, "temperature", T, model.minimum_temperature,
                                 model.highest_saturation_temperature, Dimension::temperature);
  }
  if (model.kind != FluidKind::pseudo_pure) {
    detail::Saturation at;
    if (!detail::saturation_at_temperature(model, T, at))
      return detail::not_converged(model, "saturation");
    return Pascal{line == Line::bubble ? at.p_bubble : at.p_dew};
  }
  const Ancillary& pressure = line == Line::bubble ? model.bubble_pressure : model.dew_pressure;
  return Pascal{pressure.at(T)};
}

}  // namespace

Result<Kelvin> bubble_temperature(const Refrigerant& refrigerant, Pascal p) {
  return temperature_on(refrigerant.model(), Line::bubble, p.value);
}
Result<Kelvin> dew_temperature(const Refrigerant& refrigerant, Pascal p) {
  return temperature_on(refrigerant.model(), Line::dew, p.value);
}
Result<Pascal> bubble_pressure(const Refrigerant& refrigerant, Kelvin t) {
  return pressure_on(refrigerant.model(), Line::bubble, t.value);
}
Result<Pascal> dew_pressure(const Refrigerant& refrigerant, Kelvin t) {
  return pressure_on(refrigerant.model(), Line::dew, t.value);
}
double bubble_temperature_or_nan(const Refrigerant& refrigerant, double p) noexcept {
  return refrigerant.model().bubble_temperature(p);
}
double dew_temperature_or_nan(const Refrigerant& refrigerant, double p) noexcept {
  return refrigerant.model().dew_temperature(p);
}

PressureRange saturation_range(const Refrigerant& refrigerant) noexcept {
  const Curve& curve = refrigerant.model().bubble_temperature;
  return {std::fmax(curve.lowest(), refrigerant.model().dew_temperature.lowest()), curve.highest()};
}

}  // namespace cw::fluid
