#include "fluid/saturation.h"

#include <cmath>
#include <string>

#include "base/text.h"
#include "fluid/detail/ancillary.h"
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

Error outside(const Model& model, const char* quantity, double value, double lowest, double highest,
              const char* unit) {
  return Error{ErrorCode::out_of_range,
               model.name + ": no saturation at " + quantity + " " + number_text(value, 8) + " " +
                   unit + "; the saturation line runs from " + number_text(lowest, 8) + " to " +
                   number_text(highest, 8) + " " + unit,
               "", ""};
}

Error lost(const Model& model, const char* quantity, double value, const char* unit) {
  return Error{ErrorCode::no_convergence,
               model.name + ": saturation not found at " + quantity + " " + number_text(value, 8) +
                   " " + unit,
               "", ""};
}

Result<Kelvin> temperature_on(const Model& model, Line line, double p) {
  const Curve& curve = curve_of(model, line);
  if (!(p >= curve.lowest() && p <= curve.highest())) {
    return outside(model, "pressure", p, curve.lowest(), curve.highest(), "Pa");
  }
  if (model.kind != FluidKind::pseudo_pure) {
    detail::Saturation at;
    if (!detail::saturation_at_pressure(model, p, at)) return lost(model, "pressure", p, "Pa");
    return Kelvin{line == Line::bubble ? at.T_bubble : at.T_dew};
  }
  const Ancillary& pressure = line == Line::bubble ? model.bubble_pressure : model.dew_pressure;
  return Kelvin{detail::ancillary_temperature(pressure, p, curve.inside(p),
                                              model.highest_saturation_temperature)};
}

Result<Pascal> pressure_on(const Model& model, Line line, double T) {
  if (!(T >= model.minimum_temperature && T <= model.highest_saturation_temperature)) {
    return outside(model, "temperature", T, model.minimum_temperature,
                   model.highest_saturation_temperature, "K");
  }
  if (model.kind != FluidKind::pseudo_pure) {
    detail::Saturation at;
    if (!detail::saturation_at_temperature(model, T, at)) return lost(model, "temperature", T, "K");
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
