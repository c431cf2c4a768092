#include "air/moist_air.h"

#include <cmath>

#include "base/text.h"

namespace cw::air {
namespace {

constexpr double triple_point = 273.16;     // K
constexpr double gas_constant = 287.042;    // dry air [J/(kg K)], Eq. 1
constexpr double mole_ratio = 0.621945;     // molar masses of water and dry air, Eq. 20
constexpr double volume_factor = 1.607858;  // its inverse as Eq. 26 prints it
constexpr double root_tolerance = 1e-10;    // K
constexpr double temperature_slack = 1e-8;  // K: a dew point or wet bulb given back by rounding
constexpr double saturation_slack = 1e-9;   // relative: a saturated state given back by rounding

/// ln of the saturation pressure [ln Pa], Eq. 5 over ice, Eq. 6 over water. T > 0.
double log_saturation(double T) noexcept {
  if (T <= triple_point) {
    return -5.6745359e3 / T + 6.3925247 +
           T * (-9.677843e-3 + T * (6.2215701e-7 + T * (2.0747825e-9 + T * -9.484024e-13))) +
           4.1635019 * std::log(T);
  }
  return -5.8002206e3 / T + 1.3914993 +
         T * (-4.8640239e-2 + T * (4.1764768e-5 + T * -1.4452093e-8)) + 6.5459673 * std::log(T);
}
double saturation(double T) noexcept { return std::exp(log_saturation(T)); }

/// Where the rising function f crosses zero between low and high, by false position with halving
/// of the stale end's weight (Illinois), bisection at every third step.
template <class F>
double rising_root(F&& f, double low, double high) noexcept {
  double f_low = f(low);
  double f_high = f(high);
  if (f_low >= 0.0) return low;
  if (f_high <= 0.0) return high;
  for (int i = 1; i < 200 && high - low > root_tolerance; ++i) {
    double x = i % 3 == 0 ? 0.5 * (low + high) : (low * f_high - high * f_low) / (f_high - f_low);
    if (!(x > low && x < high)) x = 0.5 * (low + high);
    const double fx = f(x);
    if (fx == 0.0) return x;
    if (fx < 0.0) {
      low = x;
      f_low = fx;
      f_high *= 0.5;
    } else {
      high = x;
      f_high = fx;
      f_low *= 0.5;
    }
  }
  return 0.5 * (low + high);
}

std::string celsius(double T) { return number_text(T - zero_celsius, 6) + " degC"; }

Error outside(const char* what, const std::string& value, const std::string& limits) {
  return {ErrorCode::out_of_range, std::string(what) + " of " + value + " is outside " + limits, "",
          "Give a value within these limits"};
}

bool within(double value, double lowest, double highest) {
  return value >= lowest && value <= highest;  // false for nan
}

Status check_temperature(const char* what, double T) {
  if (within(T, lowest_temperature, highest_temperature)) return Done{};
  return outside(what, celsius(T), "-100 to 200 degC");
}

Error too_wet(double T, double p, double w) {
  return {ErrorCode::inconsistent,
          "air at " + celsius(T) + " and " + number_text(p / 1e3) + " kPa holds at most " +
              number_text(w) + " kg of water per kg of dry air",
          "", "Give a lower humidity or a higher temperature"};
}

/// Vapour pressure that `known` = `value` means; checks the value's own range.
Result<double> vapour_pressure_from(double T, double p, Humidity known, double value) {
  switch (known) {
    case Humidity::relative:
      if (!within(value, 0.0, 1.0)) {
        return outside("a relative humidity", number_text(value), "0 to 1 (100 %)");
      }
      return value * saturation(T);
    case Humidity::humidity_ratio:
      if (!within(value, 0.0, 10.0)) {
        return outside("a humidity ratio", number_text(value) + " kg/kg", "0 to 10 kg/kg");
      }
      return vapour_pressure_of({value}, {p}).value;
    case Humidity::vapour_pressure:
      if (!within(value, 0.0, p)) {
        return outside("a vapour pressure", number_text(value) + " Pa",
                       "0 to the air's pressure, " + number_text(p) + " Pa");
      }
      return value;
    case Humidity::enthalpy: {
      const double t = T - zero_celsius;
      const double w = (value - 1006.0 * t) / (2501e3 + 1860.0 * t);  // Eq. 30 solved for W
      if (!within(w, 0.0, 10.0)) {
        return outside("an enthalpy", number_text(value / 1e3) + " kJ/kg",
                       "what air at " + celsius(T) + " can have; dry it has " +
                           number_text(1.006 * t) + " kJ/kg");
      }
      return vapour_pressure_of({w}, {p}).value;
    }
    case Humidity::dew_point:
      if (Status s = check_temperature("a dew point", value); !s) return s.error();
      if (value > T + temperature_slack) {
        return Error{ErrorCode::inconsistent,
                     "a dew point of " + celsius(value) + " above the dry bulb, " + celsius(T), "",
                     "Give a dew point up to the dry bulb"};
      }
      return saturation(value);
    case Humidity::wet_bulb:
      break;
  }
  if (Status s = check_temperature("a wet bulb", value); !s) return s.error();
  if (value > T + temperature_slack) {
    return Error{ErrorCode::inconsistent,
                 "a wet bulb of " + celsius(value) + " above the dry bulb, " + celsius(T), "",
                 "Give a wet bulb up to the dry bulb"};
  }
  if (saturation(value) >= p) {
    return outside(
        "a wet bulb", celsius(value),
        "what exists at this pressure: water boils at " + number_text(p / 1e3) + " kPa below it");
  }
  const double w = humidity_ratio_at_wet_bulb({T}, {value}, {p}).value;
  if (!(w >= 0.0)) {
    return Error{ErrorCode::inconsistent,
                 "no air at " + celsius(T) + " has a wet bulb as low as " + celsius(value), "",
                 "Check both readings: even dry air has a higher wet bulb"};
  }
  return vapour_pressure_of({w}, {p}).value;
}

/// Eqs. 33 and 35 solved for the wet bulb. 0 <= w, at most saturated at T.
double wet_bulb_of(double T, double w, double p) noexcept {
  const auto excess = [&](double wet) {
    return humidity_ratio_at_wet_bulb({T}, {wet}, {p}).value - w;
  };
  if (T < zero_celsius) return rising_root(excess, lowest_temperature, T);
  if (excess(zero_celsius) >= 0.0) {
    return rising_root(excess, lowest_temperature, std::nextafter(zero_celsius, 0.0));
  }
  // Where water boils at this pressure the saturated humidity ratio has a pole: stay below it.
  const double boiling = rising_root([&](double t) { return saturation(t) - 0.9999 * p; },
                                     lowest_temperature, highest_temperature);
  return rising_root(excess, zero_celsius, std::fmin(T, boiling));
}

}  // namespace

Result<Pascal> saturation_pressure(Kelvin t) {
  if (Status s = check_temperature("a temperature", t.value); !s) return s.error();
  return Pascal{saturation(t.value)};
}

Result<Kelvin> saturation_temperature(Pascal vapour_pressure) {
  const double lowest = saturation(lowest_temperature);
  const double highest = saturation(highest_temperature);
  if (!within(vapour_pressure.value, lowest, highest)) {
    return outside("a vapour pressure", number_text(vapour_pressure.value) + " Pa",
                   number_text(lowest) + " to " + number_text(highest) + " Pa (-100 to 200 degC)");
  }
  const double wanted = std::log(vapour_pressure.value);
  return Kelvin{rising_root([&](double T) { return log_saturation(T) - wanted; },
                            lowest_temperature, highest_temperature)};
}

HumidityRatio humidity_ratio_of(Pascal vapour_pressure, Pascal pressure) noexcept {
  return {mole_ratio * vapour_pressure.value / (pressure.value - vapour_pressure.value)};  // Eq. 20
}

Pascal vapour_pressure_of(HumidityRatio w, Pascal pressure) noexcept {
  return {pressure.value * w.value / (mole_ratio + w.value)};  // Eq. 20
}

JoulePerKilogram enthalpy_of(Kelvin dry_bulb, HumidityRatio w) noexcept {
  const double t = to_celsius(dry_bulb);
  return {1006.0 * t + w.value * (2501e3 + 1860.0 * t)};  // Eq. 30
}

double volume_of(Kelvin dry_bulb, HumidityRatio w, Pascal pressure) noexcept {
  return gas_constant * dry_bulb.value * (1.0 + volume_factor * w.value) /
         pressure.value;  // Eq. 26
}

HumidityRatio humidity_ratio_at_wet_bulb(Kelvin dry_bulb, Kelvin wet_bulb,
                                         Pascal pressure) noexcept {
  const double t = to_celsius(dry_bulb);
  const double wet = to_celsius(wet_bulb);
  const double saturated = humidity_ratio_of({saturation(wet_bulb.value)}, pressure).value;
  if (wet >= 0.0) {
    return {((2501.0 - 2.326 * wet) * saturated - 1.006 * (t - wet)) /
            (2501.0 + 1.86 * t - 4.186 * wet)};  // Eq. 33
  }
  return {((2830.0 - 0.24 * wet) * saturated - 1.006 * (t - wet)) /
          (2830.0 + 1.86 * t - 2.1 * wet)};  // Eq. 35
}

Result<MoistAir> moist_air(Kelvin dry_bulb, Pascal pressure, Humidity known, double value) {
  const double T = dry_bulb.value;
  const double p = pressure.value;
  if (Status s = check_temperature("a dry bulb", T); !s) return s.error();
  if (!within(p, lowest_pressure, highest_pressure)) {
    return outside("an air pressure", number_text(p / 1e3) + " kPa", "10 to 150 kPa");
  }
  const Result<double> given = vapour_pressure_from(T, p, known, value);
  if (!given) return given.error();
  double vapour = *given;
  const double saturated = saturation(T);
  if (vapour > saturated) {
    if (vapour > saturated * (1.0 + saturation_slack)) {
      return too_wet(T, p, humidity_ratio_of({saturated}, pressure).value);
    }
    vapour = saturated;
  }
  if (vapour >= 0.999 * p) {
    return outside("a vapour pressure", number_text(vapour) + " Pa",
                   "what leaves dry air in the mixture at " + number_text(p) + " Pa");
  }
  MoistAir out;
  out.dry_bulb = dry_bulb;
  out.pressure = pressure;
  out.vapour_pressure = {vapour};
  out.humidity_ratio = humidity_ratio_of({vapour}, pressure);
  out.relative_humidity = {vapour / saturated};  // Eq. 12
  out.wet_bulb = {known == Humidity::wet_bulb ? value
                                              : wet_bulb_of(T, out.humidity_ratio.value, p)};
  if (known == Humidity::dew_point) {
    out.dew_point = Kelvin{value};
  } else if (const Result<Kelvin> dew = saturation_temperature({vapour})) {
    out.dew_point = Kelvin{std::fmin(dew->value, T)};
  }
  out.enthalpy = enthalpy_of(dry_bulb, out.humidity_ratio);
  out.volume = volume_of(dry_bulb, out.humidity_ratio, pressure);
  out.density = (1.0 + out.humidity_ratio.value) / out.volume;  // Eq. 11
  return out;
}

}  // namespace cw::air
