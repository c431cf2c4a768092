#pragma once

#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "base/contract.h"
#include "fluid/saturation.h"
#include "fluid/state.h"
#include "fluid/table.h"

namespace cw::fluid::fuzz {

inline void require_finite(double value) { CW_REQUIRE(std::isfinite(value)); }

/// A returned state holds finite numbers that physics allows.
inline void check(const FluidState& at) {
  for (const double value : {at.T, at.p, at.rho, at.h, at.s, at.u, at.partials.drho_dp_h,
                             at.partials.drho_dh_p, at.partials.dT_dp_h, at.partials.dT_dh_p}) {
    require_finite(value);
  }
  CW_REQUIRE(at.T > 0.0 && at.p > 0.0 && at.rho > 0.0);
  if (at.q) CW_REQUIRE(*at.q >= 0.0 && *at.q <= 1.0);
  if (at.cp) CW_REQUIRE(std::isfinite(*at.cp) && *at.cp > 0.0);
  if (at.cv) CW_REQUIRE(std::isfinite(*at.cv) && *at.cv > 0.0);
  if (at.w) CW_REQUIRE(std::isfinite(*at.w) && *at.w > 0.0);
  if (at.mu) CW_REQUIRE(at.mu->value > 0.0 && at.mu->value < 1.0);
  if (at.k) CW_REQUIRE(at.k->value > 0.0 && at.k->value < 100.0);
  if (at.sigma) CW_REQUIRE(at.sigma->value >= 0.0 && at.sigma->value < 1.0);
}

inline void check(const TableState& at) {
  for (const double value : {at.p, at.T, at.rho, at.h, at.s, at.cp, at.q}) require_finite(value);
  CW_REQUIRE(at.T > 0.0 && at.p > 0.0 && at.rho > 0.0 && at.q >= 0.0 && at.q <= 1.0);
}

/// Feeds two doubles to one entry of one refrigerant. Whatever they are, the entry must return a
/// sound state or an error with a message.
inline void feed(std::uint8_t which_fluid, std::uint8_t which_entry, double a, double b) {
  const auto names = refrigerant_names();
  const Refrigerant& fluid = **find_refrigerant(names[which_fluid % names.size()]);
  constexpr unsigned pairs = 9;
  const unsigned entry = which_entry % (pairs + 9);
  if (entry < pairs) {
    const auto reference = static_cast<ReferenceState>((which_entry / (pairs + 9)) % 5);
    const auto at = state_from(fluid, static_cast<InputPair>(entry), a, b, reference);
    if (at) {
      check(*at);
    } else {
      CW_REQUIRE(!at.error().message.empty());
    }
    return;
  }
  const auto table = table_of(fluid);
  TableState out;
  Partials partials;
  double w = 0.0;
  switch (entry - pairs) {
    case 0:
      if (const auto t = bubble_temperature(fluid, {a})) require_finite(t->value);
      if (const auto t = dew_temperature(fluid, {a})) require_finite(t->value);
      break;
    case 1:
      if (const auto p = bubble_pressure(fluid, {a})) require_finite(p->value);
      if (const auto p = dew_pressure(fluid, {a})) require_finite(p->value);
      break;
    case 2: {
      const double t = dew_temperature_or_nan(fluid, a);  // nan is this entry's refusal
      CW_REQUIRE(std::isnan(t) || (t > 50.0 && t < 400.0));
      break;
    }
    case 3:
      if (const auto lines = saturation_state(fluid, {a})) {
        require_finite(lines->liquid.h);
        require_finite(lines->vapour.drho_dp);
      }
      break;
    case 4:
      if (table && (*table)->from_p_h(a, b, out, partials, w)) {
        check(out);
        require_finite(partials.drho_dp_h);
        require_finite(w);
        DensityState density;
        CW_REQUIRE((*table)->from_p_h(a, b, density));
        require_finite(density.rho);
        require_finite(density.drho_dp_h);
        require_finite(density.drho_dh_p);
      }
      break;
    case 5:
      if (table && (*table)->from_p_T(a, b, out)) check(out);
      break;
    case 6:
      if (table && (*table)->from_p_q(a, b, out)) check(out);
      break;
    case 7:
      if (table && (*table)->from_T_q(a, b, out)) check(out);
      break;
    default:
      if (table && (*table)->from_rho_h(a, b, out)) check(out);
      break;
  }
}

}  // namespace cw::fluid::fuzz
