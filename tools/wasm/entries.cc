#include "wasm/entries.h"

#include <array>
#include <limits>
#include <string>

#include "air/moist_air.h"
#include "base/unit_text.h"
#include "fluid/state.h"
#include "fluid/table.h"

namespace {

constexpr double absent = std::numeric_limits<double>::quiet_NaN();
constexpr int refused = -1;

std::string& last_error() {
  static std::string text;
  return text;
}

int refuse(const cw::Error& error) {
  last_error() = error.text();
  return refused;
}

int refuse(std::string text) {
  last_error() = std::move(text);
  return refused;
}

double value_of(const std::optional<cw::fluid::Transport>& property) {
  return property ? property->value : absent;
}

}  // namespace

extern "C" {

int cw_fluid_state(const char* refrigerant, int pair, double first, double second, int reference,
                   double* out) {
  constexpr int last_pair = static_cast<int>(cw::fluid::InputPair::rho_u);
  constexpr int last_reference = static_cast<int>(cw::fluid::ReferenceState::nbp);
  if (pair < 0 || pair > last_pair) return refuse("no such input pair");
  if (reference < 0 || reference > last_reference) return refuse("no such reference state");
  const auto found = cw::fluid::find_refrigerant(refrigerant);
  if (!found) return refuse(found.error());
  const auto state =
      cw::fluid::state_from(**found, static_cast<cw::fluid::InputPair>(pair), first, second,
                            static_cast<cw::fluid::ReferenceState>(reference));
  if (!state) return refuse(state.error());
  const std::array<double, 13> numbers = {state->T,
                                          state->p,
                                          state->rho,
                                          state->h,
                                          state->s,
                                          state->u,
                                          state->q.value_or(absent),
                                          state->cp.value_or(absent),
                                          state->cv.value_or(absent),
                                          state->w.value_or(absent),
                                          value_of(state->mu),
                                          value_of(state->k),
                                          value_of(state->sigma)};
  for (std::size_t i = 0; i < numbers.size(); ++i) out[i] = numbers[i];
  return static_cast<int>(state->phase);
}

int cw_fluid_table(const char* refrigerant, double p, double h, double* out) {
  const auto found = cw::fluid::find_refrigerant(refrigerant);
  if (!found) return refuse(found.error());
  const auto table = cw::fluid::table_of(**found);
  if (!table) return refuse(table.error());
  cw::fluid::TableState state;
  cw::fluid::Partials slopes;
  double w = 0.0;
  if (!(*table)->from_p_h(p, h, state, slopes, w)) return refuse("outside the table");
  const std::array<double, 8> numbers = {state.T, state.rho,        state.s,          state.cp,
                                         state.q, slopes.drho_dp_h, slopes.drho_dh_p, w};
  for (std::size_t i = 0; i < numbers.size(); ++i) out[i] = numbers[i];
  return static_cast<int>(state.phase);
}

int cw_air_state(double dry_bulb, double pressure, int known, double value, double* out) {
  constexpr int last_known = static_cast<int>(cw::air::Humidity::enthalpy);
  if (known < 0 || known > last_known) return refuse("no such measure of humidity");
  const auto air =
      cw::air::moist_air({dry_bulb}, {pressure}, static_cast<cw::air::Humidity>(known), value);
  if (!air) return refuse(air.error());
  const std::array<double, 9> numbers = {air->humidity_ratio.value,
                                         air->relative_humidity.value,
                                         air->vapour_pressure.value,
                                         air->wet_bulb.value,
                                         air->dew_point ? air->dew_point->value : absent,
                                         air->enthalpy.value,
                                         air->volume,
                                         air->density,
                                         air->dry_bulb.value};
  for (std::size_t i = 0; i < numbers.size(); ++i) out[i] = numbers[i];
  return 0;
}

int cw_quantity(const char* text, const char* dimension, double barometric_pressure, double* out) {
  const auto wanted = cw::dimension_named(dimension);
  if (!wanted) return refuse("no such dimension");
  const auto si = cw::parse_quantity(text, *wanted, barometric_pressure);
  if (!si) return refuse(si.error());
  *out = *si;
  return 0;
}

const char* cw_error() { return last_error().c_str(); }
}
