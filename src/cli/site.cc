#include "cli/site.h"

#include "base/text.h"

namespace cw::cli {

Barometer Site::barometer(UnitSystem units) const {
  if (barometric_pressure) return {*barometric_pressure, "as given"};
  if (altitude) {
    return {standard_pressure_at(*altitude),
            "standard atmosphere at " +
                number_text(display_unit(Dimension::length, units).from_si(altitude->value), 5) +
                " " + std::string(display_symbol(Dimension::length, units))};
  }
  return {Pascal{standard_atmosphere},
          "standard atmosphere at sea level (--altitude or --barometer sets it)"};
}

Result<Site> read_site(const Arguments& arguments) {
  Site site;
  const auto altitude = arguments.quantity("--altitude", Dimension::length);
  if (!altitude) return altitude.error();
  if (*altitude) {
    if (**altitude < -500.0 || **altitude > 6000.0) {
      return Error{ErrorCode::out_of_range, "an altitude of " + number_text(**altitude) + " m",
                   "--altitude", "Give a height between -500 m and 6000 m"};
    }
    site.altitude = Metre{**altitude};
  }
  const auto barometer = arguments.quantity("--barometer", Dimension::pressure);
  if (!barometer) return barometer.error();
  if (*barometer) {
    if (**barometer < 45e3 || **barometer > 112e3) {
      return Error{ErrorCode::out_of_range,
                   "a barometric pressure of " + number_text(**barometer / 1e3) + " kPa",
                   "--barometer", "Give the absolute pressure of the air, 45 kPa to 112 kPa"};
    }
    site.barometric_pressure = Pascal{**barometer};
  }
  return site;
}

}  // namespace cw::cli
