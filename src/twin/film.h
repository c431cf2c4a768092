#pragma once

#include <optional>

#include "twin/transport_table.h"

namespace cw::twin {

/// The flow that a film coefficient belongs to.
struct TubeFlow {
  double mass_flux;  ///< [kg/(m2 s)], the sign is ignored
  double bore;       ///< [m], > 0
};

/// Heat-transfer coefficients on the inside of a smooth horizontal tube.
///
/// One for each coil, pressure and flow. What holds for all cells is worked out by the first call
/// that asks for it (all of it some 150 ns), since a coil that only condenses needs no boiling;
/// further calls cost few powers. All results are positive and finite for finite arguments, with a
/// continuous first derivative in quality and heat flux. Not modelled: grooved tubes (take an
/// enhancement factor), oil, mist flow. Docstrings name the formulas;
/// docs/design/twin_components.md compares them with other numbers. Calls on one object belong to
/// one thread; does not allocate.
class Film {
 public:
  Film(const SaturationTransport& s, const TubeFlow& flow) noexcept;

  /// Condensation [W/(m2 K)]: h_lo ((1-x)^0.8 + 3.8 x^0.76 (1-x)^0.04 / p_r^0.38) [shah1979, Eq.
  /// 8], floored by the film of a stratified tube at 5 K subcooled wall [chato1962]; joined to
  /// liquid() below x = 0.05 and to vapour() above 0.95.
  /// @param x  flow quality; below 0 liquid, above 1 vapour
  double condensing(double x) noexcept;

  /// Boiling [W/(m2 K)]: [gungor1987] with the factor for stratified horizontal flow, joined to
  /// liquid() below x = 0.02 and, for dry-out, to vapour() from x = 0.85 to 1.
  /// @param x          flow quality
  /// @param heat_flux  [W/m2], the sign is ignored
  double boiling(double x, double heat_flux) noexcept;

  /// Single phase [W/(m2 K)]: turbulent [gnielinski1976], laminar Nu = 3.66, joined between
  /// Re 2300 and 4000. All flow taken as liquid, or as vapour.
  double liquid() noexcept;
  double vapour() noexcept;

 private:
  struct Condensing {
    double liquid, two_phase, stratified;
  };
  struct Boiling {
    double liquid, nucleate, convective, number_per_flux;
  };
  double all_as_liquid() noexcept;
  const Condensing& prepared_condensing() noexcept;
  const Boiling& prepared_boiling() noexcept;

  SaturationTransport s_;
  double mass_flux_, bore_;
  double G_;  ///< rounded off at the bottom, for two phases
  std::optional<double> liquid_, vapour_, h_lo_;
  std::optional<Condensing> condensing_;
  std::optional<Boiling> boiling_;
};

/// Nusselt number of developed flow in a smooth tube at uniform wall temperature: [gnielinski1976]
/// above Re 4000, 3.66 below 2300, smooth between. Re, Pr > 0.
double nusselt_single_phase(double reynolds, double prandtl) noexcept;

}  // namespace cw::twin
