#pragma once

/// What the WebAssembly module exports: properties of refrigerants and of moist air for the
/// browser. Numbers are SI. The same code is compiled natively, where a test compares the two.
extern "C" {

/// State of a refrigerant. `pair` and `reference` are the places in fluid::InputPair and
/// fluid::ReferenceState. `out` takes 13 numbers: T, p, rho, h, s, u, q, cp, cv, w, mu, k, sigma;
/// nan where a property is not available. Returns the place in fluid::Phase, or -1 with the text of
/// cw_error set.
int cw_fluid_state(const char* refrigerant, int pair, double first, double second, int reference,
                   double* out);

/// State of a refrigerant at p [Pa] and h [J/kg] from its table (fluid/table.h). `out` takes 8
/// numbers: T, rho, s, cp, q, drho/dp at constant h, drho/dh at constant p, w. Returns the place in
/// fluid::Phase, or -1 with the text of cw_error set.
int cw_fluid_table(const char* refrigerant, double p, double h, double* out);

/// State of moist air. `known` is the place in air::Humidity. `out` takes 9 numbers: humidity
/// ratio, relative humidity, vapour pressure, wet bulb, dew point (nan for dry air), enthalpy,
/// volume, density, dry bulb. Returns 0, or -1 with the text of cw_error set.
int cw_air_state(double dry_bulb, double pressure, int known, double value, double* out);

/// A person's quantity ("120F", "418 psig") in SI. `dimension` is the name of a Dimension. Returns
/// 0, or -1 with the text of cw_error set.
int cw_quantity(const char* text, const char* dimension, double barometric_pressure, double* out);

/// What the last refused call said; empty at first. Valid until the next call.
const char* cw_error();
}
