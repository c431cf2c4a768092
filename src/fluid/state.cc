#include "fluid/state.h"

#include <cmath>

#include "base/text.h"
#include "fluid/detail/flash.h"

namespace cw::fluid {
namespace {

using detail::Found;
using detail::Model;
using detail::Point;
using detail::ReferenceShift;
using detail::Saturation;

ReferenceState resolved(const Model& model, ReferenceState reference) noexcept {
  if (reference != ReferenceState::usual) return reference;
  return model.iir.available ? ReferenceState::iir : ReferenceState::published;
}

ReferenceShift shift_to(const Model& model, ReferenceState reference) noexcept {
  switch (reference) {
    case ReferenceState::iir:
      return model.iir;
    case ReferenceState::ashrae:
      return model.ashrae;
    case ReferenceState::nbp:
      return model.nbp;
    case ReferenceState::usual:
    case ReferenceState::published:
      break;
  }
  return {true, 0.0, 0.0};
}

Error no_reference(const Model& model, ReferenceState reference) {
  return Error{ErrorCode::unsupported,
               model.name + " has no saturated liquid at the " + std::string(name_of(reference)) +
                   " reference state",
               "", "use the published reference state"};
}

Partials single_phase_partials(const Point& at) noexcept {
  const double h_T = at.h_T();
  const double h_rho = at.h_rho();
  const double det = at.p_rho * h_T - at.p_T * h_rho;
  return {h_T / det, -at.p_T / det, -h_rho / det, at.p_rho / det};
}

/// Derivatives along a saturation line on which T changes by dT_dp.
SaturationState::Line line_at(const Point& at, double dT_dp) noexcept {
  SaturationState::Line out{at.T, at.rho, at.h, at.s, dT_dp, 0.0, 0.0};
  out.drho_dp = (1.0 - at.p_T * dT_dp) / at.p_rho;
  out.dh_dp = at.h_T() * dT_dp + at.h_rho() * out.drho_dp;
  return out;
}

SaturationState lines_at(const Model& model, const Saturation& at, double p, const Point& l,
                         const Point& v) noexcept {
  const auto slopes = detail::saturation_slopes(model, at, l, v);
  SaturationState out;
  out.p = p;
  out.liquid = line_at(l, slopes.bubble);
  out.vapour = line_at(v, slopes.dew);
  return out;
}

Partials two_phase_partials(const SaturationState& at, double rho, double q) noexcept {
  const auto& l = at.liquid;
  const auto& v = at.vapour;
  const double dh = v.h - l.h;
  const double dv = 1.0 / v.rho - 1.0 / l.rho;
  const double dq_dp = -(l.dh_dp + q * (v.dh_dp - l.dh_dp)) / dh;  // at constant h
  const double dvl_dp = -l.drho_dp / (l.rho * l.rho);
  const double dvv_dp = -v.drho_dp / (v.rho * v.rho);
  Partials out;
  out.drho_dh_p = -rho * rho * dv / dh;
  out.drho_dp_h = -rho * rho * (dvl_dp + q * (dvv_dp - dvl_dp) + dq_dp * dv);
  out.dT_dp_h = l.dT_dp + q * (v.dT_dp - l.dT_dp) + dq_dp * (v.T - l.T);
  out.dT_dh_p = (v.T - l.T) / dh;
  return out;
}

void fill_phase(const Model& model, const Point& at, FluidState& out) {
  out.cp = at.cp;
  out.cv = at.cv;
  out.w = at.w;
  if (const auto mu = detail::viscosity_at(model, at)) {
    out.mu = Transport{*mu, model.transport.viscosity->uncertainty};
  }
  if (const auto k = detail::conductivity_at(model, at)) {
    out.k = Transport{*k, model.transport.conductivity->uncertainty};
  }
}

FluidState state_of(const Model& model, const Found& found, ReferenceState reference) {
  const ReferenceShift shift = shift_to(model, reference);
  FluidState out;
  out.T = found.T;
  out.p = found.p;
  out.phase = found.phase;
  out.reference = reference;
  if (found.phase != Phase::two_phase) {
    const Point& at = found.point;
    out.rho = at.rho;
    out.h = at.h + shift.h;
    out.s = at.s + shift.s;
    out.u = at.u + shift.h;
    out.partials = single_phase_partials(at);
    fill_phase(model, at, out);
    return out;
  }
  const Saturation& at = found.saturation;
  const Point l = point_at(model, at.T_bubble, at.rho_l);
  const Point v = point_at(model, at.T_dew, at.rho_v);
  const double q = found.q;
  out.q = q;
  out.rho = q == 0.0 ? l.rho : q == 1.0 ? v.rho : 1.0 / ((1.0 - q) / l.rho + q / v.rho);
  out.h = (1.0 - q) * l.h + q * v.h + shift.h;
  out.s = (1.0 - q) * l.s + q * v.s + shift.s;
  out.u = out.h - found.p / out.rho;
  out.partials = two_phase_partials(lines_at(model, at, found.p, l, v), out.rho, q);
  if (const auto sigma = detail::surface_tension_at(model, out.T)) {
    out.sigma = Transport{*sigma, model.transport.surface_tension->uncertainty};
  }
  if (q == 0.0) fill_phase(model, l, out);
  if (q == 1.0) fill_phase(model, v, out);
  return out;
}

Result<Found> find(const Model& model, InputPair pair, double first, double second,
                   const ReferenceShift& shift) {
  using detail::Energy;
  switch (pair) {
    case InputPair::T_p:
      return detail::find_T_p(model, first, second);
    case InputPair::T_rho:
      return detail::find_T_rho(model, first, second);
    case InputPair::p_h:
      return detail::find_p_energy(model, first, Energy::h, second - shift.h);
    case InputPair::p_s:
      return detail::find_p_energy(model, first, Energy::s, second - shift.s);
    case InputPair::h_s:
      return detail::find_h_s(model, first - shift.h, second - shift.s);
    case InputPair::p_q:
      return detail::find_p_q(model, first, second);
    case InputPair::T_q:
      return detail::find_T_q(model, first, second);
    case InputPair::rho_h:
      return detail::find_rho_energy(model, first, Energy::h, second - shift.h);
    case InputPair::rho_u:
      return detail::find_rho_energy(model, first, Energy::u, second - shift.h);
  }
  return Error{ErrorCode::invalid_argument, "unknown input pair", "", ""};
}

}  // namespace

std::string_view name_of(ReferenceState reference) noexcept {
  switch (reference) {
    case ReferenceState::usual:
      return "usual";
    case ReferenceState::published:
      return "published";
    case ReferenceState::iir:
      return "IIR";
    case ReferenceState::ashrae:
      return "ASHRAE";
    case ReferenceState::nbp:
      return "NBP";
  }
  return "";
}

std::optional<ReferenceState> reference_state_named(std::string_view name) noexcept {
  for (const ReferenceState reference :
       {ReferenceState::usual, ReferenceState::published, ReferenceState::iir,
        ReferenceState::ashrae, ReferenceState::nbp}) {
    if (equal_ignoring_case(name, name_of(reference))) return reference;
  }
  return std::nullopt;
}

std::string_view name_of(Phase phase) noexcept {
  switch (phase) {
    case Phase::liquid:
      return "liquid";
    case Phase::vapour:
      return "vapour";
    case Phase::two_phase:
      return "two-phase";
    case Phase::supercritical:
      return "supercritical";
  }
  return "";
}

Result<FluidState> state_from(const Refrigerant& refrigerant, InputPair pair, double first,
                              double second, ReferenceState reference) {
  const Model& model = refrigerant.model();
  reference = resolved(model, reference);
  const ReferenceShift shift = shift_to(model, reference);
  if (!shift.available) return no_reference(model, reference);
  const auto found = find(model, pair, first, second, shift);
  if (!found) return found.error();
  return state_of(model, *found, reference);
}

Result<FluidState> state_at(const Refrigerant& refrigerant, Kelvin t, Pascal p,
                            ReferenceState reference) {
  return state_from(refrigerant, InputPair::T_p, t.value, p.value, reference);
}

Result<SaturationState> saturation_state(const Refrigerant& refrigerant, Pascal p,
                                         ReferenceState reference) {
  const Model& model = refrigerant.model();
  const ReferenceShift shift = shift_to(model, resolved(model, reference));
  if (!shift.available) return no_reference(model, reference);
  const auto found = detail::find_p_q(model, p.value, 0.0);
  if (!found) return found.error();
  const Saturation& at = found->saturation;
  SaturationState out = lines_at(model, at, p.value, point_at(model, at.T_bubble, at.rho_l),
                                 point_at(model, at.T_dew, at.rho_v));
  for (SaturationState::Line* line : {&out.liquid, &out.vapour}) {
    line->h += shift.h;
    line->s += shift.s;
  }
  return out;
}

EquationPoint equation_at(const Refrigerant& refrigerant, double T, double rho) noexcept {
  const Point at = point_at(refrigerant.model(), T, rho);
  return {at.p, at.h, at.s, at.u, at.cp, at.cv, at.w};
}

Pascal highest_state_pressure(const Refrigerant& refrigerant) noexcept {
  return {refrigerant.model().highest_state_pressure};
}

}  // namespace cw::fluid
