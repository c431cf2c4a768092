#pragma once

#include <optional>
#include <string_view>

#include "base/result.h"
#include "base/units.h"
#include "fluid/refrigerant.h"

/// States of a refrigerant from its equation of state, exact to rounding.
///
/// All functions are thread-safe and allocate only to report an error.
namespace cw::fluid {

/// Where enthalpy and entropy have their agreed values.
enum class ReferenceState {
  usual,      ///< IIR where the fluid has a saturated liquid at 0 degC, else as published
  published,  ///< integration constants of the equation of state as printed; a mixture's are those
              ///< of its components
  iir,        ///< saturated liquid at 0 degC: h = 200 kJ/kg, s = 1 kJ/(kg K). Equations whose
              ///< published constants mean this state keep them, within 0.2 J/kg and 0.01 J/(kg K)
  ashrae,     ///< saturated liquid at -40 degC: h = 0, s = 0
  nbp         ///< saturated liquid at 101.325 kPa: h = 0, s = 0
};

/// "IIR", "ASHRAE", "NBP", "published", as outputs carry it.
std::string_view name_of(ReferenceState reference) noexcept;
/// The inverse, letter case ignored; empty for an unknown name.
std::optional<ReferenceState> reference_state_named(std::string_view name) noexcept;

enum class Phase {
  liquid,        ///< below the critical temperature, above the bubble pressure
  vapour,        ///< below the dew pressure, or below the critical pressure at any temperature
  two_phase,     ///< with a quality 0..1, the ends included
  supercritical  ///< above critical temperature and pressure
};
std::string_view name_of(Phase phase) noexcept;  ///< "liquid", "vapour", "two-phase", ...

/// Partial derivatives that dynamic models need.
struct Partials {
  double drho_dp_h = 0.0;  ///< density with pressure at constant enthalpy [kg/(m3 Pa)]
  double drho_dh_p = 0.0;  ///< density with enthalpy at constant pressure [kg2/(m3 J)]
  double dT_dp_h = 0.0;    ///< Joule-Thomson coefficient [K/Pa]
  double dT_dh_p = 0.0;    ///< [K kg/J]; 0 in two-phase states of pure fluids
};

/// A transport property with the uncertainty that its source states (or, where the source gives
/// none, that we found against measured values), as a fraction at about 95 %.
struct Transport {
  double value = 0.0;
  double uncertainty = 0.0;
};

/// One state. SI. What is not available or has no meaning is absent, never nan.
struct FluidState {
  double T = 0.0;    ///< temperature [K]
  double p = 0.0;    ///< absolute pressure [Pa]
  double rho = 0.0;  ///< density [kg/m3]
  double h = 0.0;    ///< specific enthalpy [J/kg]
  double s = 0.0;    ///< specific entropy [J/(kg K)]
  double u = 0.0;    ///< specific internal energy [J/kg]
  Phase phase = Phase::vapour;
  ReferenceState reference = ReferenceState::iir;  ///< of h, s and u; never `usual`
  std::optional<double> q;                         ///< vapour mass fraction, two-phase only [1]
  std::optional<double> cp;        ///< [J/(kg K)]; two-phase states: only at q = 0 and 1
  std::optional<double> cv;        ///< [J/(kg K)]; as cp
  std::optional<double> w;         ///< speed of sound [m/s]; as cp
  Partials partials;               ///< at q = 0 and 1 those of the two-phase side
  std::optional<Transport> mu;     ///< viscosity [Pa s]; as cp
  std::optional<Transport> k;      ///< thermal conductivity [W/(m K)]; as cp
  std::optional<Transport> sigma;  ///< surface tension [N/m], two-phase only
};

/// Which two numbers fix the state. `T` temperature, `p` pressure, `rho` density, `h` enthalpy,
/// `s` entropy, `u` internal energy, `q` quality.
enum class InputPair { T_p, T_rho, p_h, p_s, h_s, p_q, T_q, rho_h, rho_u };

/// The state at two given numbers.
///
/// Phases. Liquid and vapour roots are sought outside the two-phase region only. Two-phase states
/// of pure fluids are exact; those of blends follow the lever rule between bubble-point liquid and
/// dew-point vapour at the same pressure: v, h, s and T are linear in q. (How far a flash
/// with phases of different composition lies from it: docs/design/fluid.md.)
///
/// @param first, second  in the order of the pair's name, SI [K, Pa, kg/m3, J/kg, J/(kg K), 1]
/// @param reference      the reference state of given and returned h, s and u
/// @error out_of_range   outside the equation's temperature, pressure or density range, enthalpy or
///                       entropy that no temperature reaches, quality outside 0..1; with the limits
/// @error out_of_range   closer to the critical point than the two phases can be told apart; with
///                       the limits
/// @error inconsistent   (T, p) of a pure fluid on the saturation line: the quality is open
/// @error unsupported    the reference state does not exist for this fluid
/// @error no_convergence an iteration failed inside the range (a defect: please report)
Result<FluidState> state_from(const Refrigerant& refrigerant, InputPair pair, double first,
                              double second, ReferenceState reference = ReferenceState::usual);

/// state_from with the units in the types.
Result<FluidState> state_at(const Refrigerant& refrigerant, Kelvin t, Pascal p,
                            ReferenceState reference = ReferenceState::usual);

/// Both saturation lines at one pressure, with the derivatives along them.
struct SaturationState {
  struct Line {
    double T = 0.0;        ///< [K]
    double rho = 0.0;      ///< [kg/m3]
    double h = 0.0;        ///< [J/kg]
    double s = 0.0;        ///< [J/(kg K)]
    double dT_dp = 0.0;    ///< along the line, as are the others [K/Pa]
    double drho_dp = 0.0;  ///< [kg/(m3 Pa)]
    double dh_dp = 0.0;    ///< [m3/kg]
  };
  double p = 0.0;  ///< [Pa]
  Line liquid;     ///< bubble point
  Line vapour;     ///< dew point
};
/// @error out_of_range, unsupported as state_from
Result<SaturationState> saturation_state(const Refrigerant& refrigerant, Pascal p,
                                         ReferenceState reference = ReferenceState::usual);

/// Phase-blind evaluation of the equation of state at temperature [K] and density [kg/m3], both
/// positive and finite: some 200 ns. Inside the two-phase region the numbers are those of the
/// metastable or unstable single phase. h, s and u in the published reference state.
/// Does not allocate, lock or throw.
struct EquationPoint {
  double p, h, s, u, cp, cv, w;
};
EquationPoint equation_at(const Refrigerant& refrigerant, double T, double rho) noexcept;

/// The pressure above which saturated states are refused as too close to the critical point [Pa].
Pascal highest_state_pressure(const Refrigerant& refrigerant) noexcept;

}  // namespace cw::fluid
