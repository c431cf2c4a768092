#pragma once

#include <array>
#include <span>
#include <string>
#include <vector>

#include "base/embedded_file.h"
#include "base/result.h"
#include "fluid/detail/curve.h"
#include "fluid/detail/helmholtz.h"
#include "fluid/detail/transport.h"
#include "fluid/refrigerant.h"

namespace cw::fluid::detail {

/// A saturation quantity as a sum over theta = 1 - T/T_r:
///   exponential: value exp(s sum n theta^t),  polynomial: value (1 + s sum n theta^t)
/// with s = T_r/T or 1 [lemmon2003, Eq. 4 for the pressures].
struct Ancillary {
  bool exponential = true;
  bool times_tau = false;
  double temperature = 0.0;  ///< T_r [K]
  double value = 0.0;        ///< [Pa] or [mol/m3]
  struct Term {
    double n;
    double t;
  };
  std::vector<Term> terms;

  /// @param T  [K], at most T_r
  double at(double T) const noexcept;
  /// d ln(value)/dT of the exponential form [1/K]; theta > 0.
  double log_slope(double T) const noexcept;
};

/// Coexisting densities of an equation of state up to its own critical point, tabulated over
/// x = sqrt(1 - T/T_c), in which the logarithms of both are smooth. Good to some 1e-6: where the
/// solvers start, so that they need two or three steps and cannot land on a wrong root.
struct CoexistenceGuess {
  double critical_temperature = 0.0;  ///< of the equation itself [K]
  double critical_density = 0.0;      ///< [kg/m3]
  double step = 0.0;                  ///< of x
  std::vector<double> ln_liquid;      ///< [kg/m3], at 0, step, 2 step ...
  std::vector<double> ln_vapour;

  double liquid(double T) const noexcept { return value(ln_liquid, T); }
  double vapour(double T) const noexcept { return value(ln_vapour, T); }

 private:
  double value(const std::vector<double>& ln, double T) const noexcept;
};

/// Shift from the data file's integration constants to a reference state.
struct ReferenceShift {
  bool available = false;
  double h = 0.0;  ///< added to enthalpy [J/kg]
  double s = 0.0;  ///< added to entropy [J/(kg K)]
};

/// Two components with mixing rules and a fixed overall composition. Molar units.
struct BinaryMixture {
  std::array<Helmholtz, 2> component;
  Helmholtz departure;
  std::array<double, 2> critical_temperature{};    ///< reducing temperatures [K]
  std::array<double, 2> critical_density{};        ///< reducing densities [mol/m3]
  std::array<double, 2> molar_mass{};              ///< [kg/mol]
  std::array<double, 2> component_gas_constant{};  ///< of the components' equations [J/(mol K)]
  double beta_T = 1.0, gamma_T = 1.0, beta_v = 1.0, gamma_v = 1.0;
  double gas_constant = 0.0;  ///< [J/(mol K)]
  double x1 = 0.0;            ///< overall mole fraction of component 1

  /// Bubble and dew line over x = sqrt(1 - T/T_c): ln p, ln rho_l, ln rho_v and the composition of
  /// the trace phase, at step, 2 step, ... (the first entry belongs to one step below T_c).
  struct Line {
    std::vector<std::array<double, 4>> nodes;
  };
  double line_critical_temperature = 0.0;
  double step = 0.0;
  std::size_t first_node = 0;  ///< nodes[i] belongs to x = (first_node + i) step
  Line bubble, dew;
};

/// Everything that is known of one refrigerant. Filled once, then only read.
struct Model {
  std::string name;
  std::string composition;
  FluidKind kind = FluidKind::pure;
  std::string equation_source;

  double molar_mass = 0.0;                   ///< [kg/mol]
  double gas_constant = 0.0;                 ///< specific [J/(kg K)]
  double reducing_temperature = 0.0;         ///< [K]
  double reducing_density = 0.0;             ///< [kg/m3]
  double critical_temperature = 0.0;         ///< where the phases meet [K]
  double critical_pressure = 0.0;            ///< [Pa]
  double published_critical_pressure = 0.0;  ///< of the data file [Pa]
  double minimum_temperature = 0.0;          ///< [K]
  double maximum_temperature = 0.0;          ///< [K]
  double maximum_pressure = 0.0;             ///< [Pa]
  double acentric_factor = 0.0;

  Helmholtz helmholtz;

  Ancillary bubble_pressure;  ///< of pseudo-pure fluids the definition, of pure ones a guess
  Ancillary dew_pressure;     ///< pure fluids: the same as bubble_pressure
  Ancillary liquid_density;   ///< guess
  Ancillary vapour_density;   ///< guess

  BinaryMixture mixture;                        ///< mixtures only
  CoexistenceGuess coexistence_guess;           ///< of mixtures: bubble liquid and dew vapour
  double highest_saturation_temperature = 0.0;  ///< bubble and dew lines are known up to here [K]
  double highest_state_temperature = 0.0;       ///< and the states of both phases up to here [K]
  double highest_state_pressure = 0.0;          ///< [Pa]
  Curve bubble_temperature;                     ///< T(p)
  Curve dew_temperature;

  ReferenceShift iir, ashrae, nbp;

  TransportModels transport;
};

/// Reads the data file of a refrigerant and prepares its curves; a mixture's component files are
/// looked up by name in `files`.
Result<Model> load_model(std::span<const EmbeddedFile> files, std::string_view file_name);

}  // namespace cw::fluid::detail
