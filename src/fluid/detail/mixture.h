#pragma once

#include <array>

#include "fluid/detail/helmholtz.h"
#include "fluid/detail/model.h"
#include "fluid/detail/saturation_solver.h"

namespace cw::fluid::detail {

/// Reducing functions of a binary mixture [kunz2012, Eqs. 16 and 17] and their derivatives by x1 at
/// x2 = 1 - x1. Molar.
struct Reducing {
  double T = 0.0;      ///< [K]
  double T_x = 0.0;    ///< [K]
  double rho = 0.0;    ///< [mol/m3]
  double rho_x = 0.0;  ///< [mol/m3]
};
Reducing mixture_reducing(const BinaryMixture& mixture, double x1) noexcept;

/// A phase of a binary mixture, molar: what phase equilibrium needs.
struct MixturePhase {
  double p;                    ///< [Pa]
  double p_rho;                ///< dp/drho [J/mol]
  std::array<double, 2> ln_f;  ///< ln of fugacity, both less a function of T alone
};
MixturePhase mixture_phase(const BinaryMixture& mixture, double T, double rho, double x1) noexcept;

/// One point of the bubble or dew line: a phase of the mixture's composition in equilibrium with
/// the first trace of the other.
struct MixturePoint {
  double p = 0.0;        ///< [Pa]
  double rho_l = 0.0;    ///< [mol/m3]
  double rho_v = 0.0;    ///< [mol/m3]
  double x_other = 0.0;  ///< mole fraction of component 1 in the trace phase
};

/// Newton on equal pressure and fugacities from the values in `point`. False without convergence,
/// on the trivial root (equal densities), on a mechanically unstable root or outside 0 < x < 1.
/// Does not allocate.
bool solve_mixture(const BinaryMixture& mixture, double T, bool bubble,
                   MixturePoint& point) noexcept;

/// Bubble or dew pressure at T from the prepared lines [Pa]; false where there is none.
bool line_pressure(const BinaryMixture& mixture, bool bubble, double T, double& p) noexcept;

/// Gaussian elimination with pivoting of three equations; false when singular.
bool solve_3(double rows[3][4], double out[3]) noexcept;

/// From the mixing rules and constants that are in place: builds the Helmholtz energy at the fixed
/// composition and follows bubble and dew line by continuation from low temperature.
Status prepare_mixture(Model& model, const Model& first, const Model& second);

/// As saturation_at_temperature and saturation_at_pressure.
bool mixture_at_temperature(const Model& model, double T, Saturation& out) noexcept;
bool mixture_at_pressure(const Model& model, double p, Saturation& out) noexcept;

}  // namespace cw::fluid::detail
