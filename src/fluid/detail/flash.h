#pragma once

#include "base/result.h"
#include "fluid/detail/model.h"
#include "fluid/detail/point.h"
#include "fluid/detail/saturation_solver.h"
#include "fluid/state.h"

namespace cw::fluid::detail {

/// Lowest pressure that inputs may have [Pa]; the equations have no lower limit of their own.
constexpr double lowest_pressure = 1.0;

/// A state found: either one phase (`point`) or two (`saturation` at one pressure and `q`).
struct Found {
  Phase phase = Phase::vapour;
  double T = 0.0;
  double p = 0.0;
  double q = 0.0;
  Point point;
  Saturation saturation;
};

/// Which of enthalpy, entropy and internal energy is given.
enum class Energy { h, s, u };

// The input pairs, in SI per kilogram with the data file's integration constants; errors as
// state_from. Thread-safe; allocate only for errors.
Result<Found> find_T_p(const Model& model, double T, double p);
Result<Found> find_T_rho(const Model& model, double T, double rho);
Result<Found> find_T_q(const Model& model, double T, double q);
Result<Found> find_p_q(const Model& model, double p, double q);
/// @param strict  false lets states near the critical point pass, for outer iterations
Result<Found> find_p_energy(const Model& model, double p, Energy energy, double value,
                            bool strict = true);
Result<Found> find_rho_energy(const Model& model, double rho, Energy energy, double value);
Result<Found> find_h_s(const Model& model, double h, double s);

/// Single-phase density at T and p on the liquid or vapour side; zero when there is none.
double liquid_root(const Model& model, double T, double p) noexcept;
double vapour_root(const Model& model, double T, double p) noexcept;
/// The same for a state known to be single-phase (pressure off the saturation line).
double single_phase_root(const Model& model, double T, double p) noexcept;

}  // namespace cw::fluid::detail
