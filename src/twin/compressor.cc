#include "twin/compressor.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "fluid/saturation.h"
#include "fluid/state.h"
#include "twin/smooth.h"

namespace cw::twin {
namespace {

constexpr double least_pressure = 1e3;  // [Pa]
constexpr double slowest = 0.05;        // [rev/s] below it leak and power fade with the speed
constexpr double ratio_corner = 0.05;   // rounding of PR at 1

/// Exponent k of the isentrope from saturated vapour at 5 degC plus 8 K to the dew pressure at 45
/// degC.
Result<double> isentropic_exponent(const fluid::Refrigerant& refrigerant) {
  const auto low = fluid::dew_pressure(refrigerant, from_celsius(5.0));
  const auto high = fluid::dew_pressure(refrigerant, from_celsius(45.0));
  if (!low) return low.error();
  if (!high) return high.error();
  const auto in = fluid::state_at(refrigerant, from_celsius(13.0), *low);
  if (!in) return in.error();
  const auto out = fluid::state_from(refrigerant, fluid::InputPair::p_s, high->value, in->s);
  if (!out) return out.error();
  return std::log(high->value / low->value) / std::log(out->rho / in->rho);
}

Status within(double value, double lowest, double highest, const char* name) {
  if (value >= lowest && value <= highest) return Done{};
  return Error{ErrorCode::out_of_range,
               std::string("compressor ") + name + " " + number_text(value) + " is not between " +
                   number_text(lowest) + " and " + number_text(highest),
               "", "Correct the compressor's parameters"};
}

}  // namespace

Result<Compressor> make_efficiency_compressor(const fluid::Refrigerant& refrigerant,
                                              EfficiencyParameters parameters) {
  if (parameters.isentropic_exponent == 0.0) {
    const auto k = isentropic_exponent(refrigerant);
    if (!k) return k.error();
    parameters.isentropic_exponent = *k;
  }
  for (const Status& status :
       {within(parameters.displacement, 1e-7, 1e-2, "displacement [m3]"),
        within(parameters.rated_speed, 1.0, 500.0, "rated speed [rev/s]"),
        within(parameters.volumetric, 0.3, 1.2, "volumetric efficiency"),
        within(parameters.leak, 0.0, 0.5, "leak"),
        within(parameters.volume_ratio, 1.0, 6.0, "volume ratio"),
        within(parameters.shaft_efficiency, 0.2, 1.0, "shaft efficiency"),
        within(parameters.friction_pressure, 0.0, 1e6, "friction pressure [Pa]"),
        within(parameters.isentropic_exponent, 1.01, 1.7, "isentropic exponent")}) {
    if (!status) return status.error();
  }
  Compressor compressor;
  compressor.form_ = parameters;
  return compressor;
}

CompressorFlow Compressor::flow_by_efficiency(const EfficiencyParameters& c,
                                              const CompressorInlet& inlet,
                                              const CompressorWear& wear) const noexcept {
  const double n = std::fmax(inlet.speed, 0.0);
  const double ps = std::fmax(inlet.p_suction, least_pressure);
  const double pd = std::fmax(inlet.p_discharge, least_pressure);
  const double rho = std::fmax(inlet.rho_suction, 0.0);
  // PR rounded at 1: against the pressure it works as at 1.
  const Joined over = soft_positive(pd / ps - 1.0, ratio_corner);
  const double PR = 1.0 + over.value;
  const double PR_by_pd = over.slope / ps;
  const double PR_by_ps = -over.slope * pd / (ps * ps);

  const double lag = std::sqrt(c.rated_speed / (n + slowest));
  const double per_ratio = 0.5 * (c.leak + std::fmax(wear.leak, 0.0)) * lag / c.volumetric;
  const double swept = n * c.displacement;
  CompressorFlow out;
  out.m_dot = swept * rho * c.volumetric * std::exp(-per_ratio * over.value);
  out.dm_dps = -out.m_dot * per_ratio * PR_by_ps;
  out.dm_dpd = -out.m_dot * per_ratio * PR_by_pd;

  const double k = c.isentropic_exponent;
  const double inner = std::exp((k - 1.0) * std::log(c.volume_ratio)) / k;
  const double work = PR / c.volume_ratio + k / (k - 1.0) * (inner - 1.0);
  const double worn = (1.0 + std::fmax(wear.loss, 0.0)) * swept;
  const double speed_ratio = n / c.rated_speed;
  const double friction = c.friction_pressure * 0.5 * (1.0 + speed_ratio * speed_ratio);
  const double per_shaft = worn / c.shaft_efficiency;
  out.power = per_shaft * ps * work + worn * friction;
  out.dW_dps = per_shaft * (work + ps * PR_by_ps / c.volume_ratio);
  out.dW_dpd = per_shaft * ps * PR_by_pd / c.volume_ratio;
  return out;
}

CompressorFlow Compressor::flow(const CompressorInlet& inlet,
                                const CompressorWear& wear) const noexcept {
  if (const auto* form = std::get_if<EfficiencyParameters>(&form_)) {
    return flow_by_efficiency(*form, inlet, wear);
  }
  return flow_by_map(*std::get_if<Mapped>(&form_), inlet, wear);
}

double displacement_for(double m_dot, const CompressorInlet& inlet,
                        const EfficiencyParameters& parameters) noexcept {
  const double over =
      std::fmax(inlet.p_discharge / std::fmax(inlet.p_suction, least_pressure) - 1.0, 0.0);
  const double n = std::fmax(inlet.speed, 1e-3);
  const double lag = std::sqrt(parameters.rated_speed / (n + slowest));
  const double eta =
      parameters.volumetric * std::exp(-0.5 * parameters.leak * lag * over / parameters.volumetric);
  return m_dot / (n * std::fmax(inlet.rho_suction, 1e-3) * eta);
}

}  // namespace cw::twin
