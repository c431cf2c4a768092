#include "twin/detail/props.h"

#include <algorithm>
#include <cmath>

namespace cw::twin::detail {

Props::Props(const fluid::Table* table, TransportTable transport, SlipModel slip)
    : table_(table),
      transport_(std::move(transport)),
      slip_(slip),
      lowest_(table->lowest_pressure() * 1.0001),
      highest_(table->highest_pressure() * 0.9999),
      T_critical_(transport_.critical_temperature()) {}

double Props::clamp_pressure(double p) const noexcept {
  return p > lowest_ ? (p < highest_ ? p : highest_) : lowest_;
}

void Props::saturated(double p, Saturated& out) const noexcept {
  fluid::SaturationState s;
  out.p = p;
  out.p_table = clamp_pressure(p);
  table_->saturation(out.p_table, s);
  out.Tb = s.liquid.T;
  out.Td = s.vapour.T;
  out.hl = s.liquid.h;
  out.hg = s.vapour.h;
  out.vl = 1.0 / s.liquid.rho;
  out.vg = 1.0 / s.vapour.rho;
  out.dTb = s.liquid.dT_dp;
  out.dTd = s.vapour.dT_dp;
  out.dhl = s.liquid.dh_dp;
  out.dhg = s.vapour.dh_dp;
  out.dvl = -s.liquid.drho_dp * out.vl * out.vl;
  out.dvg = -s.vapour.drho_dp * out.vg * out.vg;
  out.slip = slip_ratio(slip_, s.liquid.rho, s.vapour.rho);
}

/// Beyond the table a state goes on along the tangent in T and in v: enough to come back from.
void Props::single_phase(const Saturated& s, double h, CellState& out) const noexcept {
  fluid::TableState state;
  fluid::Partials partials;
  double w = 0.0;
  if (table_->from_p_h(s.p_table, h, state, partials, w) &&
      state.phase != fluid::Phase::two_phase) {
    out.T = state.T;
    out.rho = state.rho;
    out.drho_dp = partials.drho_dp_h;
    out.drho_dh = partials.drho_dh_p;
    out.dT_dp = partials.dT_dp_h;
    out.dT_dh = partials.dT_dh_p;
    return;
  }
  // The edge of the table: the last enthalpy that it knows, by bisection (rare).
  const double start = h > s.hg ? s.hg + 1.0 : s.hl - 1.0;
  double inside = start;
  double outside = h;
  for (int k = 0; k < 40 && std::abs(outside - inside) > 50.0; ++k) {
    const double middle = 0.5 * (inside + outside);
    if (table_->from_p_h(s.p_table, middle, state, partials, w)) {
      inside = middle;
    } else {
      outside = middle;
    }
  }
  if (!table_->from_p_h(s.p_table, inside, state, partials, w)) {
    const bool gas = h > s.hg;
    state.T = gas ? s.Td : s.Tb;
    state.rho = 1.0 / (gas ? s.vg : s.vl);
    partials = {gas ? state.rho / s.p_table : 1e-7 * state.rho,
                gas ? -1e-6 * state.rho : -2e-6 * state.rho, 0.0, gas ? 1e-3 : 6e-4};
  }
  const double dh = h - inside;
  const double v = 1.0 / state.rho;
  const double dv_dh = -partials.drho_dh_p * v * v;
  const double v_here = std::max(v + dv_dh * dh, 0.2 * v);
  out.T = std::max(state.T + partials.dT_dh_p * dh, 100.0);
  out.rho = 1.0 / v_here;
  out.drho_dh = -dv_dh * out.rho * out.rho;
  out.drho_dp = partials.drho_dp_h * (out.rho / state.rho) * (out.rho / state.rho);
  out.dT_dp = partials.dT_dp_h;
  out.dT_dh = partials.dT_dh_p;
}

namespace {

/// Vapour share by quality, with the corner at saturated liquid rounded over +-width.
struct Rounded {
  double share, slope;
};
Rounded rounded(double x) noexcept {
  constexpr double width = 0.03;  // own choice, see docs/design/twin.md
  if (x <= -width) return {0.0, 0.0};
  if (x >= width) return {x, 1.0};
  return {(x + width) * (x + width) / (4.0 * width), (x + width) / (2.0 * width)};
}

}  // namespace

/// Outside of the table a mass still needs a pressure: below, density falls in proportion to it, so
/// that no suction empties a part down to nothing; above, it goes on along the tangent.
void Props::cell(const Saturated& s, double h, Content content, CellState& out) const noexcept {
  in_table(s, h, content, out);
  if (s.p == s.p_table) return;
  const double rho = out.rho;
  if (s.p < s.p_table) {
    const double share = std::max(s.p / s.p_table, 1e-3);
    out.rho *= share;
    out.drho_dh *= share;
    out.drho_dp = rho / s.p_table;
  } else {
    out.drho_dp = std::max(out.drho_dp, 1e-10 * rho);
    out.rho += out.drho_dp * (s.p - s.p_table);
  }
  out.dT_dp = 0.0;
}

void Props::in_table(const Saturated& s, double h, Content content, CellState& out) const noexcept {
  const double hlg = s.hg - s.hl;
  const double x = (h - s.hl) / hlg;
  out.x = x;
  out.hf = h;
  out.hf_dh = 1.0;
  const double vlg = s.vg - s.vl;
  const double dx_dp = -(s.dhl + x * (s.dhg - s.dhl)) / hlg;
  const Rounded r =
      content == Content::vessel ? Rounded{x > 0.0 ? x : 0.0, x > 0.0 ? 1.0 : 0.0} : rounded(x);
  if (x <= 0.0 || x >= 1.0) {
    single_phase(s, h, out);
    if (x > 0.0 || r.share <= 0.0) return;
    const double v0 = 1.0 / out.rho;
    const double v = v0 + vlg * r.share;
    const double dv_dp = -out.drho_dp * v0 * v0 + (s.dvg - s.dvl) * r.share + vlg * r.slope * dx_dp;
    const double dv_dh = -out.drho_dh * v0 * v0 + vlg * r.slope / hlg;
    out.rho = 1.0 / v;
    out.drho_dp = -out.rho * out.rho * dv_dp;
    out.drho_dh = -out.rho * out.rho * dv_dh;
    return;
  }
  const double v = s.vl + r.share * vlg;
  out.rho = 1.0 / v;
  const double dv_dp = s.dvl + r.share * (s.dvg - s.dvl) + vlg * r.slope * dx_dp;
  const double rho2 = out.rho * out.rho;
  out.drho_dp = -rho2 * dv_dp;
  out.drho_dh = -rho2 * vlg * r.slope / hlg;
  out.T = s.Tb + x * (s.Td - s.Tb);
  out.dT_dh = (s.Td - s.Tb) / hlg;
  out.dT_dp = s.dTb + x * (s.dTd - s.dTb) + (s.Td - s.Tb) * dx_dp;
  if (content == Content::coil) {
    const FlowQuality f = flow_quality(x, s.slip);
    out.hf = s.hl + f.x * hlg;
    out.hf_dh = f.slope;
  }
}

double Props::pressure_where(double Saturated::*line, double T) const noexcept {
  double low = lowest_;
  double high = highest_;
  Saturated s;
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    saturated(middle, s);
    (s.*line < T ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double Props::dew_pressure(double T) const noexcept { return pressure_where(&Saturated::Td, T); }
double Props::bubble_pressure(double T) const noexcept { return pressure_where(&Saturated::Tb, T); }

double Props::enthalpy(double p, double T) const noexcept {
  fluid::TableState state;
  const double inside = clamp_pressure(p);
  if (table_->from_p_T(inside, T, state)) return state.h;
  Saturated s;
  saturated(inside, s);
  return T > s.Td ? s.hg + 1000.0 * (T - s.Td) : s.hl - 1500.0 * (s.Tb - T);
}

}  // namespace cw::twin::detail
