#pragma once

#include "twin/transport_table.h"

namespace cw::twin {

/// The flow that a film coefficient belongs to.
struct TubeFlow {
  double mass_flux;  ///< [kg/(m2 s)], the sign is ignored
  double bore;       ///< [m], > 0
};

/// Heat-transfer coefficients on the inside of a smooth horizontal tube.
///
/// Prepared once per coil, pressure and flow (some 150 ns); calls per cell cost few powers. All
/// results are positive and finite for finite arguments, with a continuous first derivative in
/// quality and heat flux. Not modelled: grooved tubes (take an enhancement factor), oil, mist flow.
/// Docstrings name the formulas; docs/design/twin_components.md compares them with other numbers.
/// Thread-safe; does not allocate.
class Film {
 public:
  Film(const SaturationTransport& s, const TubeFlow& flow) noexcept;

  /// Condensation [W/(m2 K)]: h_lo ((1-x)^0.8 + 3.8 x^0.76 (1-x)^0.04 / p_r^0.38) [shah1979, Eq.
  /// 8], floored by the film of a stratified tube at 5 K subcooled wall [chato1962]; joined to
  /// liquid() below x = 0.05 and to vapour() above 0.95.
  /// @param x  flow quality; below 0 liquid, above 1 vapour
  double condensing(double x) const noexcept;

  /// Boiling [W/(m2 K)]: [gungor1987] with the factor for stratified horizontal flow, joined to
  /// liquid() below x = 0.02 and, for dry-out, to vapour() from x = 0.85 to 1.
  /// @param x          flow quality
  /// @param heat_flux  [W/m2], the sign is ignored
  double boiling(double x, double heat_flux) const noexcept;

  /// Single phase [W/(m2 K)]: turbulent [gnielinski1976], laminar Nu = 3.66, joined between
  /// Re 2300 and 4000. All flow taken as liquid, or as vapour.
  double liquid() const noexcept { return liquid_; }
  double vapour() const noexcept { return vapour_; }

 private:
  double liquid_, vapour_;
  double shah_liquid_, shah_two_phase_, stratified_;  ///< of condensing()
  double boil_liquid_, boil_nucleate_, boil_convective_, boiling_number_per_flux_;
};

/// Nusselt number of developed flow in a smooth tube at uniform wall temperature: [gnielinski1976]
/// above Re 4000, 3.66 below 2300, smooth between. Re, Pr > 0.
double nusselt_single_phase(double reynolds, double prandtl) noexcept;

}  // namespace cw::twin
