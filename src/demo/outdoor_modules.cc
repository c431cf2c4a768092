#include "demo/outdoor_modules.h"

#include "demo/lag.h"

namespace cw::demo {
namespace {

constexpr double highest_frequency = 95.0;  // [Hz]

bool is_running(double minute) { return minute >= switched_on; }

/// The coil of a defrosting module: up to 0 degC, a plateau while the frost melts, then up to
/// 12 degC, where the defrost ends.
double melting_coil(double before, double share_of_defrost) {
  if (share_of_defrost < 0.2) return before + (0.0 - before) * share_of_defrost / 0.2;
  if (share_of_defrost < 0.65) return 1.5 * (share_of_defrost - 0.2) / 0.45;
  return 1.5 + 10.7 * (share_of_defrost - 0.65) / 0.35;
}

double wanted_frequency(const OutdoorModule& module, bool any_defrost, double load,
                        double outdoor) {
  if (module.defrosting) return 70.0;
  if (any_defrost) return highest_frequency;
  // Cold suction gas is thin: the same heat needs more revolutions.
  const double cold = clamped(-5.0 - outdoor, 0.0, 20.0);
  const double missing = clamped(condensing_target_degC - 1.0 - module.saturated_condensing, 0, 10);
  return clamped((20.0 + 75.0 * load) * (1.0 + 0.014 * cold) + 4.0 * missing, 25.0,
                 highest_frequency);
}

}  // namespace

double OutdoorModule::current() const {
  if (frequency < 1.0) return 0.0;
  return 1.2 + frequency * (0.10 + 0.0030 * (saturated_condensing - saturated_evaporating));
}

double OutdoorModule::valve_opening() const {
  if (frequency < 1.0) return 0.0;
  return defrosting ? 100.0 : clamped(28.0 + 0.55 * frequency, 0.0, 100.0);
}

int OutdoorModule::fan_step() const {
  if (frequency < 1.0 || defrosting) return 0;
  return static_cast<int>(clamped(3.0 + (frequency - 25.0) / 12.0, 3.0, 8.0));
}

OutdoorSide::OutdoorSide() : outdoor_temperature_(demo::outdoor_temperature(0.0)) {
  for (OutdoorModule& module : modules_) {
    module.saturated_condensing = outdoor_temperature_ + 0.5;
    module.saturated_evaporating = outdoor_temperature_ + 0.5;
    module.discharge = 14.0;
    module.suction = outdoor_temperature_ + 1.0;
    module.shell = 12.0;  // kept warm by its sump heater
    module.coil = outdoor_temperature_;
    module.frost = 0.15;
  }
}

void OutdoorSide::step(double minute, double load, Noise& noise) {
  weather_wander_ = lagged(weather_wander_, noise.around_zero(1.0), 20.0);
  control_wander_ = clamped(lagged(control_wander_, noise.around_zero(1.3), 4.0), -0.6, 0.6);
  outdoor_temperature_ = demo::outdoor_temperature(minute) + weather_wander_;
  for (int index = 0; index < outdoor_modules; ++index) step_module(index, minute, load);
}

void OutdoorSide::step_module(int index, double minute, double load) {
  OutdoorModule& module = modules_[static_cast<std::size_t>(index)];
  const Defrost* defrost = defrost_at(minute);
  const bool this_one = defrost != nullptr && defrost->module == index + 1;
  module.defrosting = this_one;
  if (!is_running(minute)) {
    const double standing = outdoor_temperature_ + 0.5;
    module.saturated_condensing = lagged(module.saturated_condensing, standing, 10.0);
    module.saturated_evaporating = lagged(module.saturated_evaporating, standing, 10.0);
    module.suction = lagged(module.suction, outdoor_temperature_ + 1.0, 20.0);
    module.coil = lagged(module.coil, outdoor_temperature_, 10.0);
    return;
  }
  const double wanted = wanted_frequency(module, defrost != nullptr, load, outdoor_temperature_);
  module.frequency = lagged(module.frequency, wanted, 1.5);

  const bool starting = minute < switched_on + 45.0;
  double condensing = condensing_target_degC + control_wander_;
  if (defrost != nullptr) condensing = this_one ? 22.0 : 32.0;
  const double condensing_lag = starting ? 5.5 : (defrost != nullptr ? 1.5 : 2.0);
  module.saturated_condensing = lagged(module.saturated_condensing, condensing, condensing_lag);

  step_coil(module, this_one ? defrost : nullptr, minute);
  step_compressor(module, index, minute);
}

void OutdoorSide::step_coil(OutdoorModule& module, const Defrost* defrost, double minute) const {
  if (defrost != nullptr) {
    const double share = (minute - defrost->start) / (defrost->length_min - step_s / 60.0);
    module.coil = melting_coil(outdoor_temperature_ - 9.5, share);
    module.frost *= 0.8;
    // The indoor coils are the evaporators now, with their fans off.
    module.saturated_evaporating =
        lagged(module.saturated_evaporating, outdoor_temperature_ - 14.0, 2.0);
    return;
  }
  module.frost = clamped(module.frost + step_s / (125.0 * 60.0), 0.0, 1.0);
  const double work = clamped((module.frequency - 25.0) / 70.0, 0.0, 1.0);
  const double depression = 8.0 + 0.4 * work + 1.2 * module.frost;
  const double coil_lag = minute < switched_on + 45.0 ? 4.0 : 0.9;
  module.coil = lagged(module.coil, outdoor_temperature_ - depression, coil_lag);
  module.saturated_evaporating =
      lagged(module.saturated_evaporating, outdoor_temperature_ - depression - 0.4, 2.0);
}

/// Temperatures at the compressor. The machine injects vapour, so the discharge temperature rises
/// with the pressure ratio less steeply than that of a single-stage machine.
void OutdoorSide::step_compressor(OutdoorModule& module, int index, double minute) const {
  const double wet = index + 1 == carry_over_module ? carry_over(minute) : 0.0;
  const double lift = module.saturated_condensing - module.saturated_evaporating;
  const double dry_discharge = clamped(
      27.5 + 0.75 * (lift - 58.0) + 0.03 * (module.frequency - 50.0) + 0.7 * index, 22.0, 42.0);
  const double dry_shell = clamped(32.0 + 0.05 * (lift - 65.0) - 1.5 * index, 25.0, 40.0);

  const double discharge_superheat = dry_discharge + wet * (5.5 - dry_discharge);
  const double discharge_lag = minute < switched_on + 45.0 ? 1.2 : (wet > 0.0 ? 0.8 : 2.2);
  module.discharge =
      lagged(module.discharge, module.saturated_condensing + discharge_superheat, discharge_lag);

  // Liquid reaches the sump before the suction pipe shows it.
  const double shell_superheat = dry_shell + wet * (4.5 - dry_shell);
  module.shell =
      lagged(module.shell, module.saturated_evaporating + shell_superheat, wet > 0.0 ? 1.0 : 8.0);
  const double wet_suction = index + 1 == carry_over_module ? carry_over(minute - 4.0) : 0.0;
  const double suction_superheat = 6.0 + wet_suction * (0.6 - 6.0);
  module.suction = lagged(module.suction, module.saturated_evaporating + suction_superheat, 1.5);
}

double OutdoorSide::saturated_condensing() const {
  double lowest = modules_[0].saturated_condensing;
  for (const OutdoorModule& module : modules_) {
    if (module.saturated_condensing < lowest) lowest = module.saturated_condensing;
  }
  return lowest;
}

double OutdoorSide::discharge_superheat() const {
  double sum = 0.0;
  for (const OutdoorModule& module : modules_) {
    sum += module.discharge - module.saturated_condensing;
  }
  return sum / outdoor_modules;
}

}  // namespace cw::demo
